// The rules of DDP version 1 for a display.
#include "receiver.hpp"

namespace glowloom {

// How far behind a packet still counts as late; of 15 numbers it cannot be many. DDP speaks of
// packets that come twice only.
static constexpr uint8_t LATE = 2;

Receiver::Verdict Receiver::ddp(uint32_t now, const Sender& from, Bytes bytes) {
    const ddp::Packet packet = ddp::parse(bytes);
    if (!packet.good) return count(counts_.wrong);
    const bool for_display = packet.destination == ddp::DISPLAY || packet.destination == ddp::ALL;
    if (packet.query || packet.reply || packet.storage || !for_display) {
        return count(counts_.ignored);
    }
    if (!ddp::is_type_of(packet.data_type, setup_.channels, setup_.packed)) {
        return count(counts_.wrong);
    }
    const size_t buffer = ddp_buffer();
    if (packet.offset > buffer || packet.data.size > buffer - packet.offset) {
        return count(counts_.wrong);
    }
    if (!is_from_source(from)) return count(counts_.strangers);
    const uint32_t ahead = numbered(ddp_sequence_, packet.sequence, 15, LATE);
    if (ahead == 0) return Verdict::NotOurs;
    ++came_;
    sent_ += ahead;
    ddp_seen_ms_ = now;
    if (setup_.packed) {
        ddp_write_packed(packet);
    } else {
        ddp_write(packet);
    }
    ddp_fresh_ = ddp_fresh_ || packet.data.size > 0;
    // A timecode is not waited for: whatever is pushed is shown.
    if (!packet.push || !ddp_fresh_) return Verdict::Taken;
    ddp_fresh_ = false;
    canvas_.show();
    // The numbers count packets, so a frame without loss tells how many the others have.
    if (came_ == sent_) per_frame_ = came_;
    const uint64_t per_frame = per_frame_ > 0 ? per_frame_ : 1;
    frames_ = sent_ / per_frame + (sent_ % per_frame != 0 ? 1 : 0);
    came_ = sent_ = 0;
    return Verdict::Shown;
}

// Bytes of the display's buffer, as the carrier counts them.
size_t Receiver::ddp_buffer() const {
    const Line& last = setup_.lines[setup_.line_count - 1];
    if (!setup_.packed) return last.byte_offset + size_t{last.pixels} * setup_.channels;
    const size_t pixel = setup_.channels - 1u;
    return last.byte_offset / setup_.channels * pixel + size_t{last.pixels} * pixel;
}

// Bytes between two lines belong to no pixel.
void Receiver::ddp_write(const ddp::Packet& packet) {
    size_t at = 0;
    const size_t start = packet.offset, end = start + packet.data.size;
    for (size_t i = 0; i < setup_.line_count; ++i) {
        const size_t line = setup_.lines[i].byte_offset;
        const size_t size = size_t{setup_.lines[i].pixels} * setup_.channels;
        const size_t from = most(line, start), to = least(line + size, end);
        if (from < to) {
            canvas_.hold(at + from - line, to - from, packet.data.at + (from - start), to - from);
        }
        at += size;
    }
}

// Whole pixels only: half of two bytes is no colour.
void Receiver::ddp_write_packed(const ddp::Packet& packet) {
    const size_t channels = setup_.channels, pixel = channels - 1;
    const size_t skipped = (pixel - packet.offset % pixel) % pixel;
    size_t at = 0;
    for (size_t i = 0; i < setup_.line_count; ++i) {
        const Line& line = setup_.lines[i];
        const size_t first = line.byte_offset / channels;
        for (size_t from = skipped; from + pixel <= packet.data.size; from += pixel) {
            const size_t nth = (packet.offset + from) / pixel;
            if (nth < first || nth >= first + line.pixels) continue;
            uint8_t* to = canvas_.held_at(at + (nth - first) * channels, channels);
            if (to == nullptr) continue;
            ddp::unpack_565(packet.data.at + from, to);
            if (channels == 4) to[3] = packet.data.at[from + 2];
        }
        at += size_t{line.pixels} * channels;
    }
}

}  // namespace glowloom
