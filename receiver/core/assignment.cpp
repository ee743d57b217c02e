#include "assignment.hpp"

namespace glowloom {
namespace {

constexpr uint8_t VERSION = 1;
constexpr uint8_t CLOCKED = 1, SHORT_ONE = 2, PACKED = 4;
constexpr size_t NAME = 28, LINES = 60, LINE_SIZE = 12;
constexpr uint32_t MOST_PIXELS = 1u << 20;

// Each channel once, and nothing in the places that are left.
bool is_order(uint8_t order, uint8_t channels) {
    uint8_t seen = 0;
    for (uint8_t place = 0; place < 4; ++place) {
        const uint8_t channel = (order >> (6 - 2 * place)) & 3;
        if (place >= channels) {
            if (channel != 0) return false;
            continue;
        }
        if (channel >= channels) return false;
        seen = static_cast<uint8_t>(seen | (1 << channel));
    }
    return seen == (1 << channels) - 1;
}

bool decode_lines(const uint8_t* from, Assignment& to) {
    uint32_t end = 0, pixels = 0;
    for (uint8_t i = 0; i < to.line_count; ++i, from += LINE_SIZE) {
        Line& line = to.lines[i];
        line = Line{be16(from), be32(from + 8), be32(from + 4), be16(from + 2)};
        if (line.pixels == 0 || line.pixels > MOST_PIXELS || line.spares > line.pixels) return false;
        if (line.byte_offset < end || line.byte_offset > MOST_PIXELS * 4) return false;
        end = line.byte_offset + line.pixels * to.strip.channels;
        pixels += line.pixels;
        const bool universes = to.protocol != Protocol::Ddp;
        if (universes && (line.first_universe == 0 || line.first_universe > e131::LAST_UNIVERSE)) {
            return false;
        }
    }
    return pixels <= MOST_PIXELS;
}

}  // namespace

bool decode_assignment(const uint8_t* from, Assignment& to) {
    to = Assignment{};
    if (from[0] != VERSION || from[1] < 1 || from[1] > 3 || from[5] > 2) return false;
    to.protocol = static_cast<Protocol>(from[1]);
    to.strip.channels = from[2];
    if (to.strip.channels != 3 && to.strip.channels != 4) return false;
    to.strip.order = from[3];
    if (!is_order(to.strip.order, to.strip.channels) || from[4] > 7) return false;
    to.strip.clocked = (from[4] & CLOCKED) != 0;
    to.strip.shape = (from[4] & SHORT_ONE) != 0 ? Shape::ShortOne : Shape::LongOne;
    to.packed = (from[4] & PACKED) != 0;
    // Frames of a clocked strip have three colours; two bytes for three are DDP's.
    if ((to.strip.clocked && to.strip.channels != 3) ||
        (to.packed && to.protocol != Protocol::Ddp)) {
        return false;
    }
    to.on_loss = static_cast<OnLoss>(from[5]);
    to.limits.ceiling = from[6];
    to.line_count = from[7];
    if (to.line_count == 0 || to.line_count > MOST_LINES) return false;
    to.strip.bit_ns = be16(from + 8);
    if (!to.strip.clocked && (to.strip.bit_ns < 500 || to.strip.bit_ns > 5000)) return false;
    to.strip.reset_us = be16(from + 10);
    to.limits.milliamps = be32(from + 12);
    for (size_t i = 0; i < 4; ++i) to.limits.channel_ua[i] = be16(from + 16 + 2 * i);
    to.limits.idle_ua = be16(from + 24);
    to.sync_universe = be16(from + 26);
    for (size_t i = 0; i < NAME_ROOM; ++i) to.name[i] = static_cast<char>(from[NAME + i]);
    return to.name[NAME_ROOM - 1] == 0 && decode_lines(from + LINES, to);
}

void encode_assignment(const Assignment& from, uint8_t* to) {
    fill(to, 0, ASSIGNMENT_SIZE);
    to[0] = VERSION;
    to[1] = static_cast<uint8_t>(from.protocol);
    to[2] = from.strip.channels;
    to[3] = from.strip.order;
    to[4] = static_cast<uint8_t>((from.strip.clocked ? CLOCKED : 0) |
                                 (from.strip.shape == Shape::ShortOne ? SHORT_ONE : 0) |
                                 (from.packed ? PACKED : 0));
    to[5] = static_cast<uint8_t>(from.on_loss);
    to[6] = from.limits.ceiling;
    to[7] = from.line_count;
    put16(to + 8, from.strip.bit_ns);
    put16(to + 10, from.strip.reset_us);
    put32(to + 12, from.limits.milliamps);
    for (size_t i = 0; i < 4; ++i) put16(to + 16 + 2 * i, from.limits.channel_ua[i]);
    put16(to + 24, from.limits.idle_ua);
    put16(to + 26, from.sync_universe);
    for (size_t i = 0; i < NAME_ROOM; ++i) to[NAME + i] = static_cast<uint8_t>(from.name[i]);
    uint8_t* at = to + LINES;
    for (uint8_t i = 0; i < from.line_count; ++i, at += LINE_SIZE) {
        put16(at, from.lines[i].first_universe);
        put16(at + 2, static_cast<uint16_t>(from.lines[i].spares));
        put32(at + 4, from.lines[i].pixels);
        put32(at + 8, from.lines[i].byte_offset);
    }
}

size_t pixels_of(const Assignment& assignment) {
    size_t pixels = 0;
    for (uint8_t i = 0; i < assignment.line_count; ++i) pixels += assignment.lines[i].pixels;
    return pixels;
}

}  // namespace glowloom
