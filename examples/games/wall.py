"""Draws on a wall over a WebSocket (RFC 6455), with Python's own library alone.

`play` runs a game: an object with `step(seconds, held, pressed)` and `draw(picture)`. Keys come from the terminal
that it was started in, and from keys.html or any other guest of the wall's socket. See docs/frames.md.
"""

import base64
import hashlib
import os
import select
import socket
import struct
import sys
import time

MAGIC = "258EAFA5-E914-47DA-95CA-C5AB0DC85B11"
# A terminal tells when a key goes down and not when it goes up: so long it counts as held.
HELD = 0.25
ARROWS = {b"A": "ArrowUp", b"B": "ArrowDown", b"C": "ArrowRight", b"D": "ArrowLeft"}
LETTERS = {"w": "ArrowUp", "s": "ArrowDown", "d": "ArrowRight", "a": "ArrowLeft", "k": "ArrowUp", "j": "ArrowDown"}


class Wall:
    """A connection to the socket of a wall."""

    def __init__(self, host="127.0.0.1", port=15580):
        self.stream = socket.create_connection((host, port), timeout=5)
        self.stream.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        key = base64.b64encode(os.urandom(16)).decode()
        self.stream.sendall(
            f"GET / HTTP/1.1\r\nHost: {host}:{port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
            f"Sec-WebSocket-Key: {key}\r\nSec-WebSocket-Version: 13\r\n\r\n".encode()
        )
        head = b""
        while not head.endswith(b"\r\n\r\n"):
            byte = self.stream.recv(1)
            if not byte:
                raise ConnectionError("the wall went away")
            head += byte
        wanted = base64.b64encode(hashlib.sha1((key + MAGIC).encode()).digest()).decode()
        if b" 101 " not in head.split(b"\r\n")[0] + b" " or wanted not in head.decode():
            raise ConnectionError(head.split(b"\r\n")[0].decode())
        self.waiting, self.closed = b"", False
        hello = None
        while hello is None:
            hello = next(iter(self.lines(5)), None)
        word, _, columns, rows, rate = hello.split()
        if word != "hello":
            raise ConnectionError(hello)
        self.columns, self.rows, self.rate = int(columns), int(rows), float(rate)

    def send(self, data, kind=2):
        """One message, masked as a client's has to be."""
        size = len(data)
        if size < 126:
            head = struct.pack(">BB", 0x80 | kind, 0x80 | size)
        elif size < 65536:
            head = struct.pack(">BBH", 0x80 | kind, 0x80 | 126, size)
        else:
            head = struct.pack(">BBQ", 0x80 | kind, 0x80 | 127, size)
        mask = os.urandom(4)
        repeated = (mask * (size // 4 + 1))[:size]
        masked = (int.from_bytes(data, "big") ^ int.from_bytes(repeated, "big")).to_bytes(size, "big")
        self.stream.sendall(head + mask + masked)

    def lines(self, wait=0.0):
        """The texts that have come."""
        if self.closed:
            raise ConnectionError("the wall went away")
        if select.select([self.stream], [], [], wait)[0]:
            more = self.stream.recv(65536)
            if not more:
                raise ConnectionError("the wall went away")
            self.waiting += more
        texts = []
        while len(self.waiting) >= 2:
            size, start = self.waiting[1] & 0x7F, 2
            if size == 126:
                size, start = int.from_bytes(self.waiting[2:4], "big"), 4
            if size == 127 or len(self.waiting) < start + size:
                break
            kind, body = self.waiting[0] & 0xF, self.waiting[start : start + size]
            self.waiting = self.waiting[start + size :]
            if kind == 1:
                texts.append(body.decode())
            elif kind == 9:
                self.send(body, kind=10)
            elif kind == 8:
                # Why may have been said just before.
                self.closed = True
        return texts


class Picture:
    """Pixels of the wall, 8-bit sRGB; what lies outside is left out."""

    def __init__(self, columns, rows):
        self.columns, self.rows = columns, rows
        self.bytes = bytearray(columns * rows * 3)

    def fill(self, colour):
        self.bytes[:] = bytes(colour) * (self.columns * self.rows)

    def put(self, column, row, colour):
        column, row = int(column), int(row)
        if 0 <= column < self.columns and 0 <= row < self.rows:
            at = 3 * (row * self.columns + column)
            self.bytes[at : at + 3] = bytes(colour)

    def block(self, column, row, width, height, colour):
        for y in range(int(row), int(row) + int(height)):
            for x in range(int(column), int(column) + int(width)):
                self.put(x, y, colour)


class Terminal:
    """Keys of the terminal, one by one; none where there is no terminal."""

    def __enter__(self):
        self.kept = None
        if sys.stdin.isatty():
            try:
                import termios
                import tty
            except ImportError:  # A system without them: keys.html has keys all the same.
                return self
            self.kept = termios.tcgetattr(sys.stdin)
            tty.setcbreak(sys.stdin)
        return self

    def __exit__(self, *_):
        if self.kept is not None:
            import termios

            termios.tcsetattr(sys.stdin, termios.TCSADRAIN, self.kept)

    def keys(self):
        if self.kept is None or not select.select([sys.stdin], [], [], 0)[0]:
            return []
        data, names, at = os.read(sys.stdin.fileno(), 64), [], 0
        while at < len(data):
            if data[at : at + 2] == b"\x1b[":
                names.append(ARROWS.get(data[at + 2 : at + 3], ""))
                at += 3
            else:
                letter = chr(data[at])
                names.append({" ": "Space", "\n": "Enter"}.get(letter, LETTERS.get(letter, letter)))
                at += 1
        return names


def play(make, help_text):
    """Runs a game until q is pressed or the wall goes away; `--for SECONDS` ends it before."""
    arguments = sys.argv[1:]
    ends = float(arguments[arguments.index("--for") + 1]) if "--for" in arguments else float("inf")
    port = int(arguments[arguments.index("--port") + 1]) if "--port" in arguments else 15580
    try:
        wall = Wall(port=port)
    except OSError as why:
        sys.exit(f"no wall takes frames on port {port} ({why}): start `glowloom show wall.toml socket` first")
    game, picture = make(wall.columns, wall.rows), Picture(wall.columns, wall.rows)
    print(help_text, flush=True)
    began = last = time.monotonic()
    held, until, score = set(), {}, None
    with Terminal() as terminal:
        while last - began < ends:
            pressed = set()
            for name in terminal.keys():
                if name == "q":
                    return
                pressed.add(name)
                held.add(name)
                until[name] = last + HELD
            try:
                for line in wall.lines():
                    word, *rest = line.split()
                    if word == "key" and rest[1] == "down":
                        pressed.add(rest[0])
                        held.add(rest[0])
                        until.pop(rest[0], None)
                    elif word == "key":
                        held.discard(rest[0])
                    elif word == "turn":
                        print("on the wall" if rest[0] == "yes" else "somebody else is on the wall", flush=True)
                    elif word == "wrong":
                        sys.exit(" ".join(rest))
                for name in [name for name, end in until.items() if end <= last]:
                    held.discard(name)
                    del until[name]
                now = time.monotonic()
                game.step(min(now - last, 0.1), held, pressed)
                last = now
                game.draw(picture)
                wall.send(bytes(picture.bytes))
            except OSError as why:
                sys.exit(f"the wall went away: {why}")
            if game.score != score:
                score = game.score
                print(f"{score}", flush=True)
            time.sleep(max(0.0, 1 / wall.rate - (time.monotonic() - last)))
