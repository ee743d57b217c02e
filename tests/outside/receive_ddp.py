"""Independent parsers (PyPI: python-led-ddp 1.0.1 for DDP, sliplib 0.7.2 for SLIP) get what `show`
sends, over UDP and over a USB cable.

Usage: receive_ddp.py PROGRAM WORKDIR WALL
       receive_ddp.py PROGRAM WORKDIR WALL 24|16

The first form listens at 127.0.0.11 and 127.0.0.12 on the protocol's own port. The second is the board
at the other end of a pseudo-terminal, whose name it writes over `PORT` in the wall file; strips may have white LEDs,
which then have the smallest of the three colours, taken out of each. Every pixel of
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
from ddp.protocol.pixel_config import DataType

from display import HOSTS, PANELS, Display, places
from numbered import picture, wanted


def pixels_of(program, wall, work):
    text = subprocess.run([program, "map", wall, "--csv"], check=True, capture_output=True, text=True).stdout
    rows = [row for row in csv.DictReader(text.splitlines()) if row["panel"]]
    columns = 1 + max(int(row["column"]) for row in rows)
    height = 1 + max(int(row["row"]) for row in rows)
    path = os.path.join(work, "numbered.png")
    return rows, columns, path, picture(path, columns, height, seed=4)


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
    white = "rgbw" in text
    rows, columns, path, pixels = pixels_of(program, wall, work)
    display = Display(bits == 16, DataType.RGBW if white else DataType.RGB)
    driver, line, packets = sliplib.Driver(), bytearray(), []
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
    size, worst, start = (2 if bits == 16 else 3) + white, [0.0] * (3 + white), 0
    for panel in PANELS:
        own, count = places(rows, panel)
        for place, row in own:
            at = (start + place) * size
            pixel = pixels[int(row["row"]) * columns + int(row["column"])]
            have = list(frame[at : at + 3] if bits == 24 else unpacked(frame[at : at + 2]))
            want = wanted(pixel, 255)
            if white:
                have.append(frame[at + size - 1])
                want = [colour - min(want) for colour in want] + [min(want)]
            for colour, (have, want) in enumerate(zip(have, want, strict=True)):
                worst[colour] = max(worst[colour], abs(have - want))
        start += count
    assert len(frame) == start * size, (len(frame), start)
    # Neighbours of 5 bits lie at most 9 apart, of 6 bits at most 5: the nearer one is sent. What white leaves of a
    # colour is the difference of two figures of 16 bits.
    for off, most in zip(worst, [0.51] * 4 if bits == 24 else [4.51, 2.51, 4.51, 0.51]):
        assert off <= most + 0.01 * white, worst
    # Byte by byte what sliplib makes of the same packets, between two ENDs each (RFC 1055).
    assert line == b"".join(b"\xc0" + sliplib.encode(packet) + b"\xc0" for packet in packets), "other bytes than sliplib's"
    print(f"{start} pixels of {bits} bits arrived, off by at most {worst}; {len(display.shown)} frames")


if len(sys.argv) == 5:
    over_usb(sys.argv[1], sys.argv[2], sys.argv[3], int(sys.argv[4]))
else:
    over_udp(*sys.argv[1:])
