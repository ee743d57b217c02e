// Flash that is made up: bits go from one to zero by writing, back by erasing, and power can be cut.
#ifndef GLOWLOOM_FLASH_HPP
#define GLOWLOOM_FLASH_HPP

#include <climits>
#include <random>
#include <vector>

#include "../core/store.hpp"

struct MadeFlash final : glowloom::Flash {
    static constexpr long NEVER = LONG_MAX / 2;
    std::vector<uint8_t> places[2];
    long cut_after = NEVER;  // steps until power is cut; below 0: it was
    long stuck = -1;         // a byte that no longer takes what is written
    std::mt19937 chance;

    // New flash is erased, or holds what was there before.
    explicit MadeFlash(unsigned seed) : chance(seed) {
        for (auto& place : places) {
            place.resize(glowloom::COPY_SIZE);
            for (uint8_t& byte : place) byte = seed % 2 == 0 ? 0xff : static_cast<uint8_t>(chance());
        }
    }
    bool read(uint8_t place, size_t offset, uint8_t* to, size_t size) override {
        for (size_t i = 0; i < size; ++i) to[i] = places[place][offset + i];
        return true;
    }
    // Bytes are erased in no order: where power is cut, some hold anything.
    bool erase(uint8_t place) override {
        for (uint8_t& byte : places[place]) {
            if (cut_after-- <= 0) {
                cut_after = -1;
                for (uint8_t& half : places[place]) half = static_cast<uint8_t>(half | chance());
                return false;
            }
            byte = 0xff;
        }
        return true;
    }
    bool write(uint8_t place, size_t offset, const uint8_t* from, size_t size) override {
        for (size_t i = 0; i < size; ++i) {
            uint8_t& byte = places[place][offset + i];
            if (cut_after-- <= 0) {
                cut_after = -1;
                byte = static_cast<uint8_t>(byte & (from[i] | chance()));  // half written
                return false;
            }
            if (static_cast<long>(offset + i) != stuck) byte = static_cast<uint8_t>(byte & from[i]);
        }
        return true;
    }
};

#endif
