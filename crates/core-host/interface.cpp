// The core as seen from C: one panel's receiver and its guard behind a pointer to memory that the caller owns.
#include "guard.hpp"
#include "receiver.hpp"

// In place, in memory of the caller.
inline void* operator new(size_t, void* at, int) noexcept { return at; }

using namespace glowloom;

namespace {

struct Host {
    Receiver receiver;
    Guard guard;
};

Host* host(void* at) { return static_cast<Host*>(at); }

}  // namespace

extern "C" {

// As `Line`, with fields of one size.
struct glowloom_line {
    uint32_t first_universe, byte_offset, pixels, spares;
};

struct glowloom_setup {
    uint32_t protocol, channels, ceiling, on_loss, packed;
    const Line* lines;
    size_t line_count;
    uint8_t *held, *lit, *shown;
    size_t bytes;
    Universe* universes;
    size_t universe_room;
};

struct glowloom_counts {
    uint64_t packets, lost, late, wrong, ignored, strangers, shown, frames, held_bytes, held_flashes;
};

// Bytes that one of each takes; all are aligned as a 64-bit number is.
size_t glowloom_host_size(void) { return sizeof(Host); }
size_t glowloom_line_size(void) { return sizeof(Line); }
size_t glowloom_universe_size(void) { return sizeof(Universe); }
size_t glowloom_most_aligned(void) {
    return most(alignof(Host), most(alignof(Line), alignof(Universe)));
}

// Writes the `nth` line of an array.
void glowloom_set_line(void* lines, size_t nth, const glowloom_line* line) {
    static_cast<Line*>(lines)[nth] = Line{static_cast<uint16_t>(line->first_universe), line->byte_offset,
                                          line->pixels, line->spares};
}

// Makes a receiver in `at`; 0 where memory is too small.
uint8_t glowloom_begin(void* at, const glowloom_setup* setup) {
    Host& made = *new (at, 0) Host();
    const Setup from = {static_cast<Protocol>(setup->protocol), static_cast<uint8_t>(setup->channels),
                        static_cast<uint8_t>(setup->ceiling), static_cast<OnLoss>(setup->on_loss),
                        setup->packed != 0, setup->lines, setup->line_count, setup->held, setup->lit,
                        setup->bytes, setup->universes, setup->universe_room};
    if (!made.receiver.begin(from)) return 0;
    // Only the plan knows amperes; a virtual panel has no supply to guard.
    const Limits limits = {from.ceiling, 0xffffffff, {0, 0, 0, 0}, 0};
    made.guard = Guard(limits, from.channels, setup->shown, made.receiver.canvas().size());
    return 1;
}

// Gives an Event, and 0x80 where the packet was taken.
uint8_t glowloom_packet(void* at, uint32_t now_ms, const uint8_t* ip, const uint8_t* bytes, size_t size) {
    Sender from;
    copy(from.ip, ip, sizeof from.ip);
    Receiver& receiver = host(at)->receiver;
    const uint8_t event = static_cast<uint8_t>(receiver.packet(now_ms, from, Bytes{bytes, size}));
    return static_cast<uint8_t>(event | (receiver.took() ? 0x80 : 0));
}

uint8_t glowloom_wait(void* at, uint32_t now_ms) {
    host(at)->guard.wait(now_ms);
    return static_cast<uint8_t>(host(at)->receiver.wait(now_ms));
}

// Lets the guard pass what is lit; 0 where it holds back some of it.
uint8_t glowloom_pass(void* at, uint32_t now_ms) {
    return host(at)->guard.pass(now_ms, host(at)->receiver.canvas().lit()) ? 1 : 0;
}

uint8_t glowloom_state(const void* at) {
    return static_cast<uint8_t>(static_cast<const Host*>(at)->receiver.state());
}

void glowloom_count(const void* at, glowloom_counts* to) {
    const Host& from = *static_cast<const Host*>(at);
    const Counts& counts = from.receiver.counts();
    *to = glowloom_counts{counts.packets, counts.lost, counts.late, counts.wrong, counts.ignored,
                          counts.strangers, counts.shown, from.receiver.frames(), from.guard.held().bytes,
                          from.guard.held().flashes};
}

}  // extern "C"
