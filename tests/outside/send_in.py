"""Independent senders (PyPI: sacn 1.11.0 for E1.31, aioartnet 0.2.1 for Art-Net, python-led-ddp 1.0.1 for
DDP) send a picture to `show`, which plays it on the wall.

Usage: send_in.py PROGRAM WALL e1.31|art-net|ddp

`show` listens at 127.0.0.20 on the protocol's own port and takes the picture's pixels row by row. The
wall's receivers are displays of DDP at 127.0.0.11 and 127.0.0.12; every level must come out at the pixel
that the pixel map names, as it went in. With E1.31 a second sender of lower priority sends another
picture all the time, which must not be seen. The Art-Net sender sends to nobody that has not answered
its question who is there and for which Port-Addresses.
"""

import asyncio
import csv
import random
import select
import socket
import subprocess
import sys
import threading
import time

from display import HOSTS, PANELS, Display, places

AT = "127.0.0.20"


def universes(levels):
    """512 slots each: 170 pixels, the rest zeros."""
    parts = [levels[at : at + 510] for at in range(0, len(levels), 510)]
    return {number: part + bytes(512 - len(part)) for number, part in enumerate(parts, 1)}


def send_e131(levels, over):
    import sacn

    def sender(name, priority, levels, port):
        sender = sacn.sACNsender(bind_address="127.0.0.1", bind_port=port, source_name=name, fps=30)
        sender.start()
        for number, slots in universes(levels).items():
            sender.activate_output(number)
            sender[number].destination = AT
            sender[number].priority = priority
            sender[number].dmx_data = tuple(slots)
        return sender

    # The lower one is there first.
    low = sender("low desk", 90, bytes(255 - level for level in levels), 40001)
    time.sleep(1)
    high = sender("high desk", 110, levels, 40002)
    over.wait()
    high.stop()
    low.stop()


def send_artnet(levels, over):
    from aioartnet import ArtNetClient

    async def run():
        client = ArtNetClient()
        # Its broadcasts go to `show` alone: no other node of a network is disturbed.
        client.unicast_ip = client.listen_ip = "127.0.0.30"
        client.broadcast_ip = AT
        await client.connect()
        numbers = universes(levels)
        for number in numbers:
            client.set_port_config(number, is_input=True)
        while not over.is_set():
            for number, slots in numbers.items():
                client.set_dmx(number, slots)
            await asyncio.sleep(0.033)
        names = {node.portName: node.style for node in client.get_nodes() if node.ip == AT}
        assert list(names.values()) == [0] and len(client.get_nodes()) >= 1, client.get_nodes()

    asyncio.run(run())


def send_ddp(levels, over):
    from ddp.connection import DDPConnection
    from ddp.protocol import ID, PixelConfig

    async def run():
        display = await DDPConnection.create(f"{AT}:4048", PixelConfig.default(), ID.DEFAULT, "127.0.0.1:0")
        while not over.is_set():
            await display.write(levels)
            await asyncio.sleep(0.033)

    asyncio.run(run())


def main(program, wall, protocol):
    text = subprocess.run([program, "map", wall, "--csv"], check=True, capture_output=True, text=True).stdout
    everything = list(csv.DictReader(text.splitlines()))
    columns = 1 + max(int(row["column"]) for row in everything)
    rows = [row for row in everything if row["panel"]]
    chance = random.Random(5)
    levels = bytes(chance.randrange(256) for _ in range(3 * len(everything)))

    sockets = {}
    for host in HOSTS:
        receiver = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        receiver.bind((host, 4048))
        sockets[receiver] = Display(custom=False)
    # Every byte is compared, so nothing may be dimmed for what this wall's copper carries.
    playing = subprocess.Popen(
        [program, "show", wall, protocol, "--listen", AT, "--brightness", "1", "--above-safe", "--for", "8s"], stdout=subprocess.PIPE, text=True
    )
    over, failed = threading.Event(), []

    def send():
        try:
            {"e1.31": send_e131, "art-net": send_artnet, "ddp": send_ddp}[protocol](levels, over)
        except BaseException as error:
            failed.append(error)

    sender = threading.Thread(target=send)
    sender.start()
    began = time.time()
    while time.time() < began + 7.5:
        for receiver in select.select(list(sockets), [], [], 0.1)[0]:
            sockets[receiver].take(receiver.recv(2000))
    over.set()
    said = playing.communicate()[0]
    sender.join()
    assert not failed, failed
    assert playing.returncode == 0, playing.returncode

    for panel, display in zip(PANELS, sockets.values()):
        # Black at first, and as it was sent for long after: the flash guard lets it come up.
        assert len(display.shown) > 150, len(display.shown)
        frame = display.shown[-30]
        for place, row in places(rows, panel)[0]:
            at = 3 * (int(row["row"]) * columns + int(row["column"]))
            assert frame[3 * place : 3 * place + 3] == levels[at : at + 3], (panel, place, row)
    line = next(line for line in said.splitlines() if line.startswith(f"{protocol} in: "))
    assert " lost" not in line and " late" not in line and " wrong" not in line, line
    if protocol == "e1.31":
        assert "of another sender" in line, line
    print(line)


if __name__ == "__main__":
    main(*sys.argv[1:])
