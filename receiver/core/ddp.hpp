// DDP version 1 (the open specification, text of 2022), read as in crates/wire/src/ddp.
#ifndef GLOWLOOM_DDP_HPP
#define GLOWLOOM_DDP_HPP

#include "bytes.hpp"

namespace glowloom {
namespace ddp {

constexpr uint16_t PORT = 4048;
constexpr size_t HEADER = 10;
constexpr uint8_t DISPLAY = 1, ALL = 255;
// A sender that is silent for so long is gone: as in E1.31, for DDP does not say.
constexpr uint32_t LOSS_MS = 2500;
// Own types for serial links: red, green, blue in 5, 6 and 5 bits; the second with a byte of white.
constexpr uint8_t RGB_565 = 0x8c, RGB_565_W = 0x9c;

struct Packet {
    bool good;
    bool push, query, reply, storage;
    uint8_t sequence;  // 1 to 15; 0: the sender does not count
    uint8_t data_type;
    uint8_t destination;
    uint32_t offset;
    Bytes data;  // none in a query
};

Packet parse(Bytes bytes);

// Whether a type, of which on receipt the colour part alone counts, is that of pixels of so many
// channels and, in two bytes for three colours, `packed`.
bool is_type_of(uint8_t data_type, uint8_t channels, bool packed);

// Red, green and blue from two bytes; the low bits of each are its top bits again.
void unpack_565(const uint8_t* from, uint8_t* to);

}  // namespace ddp
}  // namespace glowloom

#endif
