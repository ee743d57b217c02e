"""Colours as the panels give them, against a colour-science library (PyPI: colour-science 0.4.7, numpy).

Usage: colours.py PROGRAM

PROGRAM is the example `colours` of the room that shows. A thousand random colours go through it under
each kind of strip and setting. What it sends is turned into light by the library's own matrices, as a
strip of those figures would, and compared with the light that the library says the picture means.
The mean of 256 dithered frames is taken, so that far less than a step of a byte shows.
"""

import subprocess
import sys

import colour
import numpy as np
from colour.adaptation import matrix_chromatic_adaptation_VonKries
from colour.models import normalised_primary_matrix

SRGB = colour.RGB_COLOURSPACES["sRGB"]
D65 = np.array([0.3127, 0.3290])
COLUMNS, ROWS = 40, 25
PROGRAM = sys.argv[1]

chance = np.random.default_rng(20)
codes = chance.integers(0, 256, (COLUMNS * ROWS, 3), dtype=np.uint8)
# A third of them dark, where steps are large.
codes[::3] //= 12
linear = SRGB.cctf_decoding(codes / 255.0)
TO_XYZ = normalised_primary_matrix(SRGB.primaries, D65)


def drive(frames=256, **figures):
    """What the program sends, 0 to 1 of full, mean over frames."""
    given = [f"{key.replace('_', '-')}={','.join(str(v) for v in np.ravel(value))}" for key, value in figures.items()]
    command = [PROGRAM, str(COLUMNS), str(ROWS), str(frames), "dither=1", *given]
    out = subprocess.run(command, input=codes.tobytes(), check=True, capture_output=True).stdout
    gamma = figures.get("gamma", 1.0)
    light = (np.frombuffer(out, dtype=np.uint8).reshape(frames, len(codes), -1) / 255.0) ** gamma
    return light.mean(axis=0)


def to_full(matrix):
    """Scaled so that no colour of the picture asks for more than full."""
    return matrix / np.clip(matrix, 0, None).sum(axis=1).max()


def within(what, found, wanted, most):
    apart = np.abs(found - wanted).max()
    print(f"{what}: at most {apart * 255:.4f} of a step of 8 bits apart")
    assert apart <= most, (what, apart, most)


def white_of(xy):
    return colour.xy_to_XYZ(xy)


def whitened(xy):
    """Seen under another white, Bradford, in sRGB."""
    adapted = matrix_chromatic_adaptation_VonKries(white_of(D65), white_of(np.array(xy)), transform="Bradford")
    return to_full(np.linalg.inv(TO_XYZ) @ adapted @ TO_XYZ)


def saturated(amount):
    y = TO_XYZ[1]
    return amount * np.eye(3) + (1 - amount) * np.tile(y, (3, 1))


# A 256th of a step from dither, a little from 16 bits in between.
STEP = 1.5 / 256 / 255 + 1.5 / 65535

within("as it is", drive(), linear, STEP)

wanted = np.clip(linear @ saturated(0.4).T, 0, 1)
within("less colourful", drive(saturation=0.4), wanted, STEP * 2)
wanted = np.clip(linear @ saturated(1.8).T, 0, 1)
within("more colourful", drive(saturation=1.8), wanted, STEP * 2)

for xy in ([0.3457, 0.3585], [0.4476, 0.4074], [0.2952, 0.3048]):
    wanted = np.clip(linear @ whitened(xy).T, 0, 1)
    within(f"white of {xy}", drive(white=xy), wanted, STEP * 2)
    seen = TO_XYZ @ whitened(xy) @ np.ones(3)
    assert np.abs(colour.XYZ_to_xy(seen) - xy).max() < 1e-6

both = whitened([0.3457, 0.3585]) @ saturated(1.3)
wanted = np.clip(linear @ both.T, 0, 1)
within("both", drive(saturation=1.3, white=[0.3457, 0.3585]), wanted, STEP * 2)

# A strip whose colours are wider than sRGB's and whose white is bluish. All of sRGB lies within.
wide = np.array([[0.69, 0.31], [0.17, 0.72], [0.13, 0.05]])
for white in (D65, np.array([0.28, 0.29])):
    strip = normalised_primary_matrix(wide, white)
    sent = drive(primaries=wide, strip_white=white)
    meant = linear @ TO_XYZ.T
    dimmed = to_full(np.linalg.inv(strip) @ TO_XYZ)
    dimming = dimmed[0, 0] / (np.linalg.inv(strip) @ TO_XYZ)[0, 0]
    within(f"light of a wide strip of white {white}", sent @ strip.T, meant * dimming, STEP * 3)
    # The same judged as an eye would, on colours that are not nearly black.
    lit = linear.max(axis=1) > 0.02
    reference = colour.XYZ_to_Lab(meant[lit] * dimming, D65)
    seen = colour.XYZ_to_Lab(sent[lit] @ strip.T, D65)
    worst = colour.delta_E(reference, seen, method="CIE 2000").max()
    print(f"  CIE DE2000 at most {worst:.4f}")
    assert worst < 0.1, worst

# A strip that cannot show all of sRGB: held at its edge, colour by colour.
narrow = np.array([[0.60, 0.34], [0.31, 0.55], [0.16, 0.09]])
matrix = to_full(np.linalg.inv(normalised_primary_matrix(narrow, D65)) @ TO_XYZ)
within("a narrow strip", drive(primaries=narrow), np.clip(linear @ matrix.T, 0, 1), STEP * 2)

# Chips with a curve: light that comes out is the light meant, whatever the curve. What 16 bits of light
# cannot tell apart lies within a part of the first step.
for gamma in (1.8, 2.2, 2.8):
    within(f"gamma {gamma}", drive(gamma=gamma), linear, STEP * 2)

# A white LED: its light and that of the others together are the light meant, and as much of it as can
# be comes from white.
for light in ([1.0, 1.0, 1.0], [1.9, 1.6, 0.9], [0.4, 0.4, 0.5]):
    sent = drive(white_light=light)
    together = sent[:, :3] + sent[:, 3:] * np.array(light)
    within(f"with a white LED of {light}", together, linear, STEP * 4)
    most = np.minimum((linear / np.array(light)).min(axis=1), 1.0)
    within("  white", sent[:, 3], most, STEP * 2)

# Panels that keep part of their light.
shares = np.array([0.9, 0.5, 0.75, 1.0])
right = np.tile(np.arange(COLUMNS) >= COLUMNS // 2, ROWS)
wanted = np.where(right[:, None], linear * shares[:3], linear)
within("panels", drive(shares=shares), wanted, STEP * 2)

print("1000 colours under every setting")
