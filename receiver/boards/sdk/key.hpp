// A key as `glowloom receiver` writes it, for compiling the glue here: of no wall.
#ifndef GLOWLOOM_KEY_HPP
#define GLOWLOOM_KEY_HPP

#include <stdint.h>

namespace key {

constexpr uint8_t KEY[32] = {};

}  // namespace key

#endif
