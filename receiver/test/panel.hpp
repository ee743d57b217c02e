// What several groups of tests share: a panel, its memory, packets for it.
#ifndef GLOWLOOM_PANEL_HPP
#define GLOWLOOM_PANEL_HPP

#include <cstring>
#include <vector>

#include "../core/receiver.hpp"

struct Panel {
    std::vector<glowloom::Line> lines;
    std::vector<uint8_t> held, lit;
    std::vector<glowloom::Universe> universes;
    glowloom::Receiver receiver;

    // A spare and 171 pixels on universes 1 and 2, two pixels on universe 5.
    explicit Panel(glowloom::Protocol protocol, glowloom::OnLoss on_loss = glowloom::OnLoss::Black,
                   bool packed = false)
        : lines{{1, 0, 172, 1}, {5, 516, 2, 0}}, held(174 * 3), lit(174 * 3), universes(3) {
        const glowloom::Setup setup = {protocol,     3,          200,         on_loss,
                                       packed,       lines.data(), lines.size(), held.data(),
                                       lit.data(),   lit.size(), universes.data(), universes.size()};
        receiver.begin(setup);
    }
    glowloom::Event hear(uint32_t now, const std::vector<uint8_t>& packet, uint8_t last = 7) {
        glowloom::Sender from = {};
        from.ip[15] = last;
        return receiver.packet(now, from, glowloom::Bytes{packet.data(), packet.size()});
    }
};

inline std::vector<uint8_t> e131_data(uint16_t universe, uint8_t sequence, uint8_t level, uint16_t sync = 0,
                                      uint8_t options = 0, size_t slots = 6) {
    std::vector<uint8_t> to(126 + slots, level);
    std::memset(to.data(), 0, 126);
    const uint8_t head[] = {0, 0x10, 0, 0, 'A', 'S', 'C', '-', 'E', '1', '.', '1', '7'};
    std::memcpy(to.data(), head, sizeof head);
    const auto length = [&](size_t at) {
        glowloom::put16(&to[at], static_cast<uint16_t>(0x7000 | (to.size() - at)));
    };
    length(16), length(38), length(115);
    to[21] = 4, to[43] = 2, to[22] = 9, to[108] = 100;
    glowloom::put16(&to[109], sync);
    to[111] = sequence, to[112] = options;
    glowloom::put16(&to[113], universe);
    to[117] = 2, to[118] = 0xa1, to[122] = 1;
    glowloom::put16(&to[123], static_cast<uint16_t>(slots + 1));
    return to;
}

inline std::vector<uint8_t> e131_sync(uint8_t sequence, uint16_t address) {
    std::vector<uint8_t> to = e131_data(1, 0, 0);
    to.resize(49);
    glowloom::put16(&to[16], 0x7021), glowloom::put16(&to[38], 0x700b);
    to[21] = 8, to[43] = 1, to[44] = sequence;
    glowloom::put16(&to[45], address);
    to[47] = to[48] = 0;
    return to;
}

inline std::vector<uint8_t> ddp_data(uint8_t type, uint32_t offset, bool push, std::vector<uint8_t> data) {
    std::vector<uint8_t> to = {static_cast<uint8_t>(push ? 0x41 : 0x40), 0, type, 1, 0, 0, 0, 0, 0, 0};
    glowloom::put32(&to[4], offset);
    glowloom::put16(&to[8], static_cast<uint16_t>(data.size()));
    to.insert(to.end(), data.begin(), data.end());
    return to;
}

#endif
