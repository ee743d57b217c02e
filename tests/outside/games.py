"""Plays the example games on a wall, by another implementation of RFC 6455: Python's own library.

Usage: games.py PROGRAM WALL FOLDER

The wall's one panel is virtual and saves what it shows. A second guest presses keys, as keys.html does.
"""

import pathlib
import subprocess
import sys
import time

PROGRAM, WALL, FOLDER = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3])
GAMES = pathlib.Path(__file__).parent.parent.parent / "examples" / "games"
PORT = 15581
sys.path.insert(0, str(GAMES))
from ferry import Ferry  # noqa: E402
from lamps import Lamps  # noqa: E402
from wall import Picture, Wall  # noqa: E402

# By themselves, on walls of many sizes: nothing is drawn outside, and keys do what they say.
for columns, rows in ((60, 32), (24, 8), (8, 5), (200, 20)):
    for game in (Ferry(columns, rows, 5), Lamps(columns, rows, 5)):
        picture = Picture(columns, rows)
        for n in range(3000):
            game.step(1 / 30, {"ArrowUp"} if n % 90 < 45 else {"ArrowDown", "ArrowLeft"}, {"Space"} if n % 50 == 0 else set())
            game.draw(picture)
            assert len(picture.bytes) == 3 * columns * rows
        assert game.score
up, down = Ferry(60, 32, 1), Ferry(60, 32, 1)
lamps = Lamps(60, 32, 1)
for _ in range(20):
    up.step(1 / 30, {"ArrowUp"}, set())
    down.step(1 / 30, {"ArrowDown"}, set())
    lamps.step(1 / 30, {"ArrowLeft"}, set())
assert up.y < down.y and lamps.x < 30
lamps.oil = [0.1] * len(lamps.oil)
lamps.x = lamps.places[2]
lamps.step(1 / 30, set(), {"ArrowUp"})
assert lamps.oil[2] > 0.9 and lamps.oil[1] < 0.2

# On a wall.
for name in ("ferry", "lamps"):
    frames = FOLDER / name
    panels = subprocess.Popen([PROGRAM, "panels", WALL, "--save", frames, "--for", "12s"], stdout=subprocess.DEVNULL)
    time.sleep(0.7)
    show = subprocess.Popen(
        [PROGRAM, "show", WALL, f"socket,listen=127.0.0.1:{PORT}", "--for", "9s"],
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
    )
    deadline, pad = time.monotonic() + 8, None
    while pad is None:
        try:
            pad = Wall(port=PORT)
        except OSError:
            assert time.monotonic() < deadline, "the wall never listened"
            time.sleep(0.05)
    assert (pad.columns, pad.rows) == (41, 23), (pad.columns, pad.rows)
    game = subprocess.Popen(
        [sys.executable, GAMES / f"{name}.py", "--port", str(PORT), "--for", "3"],
        stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True,
    )
    for _ in range(10):
        pad.send(b"key ArrowDown down", kind=1)
        pad.send(b"key ArrowDown up", kind=1)
        time.sleep(0.1)
    out, _ = game.communicate(timeout=20)
    assert game.returncode == 0 and "on the wall" in out, out
    pad.send(b"hello", kind=1)
    said, until = [], time.monotonic() + 5
    try:
        while time.monotonic() < until and not said:
            said += pad.lines(0.1)
    except ConnectionError:
        pass
    assert said and said[0].startswith("wrong a text is not understood"), said
    _, err = show.communicate(timeout=20)
    assert show.returncode == 0 and f"ws://127.0.0.1:{PORT}/" in err, err
    panels.wait(timeout=20)
    saved = {path.read_bytes() for path in frames.iterdir()}
    assert len(saved) > 10, f"{name}: {len(saved)} pictures"
    print(f"{name}: {len(saved)} pictures")
