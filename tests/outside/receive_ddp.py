"""Independent parsers (PyPI: python-led-ddp 1.0.1 for DDP, sliplib 0.7.2 for SLIP) get what `show`
sends, over UDP and over a USB cable.

Usage: receive_ddp.py PROGRAM WORKDIR WALL
       receive_ddp.py PROGRAM WORKDIR WALL 24|16

The first form listens at 127.0.0.11 and 127.0.0.12 on the protocol's own port. The second is the board
at the other end of a pseudo-terminal, whose name it writes over `PORT` in the wall file. Every pixel of
a numbered picture must arrive at the byte that follows from the pixel map, and every packet must be as
the protocol's specification has it.
"""

import csv
import os
import select
import socket
import subprocess
import sys
import termios
import time
import tty

import sliplib
from ddp.packet import Packet
from ddp.protocol.id import ID
from ddp.protocol.pixel_config import DataType, PixelFormat

from numbered import picture, wanted

HOSTS = ["127.0.0.11", "127.0.0.12"]
PANELS = ["a", "b"]


class Display:
    """A display: a buffer, what it has shown, and a judge of packets."""

    def __init__(self, custom):
        self.custom, self.buffer, self.shown = custom, bytearray(1 << 16), []
        self.last, self.end, self.packets = None, 0, 0

    def take(self, data):
        packet = Packet.from_bytes(data)
        header = packet.header
        kind = header.packet_type
        assert kind.version == 1 and not (kind.timecode or kind.storage or kind.reply or kind.query), kind
        assert header.id == ID.DEFAULT, header
        assert len(packet.data) == header.length == len(data) - 10, (header, len(data))
        config = header.pixel_config
        assert config.customer_defined == self.custom, config
        assert config.data_type == DataType.RGB, config
        assert config.data_size == (PixelFormat.PIXEL_16_BITS if self.custom else PixelFormat.PIXEL_8_BITS), config
        if self.last is not None:
            assert header.sequence_number == self.last % 15 + 1, (self.last, header.sequence_number)
        self.last = header.sequence_number
        # Offsets rise without a gap, and the last packet alone shows the frame.
        assert header.offset == self.end, (header.offset, self.end)
        self.buffer[header.offset : header.offset + header.length] = packet.data
        self.end = header.offset + header.length
        self.packets += 1
        if kind.push:
            self.shown.append(bytes(self.buffer[: self.end]))
            self.end = 0


def pixels_of(program, wall, work):
    text = subprocess.run([program, "map", wall, "--csv"], check=True, capture_output=True, text=True).stdout
    rows = [row for row in csv.DictReader(text.splitlines()) if row["panel"]]
    columns = 1 + max(int(row["column"]) for row in rows)
    height = 1 + max(int(row["row"]) for row in rows)
    path = os.path.join(work, "numbered.png")
    return rows, columns, path, picture(path, columns, height, seed=4)


def places(rows, panel):
    """The pixels of a panel in the order of its buffer: data line after data line, `index` after `index`."""
    own = [row for row in rows if row["panel"] == panel]
    ends = {}
    for row in own:
        line = int(row["data_line"])
        ends[line] = max(ends.get(line, 0), int(row["index"]) + 1)
    starts, start = {}, 0
    for line in sorted(ends):
        starts[line], start = start, start + ends[line]
    return [(starts[int(row["data_line"])] + int(row["index"]), row) for row in own], start


def show(program, wall, path, seconds):
    # Every byte is compared, so nothing may be dimmed for what this wall's copper carries.
    return subprocess.Popen([program, "show", wall, path, "--brightness", "1", "--above-safe", "--for", f"{seconds}s"])


def full(display):
    """A frame from the middle of the show: by then the flash guard has let the picture come up."""
    assert len(display.shown) >= 40, len(display.shown)
    assert not any(display.shown[-1]), "the last frame is not black"
    return display.shown[len(display.shown) * 2 // 3]


def over_udp(program, work, wall):
    rows, columns, path, pixels = pixels_of(program, wall, work)
    sockets = {}
    for host in HOSTS:
        receiver = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        receiver.bind((host, 4048))
        sockets[receiver] = Display(custom=False)
    playing = show(program, wall, path, 6)
    while playing.poll() is None or select.select(list(sockets), [], [], 0)[0]:
        for receiver in select.select(list(sockets), [], [], 0.1)[0]:
            sockets[receiver].take(receiver.recv(2000))
    assert playing.returncode == 0, playing.returncode
    worst = 0
    for panel, display in zip(PANELS, sockets.values()):
        frame = full(display)
        for place, row in places(rows, panel)[0]:
            pixel = pixels[int(row["row"]) * columns + int(row["column"])]
            for have, want in zip(frame[3 * place : 3 * place + 3], wanted(pixel, 255)):
                worst = max(worst, abs(have - want))
    assert worst <= 0.51, f"a pixel is off by {worst:.3f} device steps"
    print(f"{len(rows)} pixels arrived, off by at most {worst:.3f} device steps")


def unpacked(two):
    """Red, green and blue of 5, 6 and 5 bits, high byte first, as bytes whose low bits repeat the high ones."""
    bits = two[0] << 8 | two[1]
    red, green, blue = bits >> 11, bits >> 5 & 63, bits & 31
    return red << 3 | red >> 2, green << 2 | green >> 4, blue << 3 | blue >> 2


def over_usb(program, work, wall, bits):
    board, port = os.openpty()
    tty.setraw(board)
    name = os.ttyname(port)
    with open(wall) as file:
        text = file.read()
    with open(wall, "w") as file:
        file.write(text.replace("PORT", name))
    rows, columns, path, pixels = pixels_of(program, wall, work)
    display, driver, line, packets = Display(custom=bits == 16), sliplib.Driver(), bytearray(), []
    playing = show(program, wall, path, 6)
    while playing.poll() is None or select.select([board], [], [], 0.2)[0]:
        if select.select([board], [], [], 0.1)[0]:
            line += (some := os.read(board, 997))
            driver.receive(some)
            while packet := driver.get(block=False):
                packets.append(packet)
                display.take(packet)
    speed = termios.tcgetattr(port)[5]
    assert playing.returncode == 0, playing.returncode
    assert speed == termios.B921600, speed
    frame = full(display)
    size, worst, start = (2 if bits == 16 else 3), [0, 0, 0], 0
    for panel in PANELS:
        own, count = places(rows, panel)
        for place, row in own:
            at = (start + place) * size
            pixel = pixels[int(row["row"]) * columns + int(row["column"])]
            have = frame[at : at + 3] if bits == 24 else unpacked(frame[at : at + 2])
            for colour, (have, want) in enumerate(zip(have, wanted(pixel, 255))):
                assert bits == 24 or have <= want + 0.51, (row, have, want)
                worst[colour] = max(worst[colour], abs(have - want))
        start += count
    assert len(frame) == start * size, (len(frame), start)
    # Neighbours of 5 bits lie at most 9 apart, of 6 bits at most 5; what is sent is rounded down.
    for off, most in zip(worst, [0.51] * 3 if bits == 24 else [9.5, 5.5, 9.5]):
        assert off <= most, worst
    # Byte by byte what sliplib makes of the same packets, between two ENDs each (RFC 1055).
    assert line == b"".join(b"\xc0" + sliplib.encode(packet) + b"\xc0" for packet in packets), "other bytes than sliplib's"
    print(f"{start} pixels of {bits} bits arrived, off by at most {worst}; {len(display.shown)} frames")


if len(sys.argv) == 5:
    over_usb(sys.argv[1], sys.argv[2], sys.argv[3], int(sys.argv[4]))
else:
    over_udp(*sys.argv[1:])
