// Figures of the core: memory for so many pixels, and time per pixel on this computer. No test: times differ.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <vector>
#if defined(__x86_64__)
#include <x86intrin.h>
#endif

#include "../test/board.hpp"
#include "../test/panel.hpp"

using namespace glowloom;

namespace {

void memory(size_t pixels, uint8_t channels) {
    const size_t light = pixels * channels, universes = (pixels + pixels_per_universe(channels) - 1) /
                                                        pixels_per_universe(channels) + MOST_LINES;
    const size_t serial = orders::ORDER_HEAD + orders::TAG + light;
    const size_t core = sizeof(Device) + 3 * light + universes * sizeof(Universe) + serial;
    std::printf("memory at %zu pixels of %d channels: %zu bytes (board %zu, three times the light %zu, universes %zu, "
                "a packet on USB %zu)\n", pixels, channels, core, sizeof(Device), 3 * light,
                universes * sizeof(Universe), serial);
    std::printf("  to send in the background: UART, SPI, I2S %zu; RMT %zu; eight lines %zu; clocked %zu\n",
                pixels * quarters_size(channels), pixels * channels * 32, (pixels / 8) * parallel_size(channels),
                clocked_size(pixels));
}

template <class F>
void timed(const char* what, size_t pixels, F once) {
    std::vector<double> ns, cycles;
    for (int round = 0; round < 30; ++round) {
        const auto began = std::chrono::steady_clock::now();
#if defined(__x86_64__)
        const unsigned long long clock = __rdtsc();
#endif
        for (int i = 0; i < 20; ++i) once();
#if defined(__x86_64__)
        cycles.push_back(static_cast<double>(__rdtsc() - clock) / 20 / static_cast<double>(pixels));
#endif
        const std::chrono::duration<double, std::nano> took = std::chrono::steady_clock::now() - began;
        ns.push_back(took.count() / 20 / static_cast<double>(pixels));
    }
    std::sort(ns.begin(), ns.end()), std::sort(cycles.begin(), cycles.end());
    std::printf("  %-34s %6.2f ns a pixel", what, ns[ns.size() / 2]);
    if (!cycles.empty()) std::printf(", %6.1f cycles of the time stamp counter", cycles[cycles.size() / 2]);
    std::printf("\n");
}

}  // namespace

int main() {
    memory(640, 3), memory(1024, 3), memory(1024, 4);
    constexpr size_t PIXELS = 1020;
    std::printf("time on this computer, medians of 30, %zu pixels of 3 channels:\n", PIXELS);
    const Line line = {1, 0, PIXELS, 0};
    std::vector<uint8_t> held(PIXELS * 3), lit(held), shown(held), sent(PIXELS * 4 * 3 * 8);
    std::vector<Universe> universes(8);
    const Setup setup = {Protocol::E131, 3, 255, OnLoss::Black, false, &line, 1, held.data(), lit.data(), lit.size(),
                         universes.data(), universes.size()};
    Receiver receiver;
    receiver.begin(setup);
    uint8_t sequence = 0;
    std::vector<std::vector<uint8_t>> packets;
    for (uint16_t u = 1; u <= 6; ++u) packets.push_back(e131_data(u, 0, 100, 0, 0, 510));
    timed("packets to light", PIXELS, [&] {
        ++sequence;
        for (auto& packet : packets) {
            packet[111] = sequence;
            receiver.packet(0, Sender{}, Bytes{packet.data(), packet.size()});
        }
    });
    const Limits limits = {200, 100000, {20000, 20000, 20000, 20000}, 1000}, tight = {200, 1000, {20000, 20000, 20000, 20000}, 100};
    Guard guard(limits, 3, shown.data(), shown.size()), tight_guard(tight, 3, shown.data(), shown.size());
    uint32_t now = 0;
    timed("guard, nothing to hold", PIXELS, [&] { guard.pass(now += 33, receiver.canvas().lit()); });
    timed("guard, too much current", PIXELS, [&] { tight_guard.pass(now += 33, receiver.canvas().lit()); });
    const Strip strip = {Shape::LongOne, 1250, 280, false, 3, order_from("grb", 3)};
    timed("for UART", PIXELS, [&] { encode_uart(strip, shown.data(), PIXELS, sent.data()); });
    timed("for SPI and I2S", PIXELS, [&] { encode_quarters(strip, shown.data(), PIXELS, sent.data()); });
    std::vector<uint32_t> items(PIXELS * 24);
    timed("for RMT", PIXELS, [&] { encode_rmt(strip, shown.data(), PIXELS, items.data()); });
    Lane lanes[8];
    for (size_t i = 0; i < 8; ++i) lanes[i] = Lane{shown.data() + i * 127 * 3, 127};
    timed("for eight lines at once", 8 * 127, [&] { encode_parallel(strip, lanes, 8, 0, 127, sent.data()); });
    timed("clocked", PIXELS, [&] { encode_clocked(strip, shown.data(), PIXELS, sent.data()); });
    std::printf("highest rate at 576 pixels:\n");
    for (const size_t lines : {size_t{1}, size_t{2}, size_t{8}}) {
        std::printf("  one-wire, %zu line%s: %.1f frames/s\n", lines, lines == 1 ? "" : "s",
                    1e6 / frame_microseconds(strip, 576 / lines, 0));
    }
    const Strip clocked = {Shape::LongOne, 1250, 0, true, 3, order_from("bgr", 3)};
    std::printf("  clocked at 4 MHz: %.1f frames/s\n", 1e6 / frame_microseconds(clocked, 576, 4000000));
    return 0;
}
