// What the Rust receiver cannot be asked: the wrap of the clock, lent memory, two-byte colours. All other
// rules are compared with it packet for packet, in crates/core-host/tests.
#include "check.hpp"
#include "panel.hpp"
#include "tests.hpp"

using namespace glowloom;

namespace {

// E1.31-2018, 6.7.2: worked out from the rule by hand.
void sequence_rule() {
    const struct {
        uint8_t last, now;
        bool taken;
    } cases[] = {{10, 10, false},  {10, 11, true},  {10, 9, false},  {10, 247, false}, {10, 246, true},
                 {255, 0, true},   {0, 255, false}, {0, 237, false}, {0, 236, true},   {100, 228, true}};
    for (const auto& one : cases) CHECK_EQ(e131::sequence_accepts(one.last, one.now), one.taken);
    for (unsigned last = 0; last < 256; ++last) {
        unsigned refused = 0;
        for (unsigned now = 0; now < 256; ++now) {
            refused += e131::sequence_accepts(static_cast<uint8_t>(last), static_cast<uint8_t>(now)) ? 0 : 1;
        }
        CHECK_EQ(refused, 20u);
    }
}

// 2.5 s (6.7.1, Appendix A), right across the wrap after 49 days.
void loss_across_the_wrap() {
    for (const uint32_t start : {0u, 1000u, 0xfffffc00u, 0xffffffffu}) {
        Panel panel(Protocol::E131);
        CHECK(panel.hear(start, e131_data(5, 0, 50)) == Event::Drawn);
        CHECK(panel.receiver.wait(start + 2499) == Event::Nothing);
        CHECK_EQ(panel.lit[173 * 3], 50);
        CHECK(panel.receiver.wait(start + 2500) == Event::Lost);
        CHECK_EQ(panel.lit[173 * 3], 0);
        CHECK(panel.receiver.state() == State::Lost);
    }
}

// Synchronization that was lost long ago is not taken for fresh when the clock has wrapped.
void sync_lost_for_49_days() {
    Panel panel(Protocol::E131);
    uint32_t now = 0;
    panel.hear(now, e131_data(5, 0, 10, 9, 0x20));
    panel.hear(now, e131_sync(0, 9));
    uint8_t sequence = 0;
    for (uint64_t at = 0; at <= (uint64_t{1} << 32) + 1000; at += 1000) {
        now = static_cast<uint32_t>(at);
        panel.receiver.wait(now);
        panel.hear(now, e131_data(5, ++sequence, 10, 9, 0x20));
    }
    CHECK(panel.hear(now, e131_data(5, ++sequence, 77, 9, 0x20)) == Event::Drawn);
    CHECK_EQ(panel.lit[173 * 3], 77);
}

// Nothing but a synchronization packet swaps the frame, and then all of it.
void a_frame_is_swapped_whole() {
    Panel panel(Protocol::E131);
    panel.hear(0, e131_data(1, 0, 10, 9, 0, 510)), panel.hear(0, e131_sync(0, 9));
    CHECK(panel.hear(1, e131_data(1, 1, 20, 9, 0, 510)) == Event::Nothing);
    CHECK(panel.hear(1, e131_data(2, 0, 20, 9)) == Event::Nothing);
    CHECK_EQ(panel.lit[0], 10), CHECK_EQ(panel.lit[170 * 3], 0);
    CHECK(panel.hear(2, e131_sync(1, 9)) == Event::Shown);
    CHECK_EQ(panel.lit[0], 20), CHECK_EQ(panel.lit[170 * 3], 20), CHECK_EQ(panel.lit[172 * 3], 0);
}

// 5, 6 and 5 bits; values as in crates/wire/src/colour_bits.rs.
void two_byte_colours() {
    Panel panel(Protocol::Ddp, OnLoss::Black, true);
    CHECK(panel.hear(0, ddp_data(0x8c, 2, true, {0xf8, 0x00, 0x07, 0xe0})) == Event::Shown);
    const std::vector<uint8_t> wanted = {0, 0, 0, 255, 0, 0, 0, 255, 0};
    CHECK(std::vector<uint8_t>(panel.lit.begin(), panel.lit.begin() + 9) == wanted);
    // The second line begins at pixel 172; half a pixel is left out.
    CHECK(panel.hear(0, ddp_data(0x8c, 343, true, {9, 0x80, 0x00, 0x00})) == Event::Shown);
    CHECK_EQ(panel.lit[172 * 3], 0x84), CHECK_EQ(panel.lit[173 * 3], 0);
    // Beyond the end, and three bytes to a pixel where two are wanted.
    panel.hear(0, ddp_data(0x8c, 346, true, {1, 2, 3, 4})), panel.hear(0, ddp_data(0x0b, 0, true, {1, 2, 3}));
    CHECK_EQ(panel.receiver.counts().wrong, 2u);
}

void memory_that_is_too_small_is_refused() {
    const Line line = {1, 0, 171, 0};
    uint8_t held[513], lit[513];
    Universe universes[2];
    Setup setup = {Protocol::E131, 3, 255, OnLoss::Black, false, &line, 1, held, lit, 513, universes, 2};
    Receiver receiver;
    CHECK(receiver.begin(setup));
    setup.universe_room = 1;
    CHECK(!receiver.begin(setup));
    setup.universe_room = 2, setup.bytes = 512;
    CHECK(!receiver.begin(setup));
    setup.bytes = 513, setup.channels = 5;
    CHECK(!receiver.begin(setup));
    setup.channels = 3, setup.line_count = 0;
    CHECK(!receiver.begin(setup));
}

}  // namespace

void test_receiver() {
    sequence_rule();
    loss_across_the_wrap();
    sync_lost_for_49_days();
    a_frame_is_swapped_whole();
    two_byte_colours();
    memory_that_is_too_small_is_refused();
}
