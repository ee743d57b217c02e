"""Area averages of random pictures by an independent numeric library (PyPI: numpy).

Usage: average.py PROGRAM WORKDIR

PROGRAM is the example `average` of the room that shows: picture, columns, rows and sizing in, device
bytes out. The average is computed here as a matrix product of overlap shares, which has nothing in
common with the program's own way. At most one device step apart.
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


def shares(start, end, pixels, cells):
    """Share of each picture pixel in each wall cell, between two places of the picture."""
    edges = np.linspace(start, end, cells + 1)
    low = np.maximum(edges[:-1, None], np.arange(pixels)[None, :])
    high = np.minimum(edges[1:, None], np.arange(1, pixels + 1)[None, :])
    return np.clip(high - low, 0, None) / ((end - start) / cells)


def bounds(width, height, columns, rows, sizing):
    """The part of the picture that the wall covers; it reaches beyond where there are bars."""
    scale_x, scale_y = width / columns, height / rows
    if sizing == "stretch":
        return (0, width), (0, height)
    scale = min(scale_x, scale_y) if sizing == "fill" else max(scale_x, scale_y)
    across, down = scale * columns, scale * rows
    return ((width - across) / 2, (width + across) / 2), ((height - down) / 2, (height + down) / 2)


def main(program, work):
    chance = np.random.default_rng(7)
    worst, count = 0.0, 0
    for case in range(60):
        width, height = (int(n) for n in chance.integers(1, 90, 2))
        columns, rows = (int(n) for n in chance.integers(1, 40, 2))
        sizing = ("fill", "fit", "stretch")[case % 3]
        codes = chance.integers(0, 256, (height, width, 3), dtype=np.uint8)
        path = os.path.join(work, "average.png")
        Image.fromarray(codes).save(path)
        out = subprocess.run([program, path, str(columns), str(rows), sizing, "bytes"], check=True, capture_output=True).stdout
        have = np.frombuffer(out, dtype=np.uint8).reshape(rows, columns, 3)
        (left, right), (top, bottom) = bounds(width, height, columns, rows, sizing)
        light = linear(codes.astype(float))
        want = np.einsum("rh,hwc,kw->rkc", shares(top, bottom, height, rows), light, shares(left, right, width, columns)) * 255
        apart = np.abs(have - want).max()
        worst, count = max(worst, apart), count + have.size
        assert apart <= 1.0, (case, width, height, columns, rows, sizing, apart)
    print(f"{count} values of 60 pictures, at most {worst:.3f} device steps apart")


main(*sys.argv[1:])
