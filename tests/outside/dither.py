"""What dither in time makes of constant light, from the bytes that leave (PyPI: numpy).

Usage: dither.py PROGRAM

PROGRAM is the example `colours` of the room that shows. Nothing of the program's own way is known here:
linear light is worked out anew (IEC 61966-2-1), and bytes are only added up. Stated, and held to:

- the mean of 256 frames is within a quarter of a step of the light, of every code, at any brightness;
- codes 1 to 6, which are all dark when rounded, come out distinct and in order;
- means over any 4 x 4 pixels and any 4 frames are within 1/16 of a step of the light (and a 256th, the
  finest that is told apart), so that slow pulses of single pixels do not show as flicker;
- means over any 16 x 16 pixels are within 2/256 of a step in each frame, one from the thresholds and
  one from the light's own rounding: a wall does not pulse.
"""

import subprocess
import sys

import numpy as np

PROGRAM = sys.argv[1]
FRAMES = 256
AMPLITUDE = 1 / 16
FINEST = 1 / 256


def linear(codes):
    c = np.asarray(codes) / 255.0
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def shown(picture, frames=FRAMES, **figures):
    """Bytes by frame, row, column and channel."""
    rows, columns, _ = picture.shape
    given = [f"{key.replace('_', '-')}={','.join(str(v) for v in np.ravel(value))}" for key, value in figures.items()]
    command = [PROGRAM, str(columns), str(rows), str(frames), *given]
    out = subprocess.run(command, input=picture.tobytes(), check=True, capture_output=True).stdout
    return np.frombuffer(out, dtype=np.uint8).reshape(frames, rows, columns, -1)


# Every code, in a place of its own.
codes = np.arange(256, dtype=np.uint8).reshape(16, 16)
ramp = np.repeat(codes[:, :, None], 3, axis=2)
worst = 0.0
for ceiling, brightness in ((255, 1.0), (153, 1.0), (255, 0.3), (77, 0.8)):
    mean = shown(ramp, ceiling=ceiling, brightness=brightness, dither=1).astype(float).mean(axis=0)
    wanted = linear(codes)[:, :, None] * ceiling * brightness
    apart = np.abs(mean - wanted).max()
    assert apart <= 0.25, (ceiling, brightness, apart)
    worst = max(worst, apart)
    dark = mean.reshape(256, 3)[1:7]
    if brightness == 1.0:
        assert (np.diff(dark, axis=0) >= 0.02).all() and (dark[0] > 0.02).all(), dark
    assert shown(ramp, ceiling=ceiling, brightness=brightness, dither=1).max() <= ceiling
print(f"means of {FRAMES} frames: at most {worst:.4f} of a step apart; codes 1 to 6 distinct")

# Without dither they are dark: the check above can fail.
assert (shown(ramp, frames=1).reshape(256, 3)[1:7] == 0).all()

# Fields of one code: a window of 4 x 4 at every place, four frames from every frame on.
SIDE = 21
most, whole, pulse = 0.0, 0.0, 0.0
for code in (0, 1, 2, 3, 5, 6, 9, 20, 47, 127, 255):
    for ceiling, brightness in ((255, 1.0), (153, 0.8)):
        field = np.full((SIDE, SIDE, 3), code, dtype=np.uint8)
        frames = shown(field, frames=FRAMES + 3, ceiling=ceiling, brightness=brightness, dither=1).astype(float)
        light = linear(code) * ceiling * brightness
        windows = np.lib.stride_tricks.sliding_window_view(frames, (4, 4, 4), axis=(0, 1, 2)).mean(axis=(-3, -2, -1))
        most = max(most, np.abs(windows - light).max())
        squares = np.lib.stride_tricks.sliding_window_view(frames, (16, 16), axis=(1, 2)).mean(axis=(-2, -1))
        whole = max(whole, np.abs(squares - light).max())
        # What is left below 25 Hz at 50 frames a second, of means over 4 x 4 pixels.
        small = np.lib.stride_tricks.sliding_window_view(frames[:FRAMES], (4, 4), axis=(1, 2)).mean(axis=(-2, -1))
        spectrum = np.abs(np.fft.rfft(small, axis=0)) * 2 / FRAMES
        pulse = max(pulse, spectrum[1 : FRAMES // 2].max())
print(f"4 x 4 pixels and 4 frames: at most {most:.4f} of a step from the light; stated {AMPLITUDE:.4f}")
print(f"16 x 16 pixels in one frame: at most {whole:.4f} of a step; stated {2 * FINEST:.4f}")
print(f"strongest wave below half the frame rate, of 4 x 4 pixels: {pulse:.4f} of a step")
assert most <= AMPLITUDE + FINEST, most
assert whole <= 2 * FINEST, whole
assert pulse <= AMPLITUDE, pulse

# Links of 16 bits: steps of 5 and 6 bits, their mean still the light.
mean = shown(ramp, dither=1, bits=16).astype(float).mean(axis=0)
apart = np.abs(mean - linear(codes)[:, :, None] * 255)
step = np.array([255 / 31, 255 / 63, 255 / 31])
assert (apart <= step / 4).all(), apart.max(axis=(0, 1))
print(f"16 bits: at most {(apart / step).max():.4f} of a step apart")
