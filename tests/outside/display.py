"""A display of DDP in Python, which judges what it gets, and where the pixel map says that pixels lie in it.

Packets are taken apart by the PyPI library python-led-ddp 1.0.1.
"""

from ddp.packet import Packet
from ddp.protocol.id import ID
from ddp.protocol.pixel_config import DataType, PixelFormat

HOSTS = ["127.0.0.11", "127.0.0.12"]
PANELS = ["a", "b"]


class Display:
    """A display: a buffer, what it has shown, and a judge of packets."""

    def __init__(self, custom, data_type=DataType.RGB):
        self.data_type = data_type
        self.custom, self.buffer, self.shown = custom, bytearray(1 << 16), []
        self.last, self.end, self.packets, self.asked = None, 0, 0, 0

    def take(self, data):
        packet = Packet.from_bytes(data)
        header = packet.header
        kind = header.packet_type
        if kind.query:
            # How it is, is asked once a second, and has no part in the frames.
            assert header.id == ID.STATUS and not packet.data and len(data) == 10, header
            assert not (kind.push or kind.timecode or kind.storage or kind.reply), kind
            self.asked += 1
            return
        assert kind.version == 1 and not (kind.timecode or kind.storage or kind.reply or kind.query), kind
        assert header.id == ID.DEFAULT, header
        assert len(packet.data) == header.length == len(data) - 10, (header, len(data))
        config = header.pixel_config
        assert config.customer_defined == self.custom, config
        assert config.data_type == self.data_type, config
        assert config.data_size == (PixelFormat.PIXEL_16_BITS if self.custom else PixelFormat.PIXEL_8_BITS), config
        if self.last is not None:
            assert header.sequence_number == self.last % 15 + 1, (self.last, header.sequence_number)
        self.last = header.sequence_number
        # Offsets rise without a gap, and the last packet alone shows the frame.
        assert header.offset == self.end, (header.offset, self.end)
        self.buffer[header.offset : header.offset + header.length] = packet.data
        self.end = header.offset + header.length
        self.packets += 1
        if kind.push:
            self.shown.append(bytes(self.buffer[: self.end]))
            self.end = 0


def places(rows, panel):
    """The pixels of a panel in the order of its buffer: data line after data line, `index` after `index`."""
    own = [row for row in rows if row["panel"] == panel]
    ends = {}
    for row in own:
        line = int(row["data_line"])
        ends[line] = max(ends.get(line, 0), int(row["index"]) + 1)
    starts, start = {}, 0
    for line in sorted(ends):
        starts[line], start = start, start + ends[line]
    return [(starts[int(row["data_line"])] + int(row["index"]), row) for row in own], start
