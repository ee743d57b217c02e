"""An independent Art-Net receiver (PyPI: python-artnet 1.2.0) gets what `show` sends, and tshark
(Debian) dissects all of it.

Usage: receive_artnet.py PROGRAM WALL WORKDIR

The wall's receivers are at 127.0.0.11 and 127.0.0.12 on the protocol's own port. Every pixel of a
numbered picture must arrive in the universe and slot that the pixel map names, within half a device
step, the Port-Address being the universe's number. Both sides of the questions who is there are
dissected: those of `show`, answered by the library, and the answers of virtual panels to a question
that is written here, byte by byte.
"""

import collections
import os
import socket
import subprocess
import sys
import time

from python_artnet import python_artnet

from numbered import picture, pixel_map, wanted

HOSTS = ["127.0.0.11", "127.0.0.12"]
# ArtPoll, protocol version 14, no flags: the packet definition on the protocol's site.
QUESTION = b"Art-Net\0" + b"\x00\x20" + b"\x00\x0e" + b"\x00\x00"
FIELDS = ["ip.src", "ip.dst", "udp.srcport", "udp.dstport", "udp.length", "artnet.header.opcode", "artnet.header.protver",
          "artnet.output.sequence", "artnet.output.physical", "artnet.output.universe", "artnet.output.length",
          "artnet.poll.talktome", "artnet.poll_reply.ip_address", "artnet.poll_reply.port_nr", "artnet.poll_reply.oem",
          "artnet.poll_reply.esta_man", "artnet.poll_reply.short_name", "artnet.poll_reply.long_name",
          "artnet.poll_reply.num_ports", "artnet.poll_reply.style", "artnet.poll_reply.bind_index",
          "artnet.poll_reply.addrsupport", "artnet.poll_reply.good_output_data",
          *[f"artnet.poll_reply.swout_{n}_universe" for n in (1, 2, 3, 4)],
          *[f"artnet.poll_reply.port_types_{n}" for n in (1, 2, 3, 4)], "_ws.malformed", "_ws.expert.severity"]
DMX, SYNC, POLL, REPLY = 0x5000, 0x5200, 0x2000, 0x2100


def capture(path):
    tshark = subprocess.Popen(
        ["tshark", "-q", "-i", "lo", "-f", "udp", "-B", "64", "-F", "pcap", "-w", path],
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
    )
    for line in tshark.stderr:
        if "Capturing on" in line:
            time.sleep(1)  # it says so before it does
            return tshark
    raise AssertionError("tshark does not capture")


def dissected(path):
    """Art-Net packets on any port: questions come from a free one, and answers go there."""
    text = subprocess.run(
        ["tshark", "-r", path, "-T", "fields", "-E", "occurrence=f", "-Y", "artnet"] + [arg for field in FIELDS for arg in ("-e", field)],
        check=True, capture_output=True, text=True,
    ).stdout
    return [dict(zip(FIELDS, line.split("\t"))) for line in text.splitlines()]


def kind(frame):
    return int(frame["artnet.header.opcode"], 0)


def check_stream(frames, universes, slots):
    bad = [frame for frame in frames if frame["_ws.malformed"] or frame["_ws.expert.severity"]]
    assert not bad, bad[:3]
    last, counts = {}, collections.Counter()
    for frame in frames:
        if kind(frame) != DMX:
            continue
        universe = int(frame["artnet.output.universe"])
        assert frame["udp.dstport"] == "6454", frame
        assert int(frame["artnet.header.protver"], 0) == 14, frame
        assert int(frame["artnet.output.physical"]) == 0, frame
        length = slots[universe] + slots[universe] % 2
        assert int(frame["artnet.output.length"]) == length, (frame, slots[universe])
        assert int(frame["udp.length"]) == 8 + 18 + length, frame
        sequence = int(frame["artnet.output.sequence"])
        if universe in last:
            assert sequence == last[universe] % 255 + 1, (universe, last[universe], sequence)
        last[universe] = sequence
        counts[universe] += 1
    assert sorted(counts) == universes, (sorted(counts), universes)
    assert len(set(counts.values())) == 1, counts
    shown = next(iter(counts.values()))
    # After the slots of each frame one ArtSync to each receiver, and nothing else between.
    order = [kind(frame) for frame in frames if kind(frame) in (DMX, SYNC)]
    frame = [DMX] * len(universes) + [SYNC] * len(HOSTS)
    assert order == frame * shown, "ArtDmx and ArtSync are not in the order of frames"
    assert shown >= 150, f"{shown} frames in 6 s at 30 a second"
    return shown


def check_questions(frames):
    """`show` asks each receiver every 2.5 to 3 s, and the library's answers are none of tshark's worries."""
    asked = collections.Counter(frame["ip.dst"] for frame in frames if kind(frame) == POLL)
    assert asked == {host: 3 for host in HOSTS}, asked
    for frame in frames:
        if kind(frame) == POLL:
            assert int(frame["udp.length"]) == 8 + 14 and int(frame["artnet.poll.talktome"], 0) == 0, frame
    replies = collections.Counter(frame["ip.src"] for frame in frames if kind(frame) == REPLY)
    assert set(replies) == set(HOSTS), replies


def check_answers(program, wall, work, universes):
    path = os.path.join(work, "answers.pcap")
    tshark = capture(path)
    panels = subprocess.Popen([program, "panels", wall, "--for", "3s"], stdout=subprocess.DEVNULL)
    time.sleep(1)
    asker = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    for host in HOSTS:
        asker.sendto(QUESTION, (host, 6454))
    panels.wait()
    time.sleep(0.5)
    tshark.terminate()
    tshark.wait()
    frames = dissected(path)
    assert not any(frame["_ws.malformed"] or frame["_ws.expert.severity"] for frame in frames), frames
    told = []
    for frame in frames:
        if kind(frame) != REPLY:
            continue
        assert frame["artnet.poll_reply.ip_address"] == frame["ip.src"], frame
        assert int(frame["udp.length"]) == 8 + 239, frame
        assert int(frame["artnet.poll_reply.port_nr"], 0) == 6454, frame
        assert int(frame["artnet.poll_reply.esta_man"], 0) == 0x7FF0, frame
        assert int(frame["artnet.poll_reply.oem"], 0) == 0x00FF, frame
        assert int(frame["artnet.poll_reply.style"], 0) == 0, frame
        assert int(frame["artnet.poll_reply.addrsupport"], 0) == 1, frame
        name = {"127.0.0.11": "a", "127.0.0.12": "b"}[frame["ip.src"]]
        assert frame["artnet.poll_reply.short_name"] == name, frame
        assert frame["artnet.poll_reply.long_name"] == f"Glowloom virtual panel {name}", frame
        count = int(frame["artnet.poll_reply.num_ports"])
        assert 1 <= count <= 4, frame
        for n in range(1, 5):
            puts_out = int(frame[f"artnet.poll_reply.port_types_{n}"], 0) == 0x80
            assert puts_out == (n <= count), frame
            if puts_out:
                told.append(int(frame[f"artnet.poll_reply.swout_{n}_universe"], 0))
    assert sorted(told) == universes, (sorted(told), universes)


def main(program, wall, work):
    rows = pixel_map(program, wall)
    columns = 1 + max(int(row["column"]) for row in rows)
    height = 1 + max(int(row["row"]) for row in rows)
    path = os.path.join(work, "numbered.png")
    pixels = picture(path, columns, height, seed=3)
    slots = collections.defaultdict(int)
    for row in rows:
        universe = int(row["universe"])
        slots[universe] = max(slots[universe], int(row["slot"]) + 2)
    universes = sorted(slots)

    receivers = [python_artnet.Artnet(BINDIP=host, SYSIP=host, MAC=["02", "00", "00", "00", "00", "07"], UNILENGTH=max(universes) + 1) for host in HOSTS]
    time.sleep(0.5)
    pcap = os.path.join(work, "show.pcap")
    tshark = capture(pcap)
    # Every byte is compared, so nothing may be dimmed for what this wall's copper carries.
    playing = subprocess.Popen([program, "show", wall, path, "--brightness", "1", "--above-safe", "--for", "7s"])
    # Long enough for the flash guard to have let the picture come up whole.
    time.sleep(4)
    seen = {}
    for receiver in receivers:
        for packet in list(receiver.readBuffer()):
            if packet.data is not None:
                seen[packet.universe] = packet.data
    playing.wait()
    time.sleep(1.2)  # the library answers up to a second late
    tshark.terminate()
    tshark.wait()
    for receiver in receivers:
        receiver.close()
        receiver.sock.close()
    assert playing.returncode == 0, playing.returncode

    assert sorted(seen) == universes, (sorted(seen), universes)
    worst = 0
    for row in rows:
        slot = int(row["slot"]) - 1
        pixel = pixels[int(row["row"]) * columns + int(row["column"])]
        for have, want in zip(seen[int(row["universe"])][slot : slot + 3], wanted(pixel, 255)):
            worst = max(worst, abs(have - want))
    assert worst <= 0.51, f"a pixel is off by {worst:.3f} device steps"
    frames = dissected(pcap)
    shown = check_stream(frames, universes, slots)
    check_questions(frames)
    check_answers(program, wall, work, universes)
    print(f"{len(rows)} pixels in {len(universes)} Port-Addresses arrived, off by at most {worst:.3f} device steps; {shown} frames dissected")


main(*sys.argv[1:])
