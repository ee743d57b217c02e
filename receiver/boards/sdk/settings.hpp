// Settings as `glowloom receiver` writes them, for compiling the glue here.
#ifndef GLOWLOOM_SETTINGS_HPP
#define GLOWLOOM_SETTINGS_HPP

#include "../../core/encode.hpp"

namespace settings {

constexpr char WALL[] = "Tidewall";
constexpr char VERSION[] = "0.1.0";
constexpr char BOARD[] = "esp32";
constexpr size_t MOST_PIXELS = 1024;
constexpr glowloom::Strip STRIP = {glowloom::Shape::LongOne, 1250, 280, false, 3, 0x48};
constexpr int BAUD = 921600;
constexpr int DATA_PINS[8] = {16, 4, 5, 18, 19, 21, 22, 23};
constexpr int CLOCK_PINS[2] = {17, 2};
constexpr int BUS_IDLE_PINS[2] = {32, 33};
constexpr uint8_t PINS = 8;
constexpr int PHY_ADDRESS = 0, PHY_RESET_PIN = -1;

}  // namespace settings

#endif
