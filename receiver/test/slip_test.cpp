// SLIP: noise, lost ENDs, bad escapes.
#include <vector>

#include "../core/slip.hpp"
#include "check.hpp"
#include "tests.hpp"

using namespace glowloom;

namespace {

std::vector<slip::Found> found(size_t room, const std::vector<uint8_t>& line) {
    std::vector<uint8_t> memory(room);
    slip::Decoder decoder(memory.data(), room);
    std::vector<slip::Found> all;
    for (const uint8_t byte : line) {
        const slip::Found one = decoder.push(byte);
        if (one != slip::Found::Nothing) all.push_back(one);
        CHECK(decoder.packet().size <= room);
    }
    return all;
}

}  // namespace

void test_slip() {
    using slip::Found;
    // Two packets that share an END; empty packets are passed over.
    CHECK((found(4, {0xc0, 1, 0xc0, 2, 0xc0, 0xc0}) == std::vector<Found>{Found::Packet, Found::Packet}));
    // An escape that is none: the packet is dropped, the next one taken.
    CHECK((found(4, {1, 0xdb, 7, 2, 0xc0, 3, 0xc0}) == std::vector<Found>{Found::BadEscape, Found::Packet}));
    // An END ends the broken packet, and the next one begins.
    CHECK((found(4, {1, 0xdb, 0xc0, 3, 0xc0}) == std::vector<Found>{Found::BadEscape, Found::Packet}));
    // Too long, or its end was lost.
    CHECK((found(2, {1, 2, 3, 4, 0xc0, 3, 0xc0}) == std::vector<Found>{Found::TooLong, Found::Packet}));
}
