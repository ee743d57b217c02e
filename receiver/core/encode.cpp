#include "encode.hpp"

namespace glowloom {

uint8_t order_from(const char* text, uint8_t channels) {
    const char letters[] = "rgbw";
    uint8_t order = 0, seen = 0, size = 0;
    for (; text[size] != 0; ++size) {
        uint8_t channel = 0;
        while (channel < channels && letters[channel] != text[size]) ++channel;
        if (size == channels || channel == channels || (seen & (1 << channel)) != 0) return 0xff;
        seen = static_cast<uint8_t>(seen | (1 << channel));
        order = static_cast<uint8_t>(order | (channel << (6 - 2 * size)));
    }
    return size == channels ? order : 0xff;
}

void encode_quarters(const Strip& strip, const uint8_t* lit, size_t pixels, uint8_t* to) {
    uint8_t pixel[4];
    for (size_t i = 0; i < pixels; ++i, lit += strip.channels) {
        in_order(strip.order, strip.channels, lit, pixel);
        for (uint8_t place = 0; place < strip.channels; ++place) {
            for (int shift = 6; shift >= 0; shift -= 2) {
                *to++ = quarters(strip.shape, (pixel[place] >> shift) & 3);
            }
        }
    }
}

void encode_uart(const Strip& strip, const uint8_t* lit, size_t pixels, uint8_t* to) {
    // The lowest data bit goes first and all are inverted; the first part of the first bit and the last
    // part of the second are start and stop bit.
    uint8_t characters[4];
    for (uint8_t two = 0; two < 4; ++two) {
        const uint8_t parts = static_cast<uint8_t>(~quarters(strip.shape, two));
        characters[two] = 0;
        for (uint8_t bit = 0; bit < 6; ++bit) {
            const uint8_t part = (parts >> (6 - bit)) & 1;
            characters[two] = static_cast<uint8_t>(characters[two] | (part << bit));
        }
    }
    uint8_t pixel[4];
    for (size_t i = 0; i < pixels; ++i, lit += strip.channels) {
        in_order(strip.order, strip.channels, lit, pixel);
        for (uint8_t place = 0; place < strip.channels; ++place) {
            for (int shift = 6; shift >= 0; shift -= 2) {
                *to++ = characters[(pixel[place] >> shift) & 3];
            }
        }
    }
}

RmtTimes rmt_times(const Strip& strip) {
    // In ticks of 25 ns; within every window of reference data sheets for its shape (test/waveform.cpp).
    const bool slow = strip.bit_ns > 1875;
    if (strip.shape == Shape::LongOne) {
        // 0.35 0.90, 0.80 0.40 us; twice that for a strip of half the speed.
        return slow ? RmtTimes{28, 72, 64, 32} : RmtTimes{14, 36, 32, 16};
    }
    if (slow) return RmtTimes{20, 80, 48, 52};  // 0.50 2.00, 1.20 1.30 us
    return RmtTimes{12, 38, 24, 24};  // 0.30 0.95, 0.60 0.60 us
}

void encode_rmt(const Strip& strip, const uint8_t* lit, size_t pixels, uint32_t* to) {
    const RmtTimes times = rmt_times(strip);
    const auto item = [](uint32_t high, uint32_t low) { return (low << 16) | 0x8000u | high; };
    const uint32_t zero = item(times.zero_high, times.zero_low);
    const uint32_t one = item(times.one_high, times.one_low);
    uint8_t pixel[4];
    for (size_t i = 0; i < pixels; ++i, lit += strip.channels) {
        in_order(strip.order, strip.channels, lit, pixel);
        for (uint8_t place = 0; place < strip.channels; ++place) {
            for (int bit = 7; bit >= 0; --bit) *to++ = ((pixel[place] >> bit) & 1) != 0 ? one : zero;
        }
    }
}

void encode_parallel(const Strip& strip, const Lane* lanes, size_t count, size_t first, size_t pixels,
                     uint8_t* to) {
    uint8_t pixel[8][4] = {};
    count = least(count, 8);
    for (size_t i = first; i < first + pixels; ++i) {
        uint8_t there = 0;
        for (size_t lane = 0; lane < count; ++lane) {
            if (i >= lanes[lane].pixels) continue;
            there = static_cast<uint8_t>(there | (1 << lane));
            in_order(strip.order, strip.channels, lanes[lane].lit + i * strip.channels, pixel[lane]);
        }
        for (uint8_t place = 0; place < strip.channels; ++place) {
            for (int bit = 7; bit >= 0; --bit) {
                uint8_t ones = 0;
                for (size_t lane = 0; lane < count; ++lane) {
                    ones = static_cast<uint8_t>(ones | (((pixel[lane][place] >> bit) & 1) << lane));
                }
                ones &= there;
                *to++ = there;
                *to++ = ones;
                *to++ = strip.shape == Shape::LongOne ? ones : 0;
                *to++ = 0;
            }
        }
    }
}

void encode_clocked(const Strip& strip, const uint8_t* lit, size_t pixels, uint8_t* to) {
    fill(to, 0, clocked_size(pixels));
    to += 4;
    for (size_t i = 0; i < pixels; ++i, lit += strip.channels, to += 4) {
        to[0] = 0xe0 | CLOCKED_FULL;
        in_order(strip.order, 3, lit, to + 1);
    }
}

uint32_t frame_microseconds(const Strip& strip, size_t pixels, uint32_t hertz) {
    if (strip.clocked) {
        return static_cast<uint32_t>(uint64_t{clocked_size(pixels)} * 8 * 1000000 / hertz);
    }
    const uint64_t bits = uint64_t{pixels} * strip.channels * 8;
    return static_cast<uint32_t>((bits * strip.bit_ns + 999) / 1000) + strip.reset_us;
}

}  // namespace glowloom
