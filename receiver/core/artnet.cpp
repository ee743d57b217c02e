#include "artnet.hpp"

namespace glowloom {
namespace artnet {
namespace {

constexpr size_t OP_CODE = 8, VERSION = 10, SEQUENCE = 12, SUB_UNI = 14, NET = 15, LENGTH = 16;
constexpr size_t DATA = 18, SHORTEST = 14, SHORTEST_REPLY = 207;
constexpr size_t PORT_COUNT = 172, MOST_SLOTS = 512;
constexpr uint8_t IDENTIFIER[8] = {'A', 'r', 't', '-', 'N', 'e', 't', 0};

bool version_is_known(const uint8_t* at) { return be16(at + VERSION) >= 14; }

bool dmx(Bytes bytes, Packet& to) {
    if (bytes.size < DATA) return false;
    const size_t slots = be16(bytes.at + LENGTH);
    if (bytes.size < DATA + slots || !version_is_known(bytes.at)) return false;
    to.sequence = bytes.at[SEQUENCE];
    to.port_address = static_cast<uint16_t>((bytes.at[NET] << 8) | bytes.at[SUB_UNI]);
    to.slots = Bytes{bytes.at + DATA, slots};
    return to.port_address <= LAST_PORT_ADDRESS && slots % 2 == 0 && slots >= 2 &&
           slots <= MOST_SLOTS;
}

// Cuts on a whole character of UTF-8 and leaves a NUL.
void put_text(uint8_t* to, const char* text, size_t room) {
    size_t size = 0;
    while (text[size] != 0 && size < room - 1) ++size;
    if (text[size] != 0) {
        while (size > 0 && (static_cast<uint8_t>(text[size]) & 0xc0) == 0x80) --size;
    }
    for (size_t i = 0; i < size; ++i) to[i] = static_cast<uint8_t>(text[i]);
}

void put_report(uint8_t* to, uint16_t answered) {
    // Power-on tests passed, and how often this was said (the form is from memory).
    const char text[] = "#0001 [0000] receiving";
    copy(to, reinterpret_cast<const uint8_t*>(text), sizeof text - 1);
    for (int digit = 10; digit > 6; --digit) {
        to[digit] = static_cast<uint8_t>('0' + answered % 10);
        answered = static_cast<uint16_t>(answered / 10);
    }
}

}  // namespace

Packet parse(Bytes bytes) {
    Packet to = {};
    if (bytes.size < OP_CODE + 2 || !same(bytes.at, IDENTIFIER, sizeof IDENTIFIER)) return to;
    const bool whole = bytes.size >= SHORTEST && version_is_known(bytes.at);
    switch (le16(bytes.at + OP_CODE)) {
        case 0x5000:
            if (dmx(bytes, to)) to.kind = Kind::Dmx;
            break;
        case 0x5200:
            if (whole) to.kind = Kind::Sync;
            break;
        case 0x2000:
            if (whole) to.kind = Kind::Poll;
            break;
        case 0x2100:
            if (bytes.size >= SHORTEST_REPLY && be16(bytes.at + PORT_COUNT) <= PORTS) {
                to.kind = Kind::Reply;
            }
            break;
        default:
            to.kind = Kind::Other;
    }
    return to;
}

void emit_reply(const Node& node, const uint16_t* port_addresses, size_t count, uint8_t bind_index,
                uint8_t* to) {
    fill(to, 0, REPLY_SIZE);
    copy(to, IDENTIFIER, sizeof IDENTIFIER);
    to[9] = 0x21;
    copy(to + 10, node.ip, 4);
    to[14] = static_cast<uint8_t>(PORT);
    to[15] = static_cast<uint8_t>(PORT >> 8);
    put16(to + 16, node.firmware);
    count = least(count, PORTS);
    const uint16_t first = count > 0 ? port_addresses[0] : 0;
    to[18] = static_cast<uint8_t>(first >> 8);
    to[19] = static_cast<uint8_t>((first >> 4) & 0x0f);
    put16(to + 20, 0x00ff);            // maker and model unknown (the dissector's table)
    to[24] = 0xf0;                     // prototype code 0x7ff0, low byte first
    to[25] = 0x7f;
    put_text(to + 26, node.short_name, 18);
    put_text(to + 44, node.long_name, 64);
    put_report(to + 108, node.answered);
    put16(to + PORT_COUNT, static_cast<uint16_t>(count));
    for (size_t i = 0; i < count; ++i) {
        to[174 + i] = 0x80;  // puts out
        to[182 + i] = 0x80;  // transmits
        to[190 + i] = static_cast<uint8_t>(port_addresses[i] & 0x0f);
    }
    copy(to + 201, node.mac, 6);
    to[211] = bind_index;
    to[212] = 0x08;  // Port-Addresses have 15 bits (from memory)
}

}  // namespace artnet
}  // namespace glowloom
