#include "code.hpp"

#include "store.hpp"

namespace glowloom {

void code_of(const uint8_t* id, uint8_t* figures) {
    uint32_t mixed = crc32(0, id, 6);
    for (size_t i = 0; i < FIGURES; ++i, mixed /= 6) {
        figures[i] = static_cast<uint8_t>(1 + mixed % 6);
    }
}

void draw_code(const uint8_t* figures, uint8_t channels, uint8_t* lit, size_t size) {
    fill(lit, 0, size);
    size_t pixel = 0;
    for (size_t figure = 0; figure < FIGURES; ++figure, pixel += CODE_GAP) {
        for (uint8_t i = 0; i < figures[figure]; ++i, ++pixel) {
            // Red, green and blue: white whatever the strip's order.
            if ((pixel + 1) * channels <= size) fill(lit + pixel * channels, CODE_LEVEL, 3);
        }
    }
}

}  // namespace glowloom
