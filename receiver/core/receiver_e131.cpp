// The rules of ANSI E1.31-2018 for a receiver.
#include "receiver.hpp"

namespace glowloom {

Receiver::Verdict Receiver::e131(uint32_t now, Bytes bytes) {
    const e131::Packet packet = e131::parse(bytes);
    switch (packet.kind) {
        case e131::Kind::Data:
            return e131_data(now, packet);
        case e131::Kind::Sync:
            return e131_sync(now, packet);
        case e131::Kind::Discovery:
            return count(counts_.ignored);
        case e131::Kind::Wrong:
            break;
    }
    return count(counts_.wrong);
}

Receiver::Verdict Receiver::e131_data(uint32_t now, const e131::Packet& packet) {
    if (packet.start_code != 0 || packet.preview) return count(counts_.ignored);
    Universe* universe = find(packet.universe);
    if (universe == nullptr) return count(counts_.wrong);
    // The second and third of the packets that end a stream.
    if (packet.terminated && !has_source_) return Verdict::NotOurs;
    if (!e131_admits(packet)) return count(counts_.strangers);
    uint32_t ahead = 1;
    if (universe->counted) {
        if (!e131::sequence_accepts(universe->sequence, packet.sequence)) {
            return count(counts_.late);
        }
        const uint8_t step = static_cast<uint8_t>(packet.sequence - universe->sequence);
        // Half a round or more ahead is a sender that started anew.
        if (step < 128) ahead = step;
        counts_.lost += ahead - 1;
    }
    universe->counted = true;
    universe->sequence = packet.sequence;
    universe->progress += ahead;
    if (packet.terminated) return e131_end(*universe);
    universe->seen = true;
    universe->seen_ms = now;
    canvas_.hold(universe->start, universe->size, packet.slots.at, packet.slots.size);
    wanted_sync_ = packet.sync;
    force_ = packet.force_synchronization;
    if (synced_ && since(now, sync_ms_) >= e131::DATA_LOSS_MS) sync_is_late_ = true;
    if (!e131_holds()) return show_at_once(*universe);
    universe->fresh = true;
    return Verdict::Taken;
}

// Whether a packet's sender is shown: the one that is, or one of higher priority, or any where there
// is none. Of two with one priority the first stays; a stream that ends takes nothing over.
bool Receiver::e131_admits(const e131::Packet& packet) {
    if (has_source_ && same(cid_, packet.cid, sizeof cid_)) {
        priority_ = packet.priority;
        return true;
    }
    if (has_source_ && packet.priority <= priority_) return false;
    if (packet.terminated) return false;
    forget();
    has_source_ = true;
    copy(cid_, packet.cid, sizeof cid_);
    priority_ = packet.priority;
    return true;
}

// Whether data waits: it has an address that synchronization packets have come for. Until the first
// one it is shown at once (11.1, from memory). Once they have been missing for 2.5 s, the option
// Force_Synchronization says whether it is shown at once again (6.2.6).
bool Receiver::e131_holds() const {
    if (!synced_ || wanted_sync_ == 0 || sync_address_ != wanted_sync_) return false;
    return !force_ || !sync_is_late_;
}

Receiver::Verdict Receiver::e131_sync(uint32_t now, const e131::Packet& packet) {
    if (!has_source_) return count(counts_.ignored);
    if (!same(cid_, packet.cid, sizeof cid_)) return count(counts_.strangers);
    if (wanted_sync_ != packet.sync) return count(counts_.wrong);
    if (synced_ && sync_address_ == packet.sync) {
        if (!e131::sequence_accepts(sync_sequence_, packet.sequence)) return count(counts_.late);
        const uint8_t step = static_cast<uint8_t>(packet.sequence - sync_sequence_);
        if (step < 128) counts_.lost += step - 1u;
    }
    synced_ = true;
    sync_is_late_ = false;
    sync_address_ = packet.sync;
    sync_sequence_ = packet.sequence;
    sync_ms_ = now;
    return show_held();
}

Receiver::Verdict Receiver::e131_end(Universe& universe) {
    const bool was_live = universe.seen;
    universe.seen = universe.fresh = false;
    if (!was_live || any_seen()) return Verdict::Taken;
    forget();
    return Verdict::Ended;
}

}  // namespace glowloom
