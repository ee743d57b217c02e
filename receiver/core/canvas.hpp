// The pixels of one panel: what is held for later, and what is lit.
#ifndef GLOWLOOM_CANVAS_HPP
#define GLOWLOOM_CANVAS_HPP

#include "bytes.hpp"

namespace glowloom {

// What a receiver does when frames stop.
enum class OnLoss : uint8_t { Black = 0, Keep = 1, Glow = 2 };

// One data line: a chain of pixels behind one pin.
struct Line {
    uint16_t first_universe;  // holds its first pixel; the rest follow without a gap
    uint32_t byte_offset;     // where it starts in the panel's bytes, for DDP
    uint32_t pixels;          // spares included
    uint32_t spares;          // unlit pixels at its head
};

// Light of each colour while a panel without frames glows: faint, and far below any ceiling that a
// supply may need. Common practice, no source.
constexpr uint8_t GLOW = 8;

// Pixels data line after data line, bytes of a pixel together, in memory that is lent.
class Canvas {
 public:
    Canvas() = default;
    Canvas(uint8_t* held, uint8_t* lit, size_t size) : held_(held), lit_(lit), size_(size) {
        fill(held_, 0, size_);
        fill(lit_, 0, size_);
    }

    // Keeps bytes for the next frame. What does not fit is left out.
    void hold(size_t start, size_t room, const uint8_t* bytes, size_t size) {
        if (start > size_) return;
        copy(held_ + start, bytes, least(least(size, room), size_ - start));
    }

    // One byte of the next frame, from a place that is within.
    uint8_t* held_at(size_t start, size_t size) {
        return start <= size_ && size <= size_ - start ? held_ + start : nullptr;
    }

    void show_part(size_t start, size_t size) { copy(lit_ + start, held_ + start, size); }
    void show() { copy(lit_, held_, size_); }

    // What is to be seen when frames stop. Spare pixels stay dark.
    void lose(OnLoss on_loss, uint8_t ceiling, uint8_t channels, const Line* lines, size_t count) {
        if (on_loss != OnLoss::Keep) fill(lit_, 0, size_);
        if (on_loss == OnLoss::Glow) glow(ceiling < GLOW ? ceiling : GLOW, channels, lines, count);
        // The next sender starts with a clean sheet.
        copy(held_, lit_, size_);
    }

    const uint8_t* lit() const { return lit_; }
    size_t size() const { return size_; }

 private:
    // Red, green and blue; a white channel stays dark.
    void glow(uint8_t level, uint8_t channels, const Line* lines, size_t count) {
        size_t at = 0;
        for (size_t line = 0; line < count; ++line) {
            for (uint32_t pixel = 0; pixel < lines[line].pixels; ++pixel, at += channels) {
                if (pixel >= lines[line].spares && at + 3 <= size_) fill(lit_ + at, level, 3);
            }
        }
    }

    uint8_t* held_ = nullptr;
    uint8_t* lit_ = nullptr;
    size_t size_ = 0;
};

}  // namespace glowloom

#endif
