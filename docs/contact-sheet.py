#!/usr/bin/env python3
"""Draws all sheets of a wall's book side by side into one picture, to look at as a set.

    docs/contact-sheet.py [WALL [PICTURE [PROGRAM]]]

From the demo's wall into docs/pictures/contact-sheet.png by the program built last, unless told otherwise.
It takes poppler's pdftoppm and nothing else: the picture is written here, with a palette of greys and
colours, so that it is small.
"""

import pathlib
import shutil
import struct
import subprocess
import sys
import tempfile
import zlib

HOUSE = pathlib.Path(__file__).resolve().parent.parent
# Dots: a sheet's longer side, the room around each, and how many stand side by side.
SIZE, GAP, ABREAST = 420, 12, 7
GROUND = (0x8A, 0x86, 0x7E)
# What is seen from the back is drawn on this; it has a place of its own in the palette.
BACK = (0xF4, 0xEA, 0xD8)
GREYS = 39
# Nobody waits for a picture of a repository.
MOST_BYTES = 600_000


def stop(words):
    sys.exit(f"contact-sheet: {words}")


def program():
    if len(sys.argv) > 3:
        return sys.argv[3]
    built = [HOUSE / "target" / kind / "glowloom" for kind in ("release", "debug")]
    there = [path for path in built if path.is_file()]
    if not there:
        stop("there is no built program; run: cargo build --release")
    return max(there, key=lambda path: path.stat().st_mtime)


def run(*command):
    done = subprocess.run(command, capture_output=True, text=True)
    if done.returncode != 0:
        stop(f"{command[0]} failed:\n{done.stderr.strip()}")


def read(path):
    """Width, height and rows of red, green and blue of a plain PPM file."""
    data = path.read_bytes()
    kind, width, height, most, pixels = data.split(None, 4) if data[:2] == b"P6" else [b""] * 5
    if kind != b"P6" or most != b"255":
        stop(f"pdftoppm wrote something else than a PPM picture of 8 bits: {path.name}")
    width, height = int(width), int(height)
    # One single white byte stands between head and pixels: a first dark dot must not be taken for more.
    pixels = data[len(data) - 3 * width * height :]
    return width, height, [pixels[3 * width * y : 3 * width * (y + 1)] for y in range(height)]


def palette():
    """Greys, the ground of the back, then six steps of each colour: 256."""
    greys = [(round(255 * i / (GREYS - 1)),) * 3 for i in range(GREYS)]
    steps = (0, 51, 102, 153, 204, 255)
    return greys + [BACK] + [(r, g, b) for r in steps for g in steps for b in steps]


def nearest(red, green, blue):
    if max(abs(a - b) for a, b in zip((red, green, blue), BACK)) < 10:
        return GREYS
    if max(red, green, blue) - min(red, green, blue) < 16:
        return round((red + green + blue) / 3 * (GREYS - 1) / 255)
    r, g, b = (round(part / 51) for part in (red, green, blue))
    return GREYS + 1 + 36 * r + 6 * g + b


def picture(sheets):
    """Rows of palette numbers: the sheets, each in the middle of its place."""
    down = -(-len(sheets) // ABREAST)
    heights = [
        max(height for _, height, _ in sheets[row * ABREAST : (row + 1) * ABREAST])
        for row in range(down)
    ]
    width = ABREAST * (SIZE + GAP) + GAP
    ground = nearest(*GROUND)
    rows = [bytearray([ground]) * width for _ in range(sum(heights) + GAP * (down + 1))]
    known = {}
    top = GAP
    for row, high in enumerate(heights):
        for column, (wide, tall, pixels) in enumerate(sheets[row * ABREAST : (row + 1) * ABREAST]):
            left = GAP + column * (SIZE + GAP) + (SIZE - wide) // 2
            above = top + (high - tall) // 2
            for y, line in enumerate(pixels):
                for x in range(wide):
                    dot = line[3 * x : 3 * x + 3]
                    if dot not in known:
                        known[dot] = nearest(*dot)
                    rows[above + y][left + x] = known[dot]
        top += high + GAP
    return width, rows


def png(width, rows, colours):
    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    # 8 bits a dot, by palette (PNG, W3C Recommendation, 11.2.2, from memory).
    head = struct.pack(">IIBBBBB", width, len(rows), 8, 3, 0, 0, 0)
    lines = b"".join(b"\0" + bytes(row) for row in rows)
    body = chunk(b"IHDR", head) + chunk(b"PLTE", bytes(sum(colours, ())))
    return b"\x89PNG\r\n\x1a\n" + body + chunk(b"IDAT", zlib.compress(lines, 9)) + chunk(b"IEND", b"")


def main():
    wall = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else HOUSE / "examples/walls/tidewall.toml")
    target = pathlib.Path(
        sys.argv[2] if len(sys.argv) > 2 else HOUSE / "docs/pictures/contact-sheet.png"
    )
    if not shutil.which("pdftoppm"):
        stop("pdftoppm is not on this machine; it comes with poppler (Debian: poppler-utils)")
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        run(program(), "book", wall, "-o", folder / "book")
        run("pdftoppm", "-scale-to", str(SIZE), folder / "book/book.pdf", folder / "sheet")
        # Numbered by pdftoppm with as many digits as the last has.
        sheets = [read(path) for path in sorted(folder.glob("sheet-*.ppm"))]
    if not sheets:
        stop("the book has no sheet")
    bytes_ = png(*picture(sheets), palette())
    if len(bytes_) > MOST_BYTES:
        stop(f"{len(bytes_)} bytes are too many for a picture of the repository, over {MOST_BYTES}")
    target.write_bytes(bytes_)
    print(f"{target}: {len(sheets)} sheets, {len(bytes_)} bytes")


main()
