"""A numbered test picture, and what every light pixel must get of it.

Used by the checks against programs outside the project. Each picture pixel has a colour of its own
among its neighbours; the values that must arrive are computed here from IEC 61966-2-1 alone.
"""

import csv
import random
import subprocess

from PIL import Image


def linear(code):
    """sRGB code 0..255 to linear light 0..1, IEC 61966-2-1."""
    c = code / 255
    return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4


def picture(path, columns, rows, seed=1):
    """Writes a picture of random codes and returns its pixels, row-major."""
    chance = random.Random(seed)
    pixels = [tuple(chance.randrange(256) for _ in range(3)) for _ in range(columns * rows)]
    image = Image.new("RGB", (columns, rows))
    image.putdata(pixels)
    image.save(path)
    return pixels


def wanted(pixel, gain):
    """Device bytes of a pixel: linear light scaled, 8 bits."""
    return [linear(code) * gain for code in pixel]


def pixel_map(program, wall):
    """Rows of the pixel map that a panel shows."""
    text = subprocess.run([program, "map", wall, "--csv"], check=True, capture_output=True, text=True).stdout
    return [row for row in csv.DictReader(text.splitlines()) if row["panel"]]
