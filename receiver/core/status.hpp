// What a board says of itself: the answer to DDP's question for JSON status. `docs/protocols.md` has every member.
#ifndef GLOWLOOM_STATUS_HPP
#define GLOWLOOM_STATUS_HPP

#include "assignment.hpp"

namespace glowloom {
namespace status {

constexpr uint8_t ID = 251;
constexpr uint32_t LEAST_GAP_MS = 50;
// The longest answer, header included: with every number at its largest and names of control characters.
constexpr size_t MOST = 1024;

bool is_question(Bytes bytes);

// The print of a board's settings: 32-bit FNV-1a, as crates/wire/src/status.rs works it out.
uint32_t print(const Assignment& assignment);

struct Status {
    const char *model, *version, *wall, *panel, *reset;
    uint32_t print;
    uint32_t up_seconds;
    Counts counts;
    bool live;             // frames come: `ago` and `from` are said
    uint32_t ago_ms;
    uint8_t from[4];
    bool has_signal;
    int8_t signal_dbm;
    uint32_t heap;         // bytes free
    const uint8_t* firmware;  // 8 bytes
    bool assigned;
};

// Writes the whole packet; gives its size, 0 where it does not fit.
size_t emit(const Status& status, uint8_t* to, size_t room);

}  // namespace status
}  // namespace glowloom

#endif
