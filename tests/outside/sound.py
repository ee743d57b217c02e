"""What is heard, against the standards' tables and an independent FFT (PyPI: numpy, scipy).

Usage: sound.py PROGRAM

PROGRAM is the example `listen` of the room that hears. Held to:

- bands: the formulas of IEC 61260-1:2014, 5.4 to 5.6 (base ten), worked out anew in decimals, and five figures of its
  third-octave bands;
- A-weighting: Table 2 of IEC 61672-1:2002 (by way of a national adoption of it) with the limits of class 1, and
  the transfer function whose poles its annex gives, as scipy evaluates it;
- spectra: scipy's periodogram of the same samples, added up over each band, for tones, sweeps and noise;
- beats: tracks made here, with beats where the script has put them.
"""

import subprocess
import sys
from decimal import Decimal, getcontext

import numpy as np
from scipy import signal

PROGRAM = sys.argv[1]
getcontext().prec = 30
chance = np.random.default_rng(61672)

# Nominal, exact middle, edges to five figures (IEC 61260-1); A in dB, limits of class 1 (IEC 61672-1, Table 2).
TABLE = """
20 19.953 17.783 22.387 -50.5 2.5 -2.5
25 25.119 22.387 28.184 -44.7 2.5 -2.0
31.5 31.623 28.184 35.481 -39.4 2.0 -2.0
40 39.811 35.481 44.668 -34.6 1.5 -1.5
50 50.119 44.668 56.234 -30.2 1.5 -1.5
63 63.096 56.234 70.795 -26.2 1.5 -1.5
80 79.433 70.795 89.125 -22.5 1.5 -1.5
100 100.00 89.125 112.20 -19.1 1.5 -1.5
125 125.89 112.20 141.25 -16.1 1.5 -1.5
160 158.49 141.25 177.83 -13.4 1.5 -1.5
200 199.53 177.83 223.87 -10.9 1.5 -1.5
250 251.19 223.87 281.84 -8.6 1.4 -1.4
315 316.23 281.84 354.81 -6.6 1.4 -1.4
400 398.11 354.81 446.68 -4.8 1.4 -1.4
500 501.19 446.68 562.34 -3.2 1.4 -1.4
630 630.96 562.34 707.95 -1.9 1.4 -1.4
800 794.33 707.95 891.25 -0.8 1.4 -1.4
1000 1000.0 891.25 1122.0 0 1.1 -1.1
1250 1258.9 1122.0 1412.5 0.6 1.4 -1.4
1600 1584.9 1412.5 1778.3 1.0 1.6 -1.6
2000 1995.3 1778.3 2238.7 1.2 1.6 -1.6
2500 2511.9 2238.7 2818.4 1.3 1.6 -1.6
3150 3162.3 2818.4 3548.1 1.2 1.6 -1.6
4000 3981.1 3548.1 4466.8 1.0 1.6 -1.6
5000 5011.9 4466.8 5623.4 0.5 2.1 -2.1
6300 6309.6 5623.4 7079.5 -0.1 2.1 -2.6
8000 7943.3 7079.5 8912.5 -1.1 2.1 -3.1
10000 10000 8912.5 11220 -2.5 2.6 -3.6
12500 12589 11220 14125 -4.3 3.0 -6.0
16000 15849 14125 17783 -6.6 3.5 -17.0
20000 19953 17783 22387 -9.3 4.0 -inf
"""


def printed(*arguments, samples=None):
    raw = None if samples is None else samples.astype("<f4").tobytes()
    done = subprocess.run([PROGRAM, *map(str, arguments)], input=raw, check=True, capture_output=True)
    return [line.split() for line in done.stdout.decode().splitlines()]


def weighting(frequencies):
    """A in dB from the poles of the transfer function: 20.6 Hz and 12.2 kHz twice, 107.7 Hz, 737.9 Hz."""
    poles = -2 * np.pi * np.array([20.598997, 20.598997, 107.65265, 737.86223, 12194.217, 12194.217])
    system = signal.ZerosPolesGain([0, 0, 0, 0], poles, 1.0)
    _, response = signal.freqresp(system, 2 * np.pi * np.append(frequencies, 1000.0))
    decibels = 20 * np.log10(np.abs(response))
    return decibels[:-1] - decibels[-1]


# Bands and weights of the table.
found = np.array(printed("bands", 3), dtype=float)
table = np.array([line.split() for line in TABLE.strip().splitlines()], dtype=float)
assert found.shape == (31, 4) and table.shape == (31, 7)
for ours, theirs in zip(found, table):
    for figure, wanted in zip(ours[:3], theirs[1:4]):
        assert float(f"{figure:.5g}") == wanted, (figure, wanted)
    assert abs(ours[3] - theirs[4]) <= 0.05 + 1e-9, (ours, theirs)
    assert theirs[6] <= ours[3] - theirs[4] <= theirs[5]
apart = np.abs(found[:, 3] - weighting(found[:, 0])).max()
assert apart < 1e-4, apart
print(f"31 bands and weights as in the tables; A within {apart:.1e} dB of the transfer function")

# Exact frequencies of other fractions.
count = 0
for parts in range(1, 25):
    G = Decimal(10) ** (Decimal(3) / 10)
    for middle, low, high, weight in np.array(printed("bands", parts), dtype=float):
        # The nearest number that a band may have.
        halves = Decimal(middle / 1000).log10() / G.log10() * 2 * parts
        wanted = halves.to_integral_value()
        assert int(wanted) % 2 == (0 if parts % 2 else 1), (parts, middle)
        exact = 1000 * G ** (wanted / (2 * parts))
        edge = G ** (Decimal(1) / (2 * parts))
        for figure, value in ((middle, exact), (low, exact / edge), (high, exact * edge)):
            assert abs(figure / float(value) - 1) < 1e-12, (parts, figure, value)
        assert abs(weight - weighting(np.array([middle]))[0]) < 1e-4
        count += 1
print(f"{count} bands of 1 to 24 parts of an octave exact")


def compare(what, rate, samples):
    """Every hop's bands and level against scipy's periodogram of the same window."""
    samples = np.asarray(samples, dtype=np.float32)
    (window, *edges), *hops = printed(rate, samples=samples)
    window = int(window)
    edges = np.array([pair.split(",") for pair in edges], dtype=float)
    padded = np.concatenate([np.zeros(window), samples.astype(float)])
    width = rate / window
    worst, compared = 0.0, 0
    for until, level, _, *powers in hops:
        end = int(until) + window
        part = padded[end - window : end]
        frequencies, density = signal.periodogram(part, rate, "hann", detrend=False, scaling="density")
        # What lies below each frequency: bins are as wide as they are apart.
        cumulative = np.concatenate([[0], np.cumsum(density) * width])
        borders = np.concatenate([frequencies - width / 2, [frequencies[-1] + width / 2]])
        below = np.interp(edges, borders, cumulative)
        wanted = below[:, 1] - below[:, 0]
        got = np.array(powers, dtype=float)
        loud = wanted > max(1e-9, 1e-7 * wanted.max())
        if loud.any():
            decibels = np.abs(10 * np.log10(got[loud] / wanted[loud]))
            worst, compared = max(worst, decibels.max()), compared + int(loud.sum())
        with np.errstate(divide="ignore"):
            weights = 10 ** (weighting(np.maximum(frequencies, 1e-3)) / 10)
        total = (density * weights).sum() * width
        if total > 1e-9:
            worst = max(worst, abs(float(level) - 10 * np.log10(2 * total)))
    print(f"{what} at {rate}: {compared} powers, at most {worst:.5f} dB apart")
    assert compared > 50 and worst < 0.01, (what, compared, worst)


for rate in (48000, 44100, 16000, 96000):
    t = np.arange(rate // 2) / rate
    tones = sum(
        0.2 * np.sin(2 * np.pi * frequency * t + phase)
        for frequency, phase in zip(chance.uniform(40, rate / 2.5, 4), chance.uniform(0, 6, 4))
    )
    compare("tones", rate, tones)
    compare("a sweep", rate, 0.7 * signal.chirp(t, 30, 0.5, rate * 0.45, method="logarithmic"))
    compare("noise", rate, chance.uniform(-0.5, 0.5, len(t)))


def drum(rate, kind):
    t = np.arange(int(rate * 0.3)) / rate
    fade = 1 - t / 0.3
    if kind == "thud":
        return 0.5 * np.sin(2 * np.pi * (50 * t + 2 * (1 - np.exp(-t / 0.03)))) * np.exp(-t / 0.1) * fade
    return 0.3 * chance.uniform(-1, 1, len(t)) * np.exp(-t / 0.04) * fade


worst = 0.0
for kind in ("thud", "hiss"):
    for tempo in chance.uniform(60, 180, 6):
        rate, noise = 48000, 0.004
        beats = (rate * (1 + np.arange(24) * 60 / tempo)).astype(int)
        samples = noise * chance.uniform(-1, 1, beats[-1] + rate)
        for beat in beats:
            hit = drum(rate, kind)
            samples[beat : beat + len(hit)] += hit
        _, *hops = printed(rate, samples=samples)
        said = np.array([int(beat) for _, _, beat, *_ in hops if beat != "-"])
        said = said[said > rate // 2]
        assert len(said) == len(beats), (kind, tempo, len(said), len(beats))
        apart = np.abs(said - beats).max() / rate
        worst = max(worst, apart)
        assert apart <= 0.050, (kind, tempo, apart)
print(f"288 beats at twelve tempi within {worst * 1000:.1f} ms")
