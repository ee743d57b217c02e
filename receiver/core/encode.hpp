// Light as the strip wants it: bits for each way that a chip can put them out.
//
// A one-wire bit is a high time and a low time. By UART, SPI and I2S it is four equal parts, the first
// high and the last low; by RMT it is two counted times. All of them write into memory that is lent,
// so that the chip sends in the background.
#ifndef GLOWLOOM_ENCODE_HPP
#define GLOWLOOM_ENCODE_HPP

#include "bytes.hpp"

namespace glowloom {

// How long a one is high.
enum class Shape : uint8_t {
    LongOne = 0,   // three parts of four: WS2812B, WS2813, WS2815
    ShortOne = 1,  // two parts of four: SK6812, WS2811
};

// How a strip is talked to.
struct Strip {
    Shape shape;
    uint16_t bit_ns;    // 1250 or 2500
    uint16_t reset_us;  // silence after a frame
    bool clocked;       // two-wire; then `shape` and `bit_ns` say nothing
    uint8_t channels;   // 3 or 4
    uint8_t order;      // which packet channel goes out first, second, ...: two bits each, from the top
};

// The colour order as two bits to a place: "grb" is 1, 0, 2. 0xff where a text is none.
uint8_t order_from(const char* text, uint8_t channels);

// Puts a pixel's channels in the strip's order.
inline void in_order(uint8_t order, uint8_t channels, const uint8_t* pixel, uint8_t* to) {
    for (uint8_t place = 0; place < channels; ++place) {
        to[place] = pixel[(order >> (6 - 2 * place)) & 3];
    }
}

// Four parts of each of two bits, the first part highest: eight bits.
inline uint8_t quarters(Shape shape, uint8_t two_bits) {
    const uint8_t one = shape == Shape::LongOne ? 0xe : 0xc;
    const uint8_t high = (two_bits & 2) != 0 ? one : 0x8, low = (two_bits & 1) != 0 ? one : 0x8;
    return static_cast<uint8_t>((high << 4) | low);
}

// Four parts of every bit, top bit first: bytes for SPI, or for a word of I2S that goes out from its
// top. Four for each byte of light, sent at 4 / bit_ns: 3.2 or 1.6 MHz.
void encode_quarters(const Strip& strip, const uint8_t* lit, size_t pixels, uint8_t* to);

// Characters for a UART with 6 data bits, no parity, one stop bit, its output inverted, at 8 parts to a
// character: 3.2 or 1.6 Mbaud. Start bit and stop bit are the first and the last part. Four for each
// byte of light.
void encode_uart(const Strip& strip, const uint8_t* lit, size_t pixels, uint8_t* to);

// Bytes to encode one pixel by the two above.
inline size_t quarters_size(uint8_t channels) { return size_t{4} * channels; }

// One item of the RMT peripheral: a high time and a low time, in ticks. Layout from memory of the chip's
// manual: 15 bits of ticks and a level, low half first.
constexpr uint32_t RMT_TICK_NS = 25;
struct RmtTimes {
    uint16_t zero_high, zero_low, one_high, one_low;  // ticks
};
RmtTimes rmt_times(const Strip& strip);
void encode_rmt(const Strip& strip, const uint8_t* lit, size_t pixels, uint32_t* to);

// Samples for a parallel output of up to eight lines, a bit to a line, four samples to a bit of light:
// 96 or 128 bytes for each pixel of the longest line. Lines that have ended stay low.
struct Lane {
    const uint8_t* lit;
    size_t pixels;
};
void encode_parallel(const Strip& strip, const Lane* lanes, size_t count, size_t first, size_t pixels,
                     uint8_t* to);
inline size_t parallel_size(uint8_t channels) { return size_t{32} * channels; }

// Frames of a clocked strip (APA102, SK9822): 32 zeros; 111, five bits of brightness, blue, green and
// red as the order says; then 32 zeros for the SK9822 and half a clock more for each pixel.
constexpr uint8_t CLOCKED_FULL = 31;
void encode_clocked(const Strip& strip, const uint8_t* lit, size_t pixels, uint8_t* to);
inline size_t clocked_size(size_t pixels) { return 4 + 4 * pixels + 4 + (pixels + 15) / 16; }

// How long a line of so many pixels takes, reset included; clocked strips at `hertz`.
uint32_t frame_microseconds(const Strip& strip, size_t pixels, uint32_t hertz);

}  // namespace glowloom

#endif
