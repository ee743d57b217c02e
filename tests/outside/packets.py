"""Packets of the PyPI library sacn 1.11.0, to be compared with ours byte by byte.

Usage: packets.py
Prints one packet a line: name, then its bytes in hexadecimal.
"""

import sacn.messages.data_packet as data
import sacn.messages.sync_packet as sync
import sacn.messages.universe_discovery as discovery

CID = tuple(range(0x10, 0x20))

packet = data.DataPacket(CID, "Glowloom", 1, dmxData=tuple(range(256)) * 2, priority=100, sequence=7)
packet.syncAddr = 7000
print("data", bytes(packet.getBytes()).hex())
print("sync", bytes(sync.SyncPacket(CID, 7000, 5).getBytes()).hex())
print("discovery", bytes(discovery.UniverseDiscoveryPacket(CID, "Glowloom", (1, 2, 7)).getBytes()).hex())
