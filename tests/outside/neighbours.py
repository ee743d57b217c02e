"""An independent browser of DNS-SD (PyPI: zeroconf 0.154.0) sees the virtual panels, an independent DDP library
(PyPI: python-led-ddp 1.0.1) asks them how they are, and `show` follows a panel that the browser's library tells of.

Usage: neighbours.py PROGRAM WALL WORKDIR

The wall's receivers are at 127.0.0.11 and 127.0.0.12 and speak DDP. All goes over the loopback interface.
"""

import json
import os
import socket
import subprocess
import sys
import time

from ddp.packet import Packet
from ddp.protocol.id import ID
from zeroconf import ServiceBrowser, ServiceInfo, ServiceListener, Zeroconf

KIND = "_glowloom._udp.local."


class Seen(ServiceListener):
    def __init__(self):
        self.infos = {}

    def add_service(self, zc, kind, name):
        self.infos[name] = zc.get_service_info(kind, name, 5000)

    update_service = add_service

    def remove_service(self, zc, kind, name):
        self.infos.pop(name, None)


def until(what, holds, seconds=30):
    end = time.monotonic() + seconds
    while not (found := holds()):
        assert time.monotonic() < end, f"never: {what}"
        time.sleep(0.1)
    return found


def ask(address, port):
    asker = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    asker.settimeout(1)
    question = bytes([0x42, 0, 0, int(ID.STATUS), 0, 0, 0, 0, 0, 0])
    assert Packet.from_bytes(question).header.packet_type.query
    for _ in range(20):
        asker.sendto(question, (address, port))
        try:
            answer = Packet.from_bytes(asker.recv(2000))
        except TimeoutError:
            continue
        kind = answer.header.packet_type
        assert kind.reply and kind.push and kind.version == 1 and not kind.query, kind
        assert answer.header.id == ID.STATUS and answer.header.length == len(answer.data), answer.header
        return json.loads(answer.data)["status"]
    raise AssertionError(f"{address} never answers")


def status(program, wall):
    return json.loads(subprocess.run([program, "status", wall, "--json"], capture_output=True, text=True).stdout)


def main(program, wall, work):
    os.environ["XDG_RUNTIME_DIR"] = os.environ["XDG_DATA_HOME"] = work
    zc = Zeroconf(interfaces=["127.0.0.1"])
    seen = Seen()
    ServiceBrowser(zc, KIND, seen)
    panels = subprocess.Popen([program, "panels", wall], stdout=subprocess.DEVNULL)
    ours = lambda: [i for i in seen.infos.values() if i and i.decoded_properties.get("wall") == "Breakwater"]
    until("both panels are seen", lambda: len(ours()) == 2)
    prints = {}
    for info in ours():
        keys = info.decoded_properties
        panel = keys["panel"]
        assert info.parsed_addresses() == [{"a": "127.0.0.11", "b": "127.0.0.12"}[panel]], info
        assert info.port == 4048 and keys["txtvers"] == "1" and keys["protocol"] == "ddp", info
        prints[panel] = keys["print"]
        told = ask(info.parsed_addresses()[0], info.port)
        assert (told["wall"], told["panel"], told["print"]) == ("Breakwater", panel, keys["print"]), told
        assert told["shown"] == 0 and "from" not in told, told
    assert len(set(prints.values())) == 2, prints

    # A receiver of panel b at another address, told of by the library; it answers nothing.
    receiver = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    receiver.bind(("127.0.0.13", 4048))
    receiver.settimeout(20)
    panels.terminate()
    assert panels.wait() == 0
    until("they said goodbye", lambda: not ours())
    moved = ServiceInfo(
        KIND, f"moved.{KIND}", addresses=[socket.inet_aton("127.0.0.13")], port=4048, server="moved.local.",
        properties={"txtvers": "1", "wall": "Breakwater", "panel": "b", "protocol": "ddp"},
    )
    zc.register_service(moved)
    show = subprocess.Popen([program, "show", wall, "count"], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    assert Packet.from_bytes(receiver.recv(2000)).header.packet_type.version == 1
    at = lambda: (told := status(program, wall)) and [panel["at"] for panel in told["panels"]]
    until("it is followed", lambda: at() == ["127.0.0.11:4048", "127.0.0.13:4048"])
    show.terminate()
    said = show.communicate()[1]
    assert show.returncode == 0, show.returncode
    assert "panel b is at 127.0.0.13:4048" in said, said
    # Without discovery it is sent to where the wall file has it.
    show = subprocess.Popen([program, "show", wall, "count", "--no-discovery"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    until("it plays", lambda: at() == ["127.0.0.11:4048", "127.0.0.12:4048"])
    show.terminate()
    assert show.wait() == 0
    zc.close()
    print("two panels seen, asked and missed; one followed")


main(*sys.argv[1:])
