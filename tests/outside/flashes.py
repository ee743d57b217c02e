"""Counts the flashes that leave the flash guard (PyPI: numpy).

Usage: flashes.py PROGRAM

PROGRAM is the example `guarded` of the room that shows. Strobes of many kinds are made here, sent through
it, and what leaves is judged by the rule alone, not by the guard's own way:

- WCAG 2.2, success criterion 2.3.1 and its definition of general flash: a pair of opposing changes in
  relative luminance of 10 % or more of the maximum, where the darker state is below 0.80; no more than three
  within any one second.
- Area: 341 x 256 of 1024 x 768 pixels stand for a field of 10 degrees, of which a quarter may flash. Here
  the field is that of a wall of 60 x 32 pixels, 33.3 mm apart, seen from 4 m: 0.70 m, 21 pixels. Luminance
  is averaged over the whole picture and over every field of 21 x 21 pixels, wherever it lies.

What makes no flash too many has to pass as it is.
"""

import subprocess
import sys

import numpy as np

PROGRAM = sys.argv[1]
COLUMNS, ROWS = 60, 32
FIELD = 21
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])


def encoded(light):
    """8-bit sRGB (IEC 61966-2-1)."""
    c = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.clip(np.rint(c * 255), 0, 255).astype(np.uint8)


def sent(frames, fps, brightness=1.0):
    """What leaves of linear frames: linear light of 0 to 1, and how many were held back."""
    done = subprocess.run(
        [PROGRAM, str(COLUMNS), str(ROWS), str(fps), str(brightness), str(FIELD)],
        input=encoded(frames).tobytes(), capture_output=True, check=True,
    )
    out = np.frombuffer(done.stdout, dtype=np.uint8).reshape(len(frames), ROWS, COLUMNS, 3)
    return out / 255.0, int(done.stderr.split()[0])


def windows(light, side):
    """Means over every square of so many pixels: frames x places."""
    total = np.zeros((light.shape[0], ROWS + 1, COLUMNS + 1))
    total[:, 1:, 1:] = light.cumsum(axis=1).cumsum(axis=2)
    sums = total[:, side:, side:] - total[:, :-side, side:] - total[:, side:, :-side] + total[:, :-side, :-side]
    return (sums / side**2).reshape(len(light), -1)


def most_flashes(states, fps):
    """The most flashes within any second, both of its ends included, of each column."""
    worst = np.zeros(states.shape[1], dtype=int)
    for first in range(len(states)):
        low, high = states[first].copy(), states[first].copy()
        way = np.zeros(states.shape[1], dtype=int)
        changes = np.zeros(states.shape[1], dtype=int)
        for now in states[first + 1 : first + 1 + fps]:
            up = (now - low >= 0.1) & (low < 0.8 - 0.5 / 255) & (way <= 0)
            down = (high - now >= 0.1) & (now < 0.8 - 0.5 / 255) & (way >= 0)
            down &= ~up
            changed = up | down
            way = np.where(up, 1, np.where(down, -1, way))
            changes += changed
            low = np.where(changed, now, np.minimum(low, now))
            high = np.where(changed, now, np.maximum(high, now))
        worst = np.maximum(worst, changes // 2)
    return worst


def judged(out, fps):
    light = out @ LUMINANCE
    whole = most_flashes(light.mean(axis=(1, 2))[:, None], fps).max()
    field = most_flashes(windows(light, FIELD), fps).max()
    return whole, field


rng = np.random.default_rng(7)


def parts():
    """Masks of what flashes: all, halves, a chequered board, a part anywhere."""
    y, x = np.mgrid[0:ROWS, 0:COLUMNS]
    yield "all", np.ones((ROWS, COLUMNS), bool)
    yield "left half", x < COLUMNS // 2
    yield "rows in turn", y % 2 == 0
    yield "board", (x // 15 + y // 8) % 2 == 0
    for _ in range(6):
        width, height = rng.integers(18, COLUMNS), rng.integers(16, ROWS)
        left, top = rng.integers(0, COLUMNS - width + 1), rng.integers(0, ROWS - height + 1)
        yield f"{width} x {height} at {left}, {top}", (
            (x >= left) & (x < left + width) & (y >= top) & (y < top + height)
        )


# The count itself sees what there is to see.
for hertz, wanted in ((1, 1), (3, 3), (4, 4), (10, 10)):
    square = np.array([[(n / 60 * hertz) % 1 < 0.5] for n in range(240)], dtype=float)
    assert most_flashes(square, 60)[0] == wanted, hertz
assert most_flashes(0.9 * np.array([[n % 2] for n in range(60)]) * 0.1, 60)[0] == 0
assert most_flashes(0.8 + 0.2 * np.array([[n % 2] for n in range(60)]), 60)[0] == 0

checked = flashing = held_in_all = 0
leaks = []
for fps in (25, 30, 60):
    for name, mask in parts():
        for _ in range(4):
            hertz, duty = rng.uniform(0.5, fps / 2), rng.uniform(0.2, 0.8)
            low, high = np.sort(rng.uniform(0, 1, 2))
            tint = rng.uniform(0.2, 1, 3)
            on = np.array([(n / fps * hertz) % 1 < duty for n in range(3 * fps)])
            level = np.where(on, high, low)[:, None, None]
            turn = np.where(on, low, high)[:, None, None] if rng.random() < 0.3 else low
            light = np.where(mask, level, turn)[..., None] * tint
            before = max(judged(light, fps))
            out, held = sent(light, fps)
            whole, field = judged(out, fps)
            checked += 1
            flashing += before > 3
            held_in_all += held
            if before <= 3 and held == 0:
                # What may pass passes as it is, to half a step and the error of 8-bit sRGB.
                assert np.abs(out - light).max() < 0.006, name
            if max(whole, field) > 3:
                leaks.append((fps, name, round(hertz, 2), round(high - low, 3), whole, field))
assert flashing > checked / 3, (flashing, checked)
for leak in leaks:
    print(leak)
assert not leaks, len(leaks)
print(f"{checked} strobes, {flashing} of them flashed more than three times a second; {held_in_all} frames held back")
