"""tshark (Debian) dissects what `show` sends over loopback: no malformed packet in 1,000 frames.

Usage: dissect.py PROGRAM WALL WORKDIR

tshark's ACN dissector knows E1.31 data packets; synchronization and discovery packets it shows as
plain UDP, so these are counted by their port and size and compared byte by byte elsewhere. It is
older than E1.31-2016 and shows the synchronization address as reserved. Slot values are another check.
"""

import collections
import os
import subprocess
import sys
import time

from numbered import picture, pixel_map

# What each field of a data packet must hold (E1.31-2018 Table 4-1); `n` is the number of slots.
FIELDS = {
    "acn.preamble_size": lambda n: "16",
    "acn.postamble_size": lambda n: "0",
    "acn.packet_identifier": lambda n: "ASC-E1.17",
    "acn.pdu.flags": lambda n: "0x70,0x70,0x70",
    "acn.pdu.length": lambda n: f"{110 + n},{88 + n},{11 + n}",
    "acn.protocol_id": lambda n: "4",
    "acn.dmx_vector": lambda n: "2",
    "acn.dmx.priority": lambda n: "100",
    "acn.dmp_vector": lambda n: "2",
    "acn.dmp_adt_v": lambda n: "1",
    "acn.dmp_adt_r": lambda n: "0",
    "acn.dmp_adt_d": lambda n: "2",
    "acn.dmp_adt_a": lambda n: "1",
    "acn.dmx.first_property_address": lambda n: "0",
    "acn.dmx.increment": lambda n: "1",
    "acn.dmx.count": lambda n: f"{n + 1}",
    "acn.dmx.start_code2": lambda n: "0",
    "udp.length": lambda n: f"{8 + 126 + n}",
}
OTHERS = ["acn.cid", "acn.dmx.source_name", "acn.dmx.reserved", "acn.dmx.seq_number", "acn.dmx.options",
          "acn.dmx.universe", "_ws.malformed", "_ws.expert.severity"]


def plain(value):
    """tshark prints some numbers with 0x and some flags as words."""
    words = {"True": "1", "False": "0"}
    return ",".join(words.get(part, str(int(part, 0)) if part.startswith("0x") and part != "0x70" else part) for part in value.split(","))


def main(program, wall, work):
    rows = pixel_map(program, wall)
    columns = 1 + max(int(row["column"]) for row in rows)
    height = 1 + max(int(row["row"]) for row in rows)
    path = os.path.join(work, "numbered.png")
    picture(path, columns, height, seed=2)
    universes = sorted({int(row["universe"]) for row in rows})
    slots = collections.defaultdict(int)
    for row in rows:
        universe = int(row["universe"])
        slots[universe] = max(slots[universe], int(row["slot"]) + 2)

    capture = os.path.join(work, "show.pcap")
    # Without the questions of DDP how receivers are, which go to the same port, and their answers.
    tshark = subprocess.Popen(
        ["tshark", "-q", "-i", "lo", "-f", "udp port 5568 and udp[8] != 0x42 and udp[8] != 0x45", "-B", "64", "-F", "pcap", "-w", capture],
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
    )
    for line in tshark.stderr:
        if "Capturing on" in line:
            break
    # Somebody must listen, else the system refuses packets instead of carrying them.
    panels = subprocess.Popen([program, "panels", wall, "--for", "25s"], stdout=subprocess.PIPE, text=True)
    time.sleep(1)
    subprocess.run([program, "show", wall, path, "--for", "21s"], check=True)
    heard = panels.communicate()[0].splitlines()
    tshark.terminate()
    tshark.wait()

    fields = list(FIELDS) + OTHERS
    text = subprocess.run(
        ["tshark", "-r", capture, "--enable-heuristic", "acn", "-o", "acn.dmx_enable:TRUE", "-T", "fields", "-E", "occurrence=a"]
        + [arg for field in fields for arg in ("-e", field)],
        check=True, capture_output=True, text=True,
    ).stdout
    frames = [dict(zip(fields, line.split("\t"))) for line in text.splitlines()]
    bad = [frame for frame in frames if frame.get("_ws.malformed") or frame.get("_ws.expert.severity")]
    assert not bad, bad[:3]
    data = [frame for frame in frames if frame["acn.dmx.universe"]]
    syncs = [frame for frame in frames if not frame["acn.dmx.universe"] and frame["udp.length"] == str(8 + 49)]
    assert len(data) + len(syncs) == len(frames), (len(data), len(syncs), len(frames))

    last = {}
    per_universe = collections.Counter()
    ended = collections.Counter()
    cids = set()
    for frame in data:
        universe = int(frame["acn.dmx.universe"])
        for field, wanted in FIELDS.items():
            found = plain(frame[field])
            assert found == wanted(slots[universe]), (universe, field, found, wanted(slots[universe]))
        sequence = int(frame["acn.dmx.seq_number"])
        if universe in last:
            assert sequence == (last[universe] + 1) % 256, (universe, last[universe], sequence)
        last[universe] = sequence
        per_universe[universe] += 1
        cids.add(frame["acn.cid"])
        assert int(frame["acn.dmx.reserved"]) == max(universes) + 1, frame
        assert frame["acn.dmx.source_name"] == "Glowloom Breakwater", frame
        options = int(frame["acn.dmx.options"], 0)
        assert options in (0, 0x40), frame
        # Nothing comes after the end of a stream but its repetition.
        assert options == 0x40 or not ended[universe], frame
        ended[universe] += options == 0x40
    assert sorted(per_universe) == universes, (sorted(per_universe), universes)
    assert len(cids) == 1, cids
    assert len(set(per_universe.values())) == 1, per_universe
    shown = next(iter(per_universe.values()))
    assert shown >= 1000, f"{shown} frames in 21 s at 50 a second"
    assert all(ended[universe] == 3 for universe in universes), ended
    # Our own receiver agrees with the dissector: it lost nothing either.
    for line in heard[-2:]:
        assert "0 packets lost, 0 late, 0 wrong" in line, line
    print(f"{shown} frames of {len(universes)} universes: {len(data)} data and {len(syncs)} synchronization packets, none malformed")


main(*sys.argv[1:])
