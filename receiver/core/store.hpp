// A small record in flash, in two copies: a power cut at any moment leaves one that is whole.
//
// The newer copy is never touched while the older is written. Each has a generation and a CRC-32, and is
// written after its place was erased: magic, generation, size, bytes, CRC.
#ifndef GLOWLOOM_STORE_HPP
#define GLOWLOOM_STORE_HPP

#include "bytes.hpp"

namespace glowloom {

// Two places of flash that are erased separately. Implemented by the board.
class Flash {
 public:
    virtual bool read(uint8_t place, size_t offset, uint8_t* to, size_t size) = 0;
    virtual bool erase(uint8_t place) = 0;
    virtual bool write(uint8_t place, size_t offset, const uint8_t* from, size_t size) = 0;

 protected:
    ~Flash() = default;
};

constexpr size_t MOST_KEPT = 256;
// What one copy takes: a multiple of four, for flash that is written in words.
constexpr size_t COPY_SIZE = 12 + MOST_KEPT + 4;

class Store {
 public:
    // Finds the newest whole copy; gives its size, 0 where there is none. `to` has room for MOST_KEPT.
    size_t load(Flash& flash, uint8_t* to);
    // Writes the older copy and reads it back; false where flash does not hold it, and then the last
    // one still counts. After a `load`.
    bool save(Flash& flash, Bytes record);
    uint32_t generation() const { return generation_; }

 private:
    bool has_ = false;
    uint8_t place_ = 0;
    uint32_t generation_ = 0;
};

// The one of Ethernet and zip files: of "123456789" it is cbf43926.
uint32_t crc32(uint32_t crc, const uint8_t* from, size_t size);

}  // namespace glowloom

#endif
