// The signal of each output method, put together again from the bytes that were written, against the times
// of the strips' data sheets.
#include <array>
#include <cstring>
#include <random>
#include <vector>

#include "../core/encode.hpp"
#include "check.hpp"
#include "tests.hpp"

using namespace glowloom;

namespace {

struct Window {
    double least, most;  // ns
};

// One row of the data sheets' times. "Borrowed": the text gives no tolerance, that of the WS2812B's first
// sheet is taken. "Memory": from memory. All others as read in the sheet, or quoted alike in several texts.
struct Row {
    const char* part;
    Window zero_high, one_high, zero_low, one_low, period;
    Shape shape;      // that is meant for it
    uint16_t bit_ns;
};

constexpr Window about(double middle, double tolerance) { return {middle - tolerance, middle + tolerance}; }
constexpr Window ANY = {0, 1e9};
constexpr Shape LONG = Shape::LongOne, SHORT = Shape::ShortOne;

const Row ROWS[] = {
    {"WS2812B first sheet", about(400, 150), about(800, 150), about(850, 150), about(450, 150),
     about(1250, 600), LONG, 1250},
    {"WS2812B other early text (tolerance borrowed)", about(350, 150), about(900, 150), about(900, 150),
     about(350, 150), ANY, LONG, 1250},
    {"WS2812B-2020 and later", {220, 380}, {580, 1000}, {580, 1000}, {220, 420}, ANY, LONG, 1250},
    {"WS2812B-Mini V3", {220, 380}, {580, 1000}, {580, 1000}, {580, 1000}, ANY, SHORT, 1250},
    {"WS2813 A-D", {300, 450}, {750, 1000}, {300, 100000}, {300, 100000}, about(1250, 300), LONG, 1250},
    {"WS2813-Mini", {220, 380}, {580, 1600}, {580, 1600}, {220, 420}, ANY, LONG, 1250},
    {"WS2815 (times from memory)", {220, 380}, {580, 1000}, {580, 1000}, {220, 420}, ANY, LONG, 1250},
    {"SK6812, RGB and RGBW (tolerance from memory)", about(300, 150), about(600, 150), about(900, 150),
     about(600, 150), ANY, SHORT, 1250},
    {"WS2811 low speed", about(500, 150), about(1200, 150), about(2000, 150), about(1300, 150), ANY, SHORT,
     2500},
    {"WS2811 high speed (half of each)", about(250, 75), about(600, 75), about(1000, 75), about(650, 75), ANY,
     SHORT, 1250},
};

struct Pulse {
    double high, low;  // ns
};
using Signal = std::vector<Pulse>;

// From levels that each last as long; the last pulse's low is as long as was written.
Signal from_levels(const std::vector<uint8_t>& levels, double each_ns) {
    Signal signal;
    uint8_t before = 0;
    for (const uint8_t level : levels) {
        if (level != 0 && before == 0) signal.push_back(Pulse{0, 0});
        if (!signal.empty()) (level != 0 ? signal.back().high : signal.back().low) += each_ns;
        before = level;
    }
    return signal;
}

Signal by_uart(const Strip& strip, const std::vector<uint8_t>& lit) {
    std::vector<uint8_t> characters(lit.size() * 4), levels;
    encode_uart(strip, lit.data(), lit.size() / strip.channels, characters.data());
    for (const uint8_t character : characters) {
        CHECK(character < 64);
        // An inverted line: the start bit is high, the stop bit low, data bits the other way, lowest first.
        levels.push_back(1);
        for (int bit = 0; bit < 6; ++bit) levels.push_back(((character >> bit) & 1) == 0 ? 1 : 0);
        levels.push_back(0);
    }
    return from_levels(levels, strip.bit_ns / 4.0);
}

Signal by_spi(const Strip& strip, const std::vector<uint8_t>& lit) {
    std::vector<uint8_t> bytes(lit.size() * 4), levels;
    encode_quarters(strip, lit.data(), lit.size() / strip.channels, bytes.data());
    for (const uint8_t byte : bytes) {
        for (int bit = 7; bit >= 0; --bit) levels.push_back((byte >> bit) & 1);
    }
    return from_levels(levels, strip.bit_ns / 4.0);
}

// The same bytes as words of 32 bits that go out from the top, as I2S has them in memory.
Signal by_i2s(const Strip& strip, const std::vector<uint8_t>& lit) {
    std::vector<uint8_t> bytes(lit.size() * 4), levels;
    encode_quarters(strip, lit.data(), lit.size() / strip.channels, bytes.data());
    for (size_t at = 0; at < bytes.size(); at += 4) {
        const uint32_t word = be32(bytes.data() + at);
        for (int bit = 31; bit >= 0; --bit) levels.push_back((word >> bit) & 1);
    }
    return from_levels(levels, strip.bit_ns / 4.0);
}

Signal by_rmt(const Strip& strip, const std::vector<uint8_t>& lit) {
    std::vector<uint32_t> items(lit.size() * 8);
    encode_rmt(strip, lit.data(), lit.size() / strip.channels, items.data());
    Signal signal;
    for (const uint32_t item : items) {
        CHECK((item & 0x80008000u) == 0x00008000u);  // high, then low
        signal.push_back(Pulse{(item & 0x7fff) * double{RMT_TICK_NS}, ((item >> 16) & 0x7fff) * double{RMT_TICK_NS}});
    }
    return signal;
}

// Line 5 of eight, between lines that are shorter, longer and different.
Signal by_parallel(const Strip& strip, const std::vector<uint8_t>& lit) {
    std::vector<uint8_t> other(lit.size() + strip.channels, 0x5a), levels;
    const size_t pixels = lit.size() / strip.channels;
    Lane lanes[8];
    for (size_t i = 0; i < 8; ++i) lanes[i] = Lane{other.data(), i % 2 == 0 ? pixels + 1 : pixels - 1};
    lanes[5] = Lane{lit.data(), pixels};
    std::vector<uint8_t> samples((pixels + 1) * parallel_size(strip.channels));
    // In two pieces, as a board with little memory does.
    const size_t half = pixels / 2;
    encode_parallel(strip, lanes, 8, 0, half, samples.data());
    encode_parallel(strip, lanes, 8, half, pixels + 1 - half, samples.data() + half * parallel_size(strip.channels));
    for (const uint8_t sample : samples) levels.push_back((sample >> 5) & 1);
    // After its end the line is silent.
    Signal signal = from_levels(levels, strip.bit_ns / 4.0);
    if (!signal.empty()) signal.back().low -= strip.channels * 8.0 * strip.bit_ns;
    return signal;
}

struct Method {
    const char* name;
    Signal (*by)(const Strip&, const std::vector<uint8_t>&);
};
const Method METHODS[] = {
    {"UART", by_uart}, {"SPI", by_spi}, {"I2S", by_i2s}, {"RMT", by_rmt}, {"8 lines", by_parallel}};

bool within(Window window, double ns) { return window.least - 1e-9 <= ns && ns <= window.most + 1e-9; }

bool passes(const Row& row, const Signal& signal, const std::vector<uint8_t>& bits) {
    for (size_t i = 0; i < signal.size(); ++i) {
        const Pulse pulse = signal[i];
        const bool one = bits[i] != 0;
        if (!within(one ? row.one_high : row.zero_high, pulse.high)) return false;
        if (!within(one ? row.one_low : row.zero_low, pulse.low)) return false;
        if (!within(row.period, pulse.high + pulse.low)) return false;
    }
    return true;
}

// The bits that the strip is to get: its order, top bit first.
std::vector<uint8_t> bits_of(const std::vector<uint8_t>& lit, const std::vector<int>& order) {
    std::vector<uint8_t> bits;
    for (size_t at = 0; at < lit.size(); at += order.size()) {
        for (const int channel : order) {
            for (int bit = 7; bit >= 0; --bit) bits.push_back((lit[at + static_cast<size_t>(channel)] >> bit) & 1);
        }
    }
    return bits;
}

void every_method_against_every_row() {
    std::mt19937 chance(5);
    std::printf("one-wire times within each row of the data sheets (long one, short one; - is outside):\n");
    for (const Row& row : ROWS) {
        std::printf("  %-48s", row.part);
        for (const Method& method : METHODS) {
            std::printf(" %s", method.name);
            for (const Shape shape : {LONG, SHORT}) {
                for (const bool white : {false, true}) {
                    const uint8_t channels = white ? 4 : 3;
                    const std::vector<int> order = white ? std::vector<int>{1, 0, 2, 3} : std::vector<int>{1, 0, 2};
                    const Strip strip = {shape, row.bit_ns, 280, false, channels, order_from(white ? "grbw" : "grb", channels)};
                    std::vector<uint8_t> lit(channels * 60);
                    for (uint8_t& byte : lit) byte = static_cast<uint8_t>(chance());
                    const Signal signal = method.by(strip, lit);
                    const std::vector<uint8_t> bits = bits_of(lit, order);
                    CHECK_EQ(signal.size(), bits.size());
                    // Whatever the row wants, the longer pulses are the ones.
                    bool told_apart = true;
                    for (size_t i = 0; i < signal.size(); ++i) {
                        told_apart = told_apart && (signal[i].high > row.bit_ns * 0.35) == (bits[i] != 0);
                    }
                    CHECK(told_apart);
                    const bool good = passes(row, signal, bits);
                    if (shape == row.shape) CHECK(good);
                    if (!white) std::printf("%s", good ? (shape == LONG ? "L" : "S") : "-");
                }
            }
        }
        std::printf("\n");
    }
}

// Frames of clocked strips, by hand; then the clocks that the far end of the chain needs.
void clocked_frames() {
    const Strip strip = {LONG, 1250, 0, true, 3, order_from("bgr", 3)};
    const std::vector<uint8_t> lit = {1, 2, 3, 255, 0, 128};
    std::vector<uint8_t> bytes(clocked_size(2), 0xa5);
    encode_clocked(strip, lit.data(), 2, bytes.data());
    const std::vector<uint8_t> wanted = {0, 0, 0, 0, 0xff, 3, 2, 1, 0xff, 128, 0, 255, 0, 0, 0, 0, 0};
    CHECK(bytes == wanted);
    for (size_t pixels = 1; pixels <= 2000; ++pixels) {
        const size_t tail = (clocked_size(pixels) - 4 - 4 * pixels) * 8;
        CHECK(tail >= 32 + (pixels + 1) / 2);
    }
}

void orders_of_colours() {
    CHECK_EQ(order_from("rgb", 3), 0x18), CHECK_EQ(order_from("grb", 3), 0x48), CHECK_EQ(order_from("bgr", 3), 0x90);
    CHECK_EQ(order_from("grbw", 4), 0x4b), CHECK_EQ(order_from("wrgb", 4), 0xc6);
    for (const char* wrong : {"", "rg", "rgbw", "rrg", "rgx", "rgbr"}) CHECK_EQ(order_from(wrong, 3), 0xff);
    CHECK_EQ(order_from("rgb", 4), 0xff);
}

// Frame time: pixels x bits x bit time + reset, as computed from the data sheets' figures.
void frame_times() {
    const Strip rgb = {LONG, 1250, 280, false, 3, 0x48}, rgbw = {SHORT, 1250, 80, false, 4, 0x4b};
    const Strip slow = {SHORT, 2500, 50, false, 3, 0x18}, clocked = {LONG, 1250, 0, true, 3, 0x90};
    CHECK_EQ(frame_microseconds(rgb, 640, 0), 19480u);
    CHECK_EQ(frame_microseconds(rgb, 1024, 0), 31000u);
    CHECK_EQ(frame_microseconds(rgbw, 300, 0), 12080u);
    CHECK_EQ(frame_microseconds(slow, 512, 0), 30770u);
    for (const Strip* strip : {&rgb, &slow, &rgbw, &clocked}) {
        const double us = frame_microseconds(*strip, 576, 4000000);
        std::printf("highest rate at 576 pixels, one line, %s: %.1f frames/s\n",
                    strip->clocked ? "clocked at 4 MHz" : strip == &rgb ? "24 bits of 1.25 us"
                    : strip == &slow ? "24 bits of 2.5 us" : "32 bits of 1.25 us", 1e6 / us);
    }
}

}  // namespace

void test_waveforms() {
    every_method_against_every_row();
    clocked_frames();
    orders_of_colours();
    frame_times();
}
