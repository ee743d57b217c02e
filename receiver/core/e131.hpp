// ANSI E1.31-2018: the three packets, read and judged as in crates/wire/src/e131.
#ifndef GLOWLOOM_E131_HPP
#define GLOWLOOM_E131_HPP

#include "bytes.hpp"

namespace glowloom {
namespace e131 {

constexpr uint16_t PORT = 5568;
constexpr uint16_t LAST_UNIVERSE = 63999;  // 9.1.1
constexpr uint8_t LAST_PRIORITY = 200;
constexpr uint32_t DATA_LOSS_MS = 2500;  // 6.7.1, Appendix A

enum class Kind : uint8_t { Wrong, Data, Sync, Discovery };

// Any packet. `cid` and `slots` point into the bytes that were read.
struct Packet {
    Kind kind;
    const uint8_t* cid;
    uint16_t universe;
    uint16_t sync;  // data: 0 for none; synchronization: its address
    uint8_t sequence;
    uint8_t priority;
    uint8_t start_code;
    bool preview, terminated, force_synchronization;
    Bytes slots;
};

// Reads whatever was received; kind Wrong for all that is no good packet of the three.
Packet parse(Bytes bytes);

// Whether a number is newer than the last (6.7.2, as quoted by two open libraries).
inline bool sequence_accepts(uint8_t last, uint8_t now) {
    const int8_t difference = static_cast<int8_t>(static_cast<uint8_t>(now - last));
    return !(-20 < difference && difference <= 0);
}

}  // namespace e131
}  // namespace glowloom

#endif
