"""An independent E1.31 receiver (PyPI: sacn 1.11.0) gets what `show` sends.

Usage: receive_e131.py PROGRAM WALL WORKDIR

The wall's receivers are at addresses 127.0.0.x on the protocol's own port. Every pixel of a numbered
picture must arrive in the universe and slot that the pixel map names, within half a device step.
"""

import os
import subprocess
import sys
import time

import sacn

from numbered import picture, pixel_map, wanted


def main(program, wall, work):
    rows = pixel_map(program, wall)
    columns = 1 + max(int(row["column"]) for row in rows)
    height = 1 + max(int(row["row"]) for row in rows)
    path = os.path.join(work, "numbered.png")
    pixels = picture(path, columns, height)

    got = {}
    receiver = sacn.sACNreceiver(bind_address="0.0.0.0")
    universes = sorted({int(row["universe"]) for row in rows})
    for universe in universes:
        receiver.register_listener("universe", lambda packet: got.__setitem__(packet.universe, packet), universe=universe)
    receiver.start()
    playing = subprocess.Popen([program, "show", wall, path, "--brightness", "1", "--above-safe", "--for", "6s"])
    # Every byte is compared, so nothing may be dimmed for what this wall's copper carries.
    # Long enough for the flash guard to have let the picture come up whole.
    time.sleep(3.5)
    seen = dict(got)
    playing.wait()
    receiver.stop()

    assert playing.returncode == 0, playing.returncode
    assert sorted(seen) == universes, (sorted(seen), universes)
    worst = 0
    for row in rows:
        packet = seen[int(row["universe"])]
        slot = int(row["slot"]) - 1
        pixel = pixels[int(row["row"]) * columns + int(row["column"])]
        for have, want in zip(packet.dmxData[slot : slot + 3], wanted(pixel, 255)):
            worst = max(worst, abs(have - want))
    assert worst <= 0.51, f"a pixel is off by {worst:.3f} device steps"
    for packet in seen.values():
        assert packet.priority == 100 and packet.sourceName.startswith("Glowloom"), vars(packet)
        assert packet.syncAddr == max(universes) + 1, packet.syncAddr
    print(f"{len(rows)} pixels in {len(universes)} universes arrived, off by at most {worst:.3f} device steps")


main(*sys.argv[1:])
