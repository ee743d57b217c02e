// The rules of Art-Net 4 for a node. One sender is shown; two are not merged.
#include "receiver.hpp"

namespace glowloom {

// How far behind a packet still counts as late: as in E1.31, for Art-Net does not say.
static constexpr uint8_t LATE = 19;

Receiver::Verdict Receiver::artnet(uint32_t now, const Sender& from, Bytes bytes) {
    const artnet::Packet packet = artnet::parse(bytes);
    switch (packet.kind) {
        case artnet::Kind::Dmx:
            return artnet_dmx(now, from, packet);
        case artnet::Kind::Sync:
            if (!has_source_) return count(counts_.ignored);
            // Ignored where its sender is not that of the slots (quoted alike in several sources).
            if (!is_from_source(from)) return count(counts_.strangers);
            synced_ = true;
            sync_ms_ = now;
            return show_held();
        case artnet::Kind::Poll:
            return Verdict::NotOurs;  // whoever holds the socket answers it
        case artnet::Kind::Reply:
        case artnet::Kind::Other:
            return count(counts_.ignored);
        case artnet::Kind::Wrong:
            break;
    }
    return count(counts_.wrong);
}

Receiver::Verdict Receiver::artnet_dmx(uint32_t now, const Sender& from,
                                       const artnet::Packet& packet) {
    Universe* universe = find(packet.port_address);
    if (universe == nullptr) return count(counts_.wrong);
    if (!is_from_source(from)) return count(counts_.strangers);
    const uint32_t ahead = numbered(universe->sequence, packet.sequence, 255, LATE);
    if (ahead == 0) return Verdict::NotOurs;
    universe->progress += ahead;
    universe->seen = true;
    universe->seen_ms = now;
    canvas_.hold(universe->start, universe->size, packet.slots.at, packet.slots.size);
    if (synced_ && since(now, sync_ms_) < artnet::SYNC_LOSS_MS) {
        universe->fresh = true;
        return Verdict::Taken;
    }
    synced_ = false;
    return show_at_once(*universe);
}

}  // namespace glowloom
