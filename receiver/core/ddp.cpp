#include "ddp.hpp"

namespace glowloom {
namespace ddp {
namespace {

constexpr uint8_t TIMECODE = 0x10, STORAGE = 0x08, REPLY = 0x04, QUERY = 0x02, PUSH = 0x01;
constexpr size_t TIMECODE_SIZE = 4;

uint8_t widen(uint16_t number, unsigned bits) {
    return static_cast<uint8_t>((number << (8 - bits)) | (number >> (2 * bits - 8)));
}

}  // namespace

Packet parse(Bytes bytes) {
    Packet to = {};
    if (bytes.size < HEADER) return to;
    const uint8_t flags = bytes.at[0];
    const size_t start = HEADER + ((flags & TIMECODE) != 0 ? TIMECODE_SIZE : 0);
    to.query = (flags & QUERY) != 0;
    const size_t size = to.query ? 0 : be16(bytes.at + 8);
    if (bytes.size < start + size || flags >> 6 != 1) return to;
    to.good = true;
    to.push = (flags & PUSH) != 0;
    to.reply = (flags & REPLY) != 0;
    to.storage = (flags & STORAGE) != 0;
    to.sequence = bytes.at[1] & 0x0f;
    to.data_type = bytes.at[2];
    to.destination = bytes.at[3];
    to.offset = be32(bytes.at + 4);
    to.data = Bytes{bytes.at + start, size};
    return to;
}

bool is_type_of(uint8_t data_type, uint8_t channels, bool packed) {
    if (packed) return data_type == (channels == 4 ? RGB_565_W : RGB_565);
    if (data_type == RGB_565 || data_type == RGB_565_W) return false;
    const uint8_t colours = (data_type >> 3) & 7;
    if (colours == 0) return true;  // many senders do not say
    return channels == 4 ? colours == 3 : colours == 1;
}

void unpack_565(const uint8_t* from, uint8_t* to) {
    const uint16_t bits = be16(from);
    to[0] = widen(bits >> 11, 5);
    to[1] = widen((bits >> 5) & 0x3f, 6);
    to[2] = widen(bits & 0x1f, 5);
}

}  // namespace ddp
}  // namespace glowloom
