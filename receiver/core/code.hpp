// A board's short code: four figures of 1 to 6, shown as groups of lit pixels, so that a person can tell
// boards apart before they are assigned.
#ifndef GLOWLOOM_CODE_HPP
#define GLOWLOOM_CODE_HPP

#include "bytes.hpp"

namespace glowloom {

constexpr size_t FIGURES = 4;
// Between two groups.
constexpr size_t CODE_GAP = 2;
constexpr size_t MOST_CODE_PIXELS = FIGURES * 6 + (FIGURES - 1) * CODE_GAP;
// Faint, and far below any flash.
constexpr uint8_t CODE_LEVEL = 24;

// Figures from a board's id: of 1,296, so two boards of a wall may have the same.
void code_of(const uint8_t* id, uint8_t* figures);

// Draws the code in white on the first pixels; all others go dark.
void draw_code(const uint8_t* figures, uint8_t channels, uint8_t* lit, size_t size);

}  // namespace glowloom

#endif
