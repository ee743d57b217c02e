#include "e131.hpp"

namespace glowloom {
namespace e131 {
namespace {

// Where fields lie: E1.31-2018, Tables 4-1 to 4-3.
constexpr size_t ROOT_LENGTH = 16, ROOT_VECTOR = 18, CID = 22;
constexpr size_t FRAMING_LENGTH = 38, FRAMING_VECTOR = 40, FRAMING_END = 44;
constexpr size_t PRIORITY = 108, SYNC_ADDRESS = 109, SEQUENCE = 111, OPTIONS = 112;
constexpr size_t UNIVERSE = 113, DMP_LENGTH = 115, DMP_VECTOR = 117, ADDRESSING = 118;
constexpr size_t COUNT = 123, START_CODE = 125, SLOTS = 126;
constexpr size_t SYNC_SEQUENCE = 44, SYNC_SYNC_ADDRESS = 45, SYNC_SIZE = 49;
constexpr size_t LIST_LENGTH = 112, LIST_VECTOR = 114, PAGE = 118, LAST_PAGE = 119;
constexpr size_t UNIVERSES = 120, UNIVERSES_ON_PAGE = 512;

constexpr uint8_t HEAD[16] = {0x00, 0x10, 0x00, 0x00, 'A', 'S', 'C', '-',
                              'E',  '1',  '.',  '1',  '7', 0,   0,   0};
constexpr uint8_t ADDRESSING_OF_SLOTS[5] = {0xa1, 0x00, 0x00, 0x00, 0x01};

bool is_universe(uint16_t number) { return number >= 1 && number <= LAST_UNIVERSE; }

// Every layer runs from its first two bytes to the end of the packet.
bool length_is(Bytes bytes, size_t at) {
    return be16(bytes.at + at) == (0x7000 | (bytes.size - at));
}

bool data(Bytes bytes, Packet& to) {
    if (bytes.size < SLOTS || !length_is(bytes, ROOT_LENGTH)) return false;
    const uint8_t* at = bytes.at;
    to.priority = at[PRIORITY];
    to.sync = be16(at + SYNC_ADDRESS);
    to.sequence = at[SEQUENCE];
    to.preview = (at[OPTIONS] & 0x80) != 0;
    to.terminated = (at[OPTIONS] & 0x40) != 0;
    to.force_synchronization = (at[OPTIONS] & 0x20) != 0;
    to.universe = be16(at + UNIVERSE);
    to.start_code = at[START_CODE];
    to.slots = Bytes{at + SLOTS, bytes.size - SLOTS};
    return length_is(bytes, FRAMING_LENGTH) && to.priority <= LAST_PRIORITY &&
           (to.sync == 0 || is_universe(to.sync)) && is_universe(to.universe) &&
           length_is(bytes, DMP_LENGTH) && at[DMP_VECTOR] == 0x02 &&
           same(at + ADDRESSING, ADDRESSING_OF_SLOTS, 5) && to.slots.size <= 512 &&
           be16(at + COUNT) == to.slots.size + 1;
}

bool sync(Bytes bytes, Packet& to) {
    if (bytes.size != SYNC_SIZE) return false;
    to.sequence = bytes.at[SYNC_SEQUENCE];
    to.sync = be16(bytes.at + SYNC_SYNC_ADDRESS);
    return length_is(bytes, ROOT_LENGTH) && length_is(bytes, FRAMING_LENGTH) &&
           is_universe(to.sync);
}

bool discovery(Bytes bytes) {
    if (bytes.size < UNIVERSES || !length_is(bytes, ROOT_LENGTH)) return false;
    const size_t list = bytes.size - UNIVERSES;
    const bool framed = length_is(bytes, FRAMING_LENGTH) && length_is(bytes, LIST_LENGTH) &&
                        be32(bytes.at + LIST_VECTOR) == 1 &&
                        bytes.at[PAGE] <= bytes.at[LAST_PAGE] && list % 2 == 0 &&
                        list / 2 <= UNIVERSES_ON_PAGE;
    if (!framed) return false;
    uint16_t before = 0;
    for (size_t i = 0; i < list; i += 2) {
        const uint16_t number = be16(bytes.at + UNIVERSES + i);
        if (number <= before || !is_universe(number)) return false;
        before = number;
    }
    return true;
}

}  // namespace

Packet parse(Bytes bytes) {
    Packet to = {};
    if (bytes.size < FRAMING_END || !same(bytes.at, HEAD, sizeof HEAD)) return to;
    to.cid = bytes.at + CID;
    const uint32_t root = be32(bytes.at + ROOT_VECTOR), framing = be32(bytes.at + FRAMING_VECTOR);
    if (root == 4 && framing == 2) {
        if (data(bytes, to)) to.kind = Kind::Data;
    } else if (root == 8 && framing == 1) {
        if (sync(bytes, to)) to.kind = Kind::Sync;
    } else if (root == 8 && framing == 2) {
        if (discovery(bytes)) to.kind = Kind::Discovery;
    }
    return to;
}

}  // namespace e131
}  // namespace glowloom
