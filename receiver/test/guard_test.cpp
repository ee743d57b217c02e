// The guard: never above the ceiling, the current or three flashes a second, whatever arrives.
#include <random>
#include <vector>

#include "../core/guard.hpp"
#include "check.hpp"
#include "tests.hpp"

using namespace glowloom;

namespace {

constexpr Limits LIMITS = {200, 2000, {20000, 20000, 20000, 20000}, 1000};

void nothing_passes_the_limits() {
    std::mt19937 chance(1);
    for (int round = 0; round < 200; ++round) {
        const uint8_t channels = round % 2 == 0 ? 3 : 4;
        const size_t pixels = 1 + chance() % 200;
        std::vector<uint8_t> wanted(pixels * channels), shown(wanted.size());
        Limits limits = LIMITS;
        limits.ceiling = static_cast<uint8_t>(chance());
        limits.milliamps = chance() % 4000;
        for (uint16_t& amps : limits.channel_ua) amps = static_cast<uint16_t>(chance());
        Guard guard(limits, channels, shown.data(), shown.size());
        for (uint32_t frame = 0; frame < 20; ++frame) {
            const uint8_t floor = static_cast<uint8_t>(chance());
            for (uint8_t& byte : wanted) byte = static_cast<uint8_t>(chance() | floor);
            guard.pass(frame * 33, wanted.data());
            bool held = true, lit = false;
            for (const uint8_t byte : shown) held = held && byte <= limits.ceiling, lit = lit || byte > 0;
            CHECK(held);
            const uint64_t most = uint64_t{limits.milliamps} * 1000;
            const uint64_t idle = uint64_t{pixels} * limits.idle_ua;
            CHECK(guard.microamps() <= most || (!lit && idle >= most));
        }
    }
}

// By hand: 100 pixels full white under 200 take 100 x 3 x 20 mA x 200/255 = 4.706 A and 0.1 A idle; 2 A leave
// 1.9 / 4.706 = 0.4037 of that, and 200 x 0.4037 is 80.7.
void a_frame_above_the_current_is_dimmed_evenly() {
    std::vector<uint8_t> wanted(300, 255), shown(300);
    Guard guard(LIMITS, 3, shown.data(), shown.size());
    CHECK(guard.pass(0, wanted.data()));
    for (const uint8_t byte : shown) CHECK_EQ(byte, 80);
    CHECK_EQ(guard.held().bytes, 300u), CHECK_EQ(guard.held().dimmed, 1u);
    CHECK(guard.microamps() > 1900000u);
}

// Counts pairs of opposing changes of 10 % in any second, from the frames alone (WCAG 2.3.1).
unsigned worst_flashes(const std::vector<double>& light, uint32_t step_ms) {
    std::vector<uint32_t> changes;
    double low = light[0], high = light[0];
    int way = 0;
    for (size_t i = 0; i < light.size(); ++i) {
        const bool up = light[i] - low >= 0.1 && low < 0.8, down = high - light[i] >= 0.1 && light[i] < 0.8;
        if ((up && way != 1) || (down && way != -1)) {
            way = up && way != 1 ? 1 : -1;
            changes.push_back(static_cast<uint32_t>(i) * step_ms);
            low = high = light[i];
        }
        low = light[i] < low ? light[i] : low;
        high = light[i] > high ? light[i] : high;
    }
    unsigned worst = 0;
    for (size_t i = 0; i < changes.size(); ++i) {
        size_t end = i;
        while (end < changes.size() && changes[end] - changes[i] < 1000 - 1) ++end;
        worst = worst > (end - i) / 2 ? worst : static_cast<unsigned>((end - i) / 2);
    }
    return worst;
}

std::vector<double> played(uint32_t half_ms, uint8_t dark, uint8_t bright, uint64_t& held) {
    Limits limits = {255, 1000000, {1, 1, 1, 1}, 0};
    std::vector<uint8_t> wanted(30), shown(30);
    Guard guard(limits, 3, shown.data(), shown.size());
    std::vector<double> light;
    for (uint32_t now = 0; now < 5000; now += 20) {
        const uint8_t level = (now / half_ms) % 2 == 0 ? bright : dark;
        for (uint8_t& byte : wanted) byte = level;
        guard.pass(now, wanted.data());
        light.push_back(shown[0] / 255.0);
    }
    held = guard.held().flashes;
    return light;
}

void no_more_than_three_flashes_a_second() {
    uint64_t held = 0;
    for (const uint32_t half_ms : {20u, 40u, 60u, 100u, 120u, 160u}) {
        CHECK(worst_flashes(played(half_ms, 0, 255, held), 20) <= 3);
        if (half_ms <= 120) CHECK(held > 0);
    }
    // Two flashes a second pass untouched; so do many below a tenth of full light.
    played(260, 0, 255, held);
    CHECK_EQ(held, 0u);
    played(40, 100, 120, held);
    CHECK_EQ(held, 0u);
}

// Saturated red flashes count by themselves, though they are not bright.
void red_flashes_are_held() {
    const Limits limits = {255, 1000000, {1, 1, 1, 1}, 0};
    std::vector<uint8_t> wanted(30), shown(30);
    Guard guard(limits, 3, shown.data(), shown.size());
    for (uint32_t now = 0; now < 3000; now += 40) {
        for (size_t i = 0; i < wanted.size(); i += 3) wanted[i] = (now / 40) % 2 == 0 ? 100 : 0;
        guard.pass(now, wanted.data());
    }
    CHECK(guard.held().flashes > 20u);
}

void a_dark_wall_takes_no_light_where_idle_is_too_much() {
    const Limits limits = {255, 1, {20000, 20000, 20000, 0}, 1000};
    std::vector<uint8_t> wanted(30, 255), shown(30, 7);
    Guard guard(limits, 3, shown.data(), shown.size());
    guard.pass(0, wanted.data());
    for (const uint8_t byte : shown) CHECK_EQ(byte, 0);
}

}  // namespace

void test_guard() {
    nothing_passes_the_limits();
    a_frame_above_the_current_is_dimmed_evenly();
    no_more_than_three_flashes_a_second();
    red_flashes_are_held();
    a_dark_wall_takes_no_light_where_idle_is_too_much();
}
