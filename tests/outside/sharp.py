"""Random pictures made smaller and larger by an independent picture library (PyPI: Pillow, numpy).

Usage: sharp.py PROGRAM WORKDIR

PROGRAM is the example `average` of the room that shows, asked for its sharper filter. The library's
Lanczos resampling is given linear light in floating point, one colour at a time, and the same part of
the picture; what it drives below black or above full is held there afterwards.
"""

import os
import subprocess
import sys

import numpy as np
from PIL import Image


def linear(codes):
    """IEC 61966-2-1."""
    c = codes / 255.0
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def part(width, height, columns, rows, sizing):
    """The part of the picture that the wall covers."""
    if sizing == "stretch":
        return (0, 0, width, height)
    scale = min(width / columns, height / rows)
    across, down = scale * columns, scale * rows
    # The library takes no box that is a rounding error outside.
    left, top = max((width - across) / 2, 0), max((height - down) / 2, 0)
    return (left, top, min((width + across) / 2, width), min((height + down) / 2, height))


def main(program, work):
    chance = np.random.default_rng(11)
    worst, count = 0.0, 0
    for case in range(60):
        width, height = (int(n) for n in chance.integers(1, 120, 2))
        columns, rows = (int(n) for n in chance.integers(1, 40, 2))
        sizing = ("fill", "stretch")[case % 2]
        codes = chance.integers(0, 256, (height, width, 3), dtype=np.uint8)
        path = os.path.join(work, "sharp.png")
        Image.fromarray(codes).save(path)
        out = subprocess.run([program, path, str(columns), str(rows), sizing, "sharp"], check=True, capture_output=True).stdout
        have = np.frombuffer(out, dtype="<u2").reshape(rows, columns, 3) / 65535.0
        light = linear(codes.astype(float)).astype(np.float32)
        box = part(width, height, columns, rows, sizing)
        for k in range(3):
            picture = Image.fromarray(light[:, :, k])
            resized = picture.resize((columns, rows), Image.Resampling.LANCZOS, box=box)
            apart = np.abs(np.clip(np.asarray(resized), 0, 1) - have[:, :, k]).max()
            worst, count = max(worst, apart), count + columns * rows
            # Sixteen bits, and a box that the library keeps in single precision.
            assert apart <= 4e-5, (case, width, height, columns, rows, sizing, apart)
    print(f"{count} values of 60 pictures, at most {worst * 65535:.2f} of 65,535 apart")


main(*sys.argv[1:])
