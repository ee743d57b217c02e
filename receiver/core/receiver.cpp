#include "receiver.hpp"

namespace glowloom {

bool Receiver::begin(const Setup& setup) {
    *this = Receiver();
    size_t bytes = 0;
    for (size_t i = 0; i < setup.line_count; ++i) bytes += setup.lines[i].pixels * setup.channels;
    if ((setup.channels != 3 && setup.channels != 4) || bytes == 0 || bytes > setup.bytes) {
        return false;
    }
    setup_ = setup;
    per_frame_ = UINT64_MAX;
    canvas_ = Canvas(setup.held, setup.lit, bytes);
    return setup.protocol == Protocol::Ddp || lay_universes();
}

// Each data line begins a new universe and goes on without a gap, whole pixels in each.
bool Receiver::lay_universes() {
    const size_t whole = pixels_per_universe(setup_.channels);
    uint32_t start = 0;
    for (size_t i = 0; i < setup_.line_count; ++i) {
        uint32_t number = setup_.lines[i].first_universe;
        for (size_t done = 0; done < setup_.lines[i].pixels; done += whole) {
            if (universe_count_ == setup_.universe_room) return false;
            const size_t pixels = least(whole, setup_.lines[i].pixels - done);
            Universe& universe = setup_.universes[universe_count_++];
            universe = Universe{};
            universe.number = static_cast<uint16_t>(number < 65535 ? number : 65535);
            universe.start = start;
            universe.size = static_cast<uint16_t>(pixels * setup_.channels);
            start += universe.size;
            ++number;
        }
    }
    return true;
}

Event Receiver::packet(uint32_t now, const Sender& from, Bytes bytes) {
    ++counts_.packets;
    Verdict verdict = Verdict::NotOurs;
    switch (setup_.protocol) {
        case Protocol::E131:
            verdict = e131(now, bytes);
            break;
        case Protocol::ArtNet:
            verdict = artnet(now, from, bytes);
            break;
        case Protocol::Ddp:
            verdict = ddp(now, from, bytes);
            break;
    }
    took_ = verdict != Verdict::NotOurs && verdict != Verdict::Ended;
    if (verdict == Verdict::NotOurs) return Event::Nothing;
    if (verdict == Verdict::Ended) return lose();
    state_ = State::Live;
    if (verdict == Verdict::Drawn) return Event::Drawn;
    if (verdict != Verdict::Shown) return Event::Nothing;
    ++counts_.shown;
    return Event::Shown;
}

Event Receiver::wait(uint32_t now) { return silent(now) ? lose() : Event::Nothing; }

Event Receiver::lose() {
    state_ = State::Lost;
    canvas_.lose(setup_.on_loss, setup_.ceiling, setup_.channels, setup_.lines, setup_.line_count);
    return Event::Lost;
}

// Whether the last of what is listened to has just been silent for too long. Notes, too, what has
// been missing for so long that it may not be asked again after the time has wrapped.
bool Receiver::silent(uint32_t now) {
    bool silent = false;
    switch (setup_.protocol) {
        case Protocol::E131:
            if (synced_ && since(now, sync_ms_) >= e131::DATA_LOSS_MS) sync_is_late_ = true;
            give_up_silent(now, e131::DATA_LOSS_MS);
            silent = has_source_ && !any_seen();
            break;
        case Protocol::ArtNet:
            if (synced_ && since(now, sync_ms_) >= artnet::SYNC_LOSS_MS) synced_ = false;
            give_up_silent(now, artnet::LOSS_MS);
            silent = has_source_ && !any_seen();
            break;
        case Protocol::Ddp:
            silent = has_source_ && since(now, ddp_seen_ms_) >= ddp::LOSS_MS;
            break;
    }
    if (silent) forget();
    return silent;
}

Universe* Receiver::find(uint16_t number) {
    for (size_t i = 0; i < universe_count_; ++i) {
        if (setup_.universes[i].number == number) return setup_.universes + i;
    }
    return nullptr;
}

bool Receiver::any_seen() const {
    for (size_t i = 0; i < universe_count_; ++i) {
        if (setup_.universes[i].seen) return true;
    }
    return false;
}

// Begins anew with another sender.
void Receiver::forget() {
    has_source_ = synced_ = sync_is_late_ = false;
    wanted_sync_ = 0;
    shown_progress_ = 0;
    ddp_sequence_ = 0;
    ddp_fresh_ = false;
    came_ = sent_ = 0;
    for (size_t i = 0; i < universe_count_; ++i) {
        Universe& universe = setup_.universes[i];
        universe.counted = universe.seen = universe.fresh = false;
        universe.sequence = 0;
        universe.progress = 0;
    }
}

void Receiver::give_up_silent(uint32_t now, uint32_t loss_ms) {
    for (size_t i = 0; i < universe_count_; ++i) {
        Universe& universe = setup_.universes[i];
        if (universe.seen && since(now, universe.seen_ms) >= loss_ms) {
            universe.seen = universe.counted = false;
            universe.sequence = 0;
        }
    }
}

// Shows one universe at once. A frame is whole when each universe has come since the last one; if
// one comes a second time before, the frame that it began is given up.
Receiver::Verdict Receiver::show_at_once(Universe& universe) {
    canvas_.show_part(universe.start, universe.size);
    if (universe.fresh) {
        for (size_t i = 0; i < universe_count_; ++i) setup_.universes[i].fresh = false;
    }
    universe.fresh = true;
    for (size_t i = 0; i < universe_count_; ++i) {
        if (!setup_.universes[i].fresh) return Verdict::Drawn;
    }
    return frame_shown();
}

// Shows all that is held, if anything of it is new.
Receiver::Verdict Receiver::show_held() {
    for (size_t i = 0; i < universe_count_; ++i) {
        if (!setup_.universes[i].fresh) continue;
        canvas_.show();
        return frame_shown();
    }
    return Verdict::Taken;
}

Receiver::Verdict Receiver::frame_shown() {
    uint64_t furthest = 0;
    for (size_t i = 0; i < universe_count_; ++i) {
        Universe& universe = setup_.universes[i];
        universe.fresh = false;
        if (universe.progress > furthest) furthest = universe.progress;
    }
    frames_ = furthest > shown_progress_ ? furthest - shown_progress_ : 1;
    shown_progress_ = furthest;
    return Verdict::Shown;
}

// A packet that is not more than `back` numbers behind the last is late; one further back has a
// sender that started anew. Neither Art-Net nor DDP says how far; a sender that does not count sends
// 0, and then every packet is taken.
uint32_t Receiver::numbered(uint8_t& last, uint8_t now, uint8_t round, uint8_t back) {
    uint32_t ahead_by = 1;
    if (now != 0 && last != 0) {
        const uint32_t ahead = (now + uint32_t{round} - last) % round;
        if (ahead == 0 || ahead >= uint32_t{round} - back) {
            ++counts_.late;
            return 0;
        }
        if (ahead <= round / 2u) {
            ahead_by = ahead;
            counts_.lost += ahead_by - 1;
        }
    }
    last = now;
    return ahead_by;
}

// The first sender is the one that is shown until it is silent.
bool Receiver::is_from_source(const Sender& from) {
    if (!has_source_) {
        has_source_ = true;
        source_ = from;
    }
    return same(source_.ip, from.ip, sizeof from.ip);
}

Receiver::Verdict Receiver::count(uint64_t& counter) {
    ++counter;
    return Verdict::NotOurs;
}

}  // namespace glowloom
