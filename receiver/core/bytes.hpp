// Bytes that somebody else owns, and numbers in them.
//
// Rule of this folder: no board header, no heap, no clock, no exceptions. Time comes in as
// milliseconds that wrap after 49 days; memory is lent by the caller.
#ifndef GLOWLOOM_BYTES_HPP
#define GLOWLOOM_BYTES_HPP

#include <stddef.h>
#include <stdint.h>

namespace glowloom {

// Bytes that are lent to be read.
struct Bytes {
    const uint8_t* at;
    size_t size;
};

// High byte first.
inline uint16_t be16(const uint8_t* at) { return static_cast<uint16_t>((at[0] << 8) | at[1]); }
inline uint32_t be32(const uint8_t* at) {
    return (static_cast<uint32_t>(be16(at)) << 16) | be16(at + 2);
}
inline uint64_t be64(const uint8_t* at) {
    return (static_cast<uint64_t>(be32(at)) << 32) | be32(at + 4);
}
// Low byte first.
inline uint16_t le16(const uint8_t* at) { return static_cast<uint16_t>((at[1] << 8) | at[0]); }

inline void put16(uint8_t* at, uint16_t value) {
    at[0] = static_cast<uint8_t>(value >> 8);
    at[1] = static_cast<uint8_t>(value);
}
inline void put32(uint8_t* at, uint32_t value) {
    put16(at, static_cast<uint16_t>(value >> 16));
    put16(at + 2, static_cast<uint16_t>(value));
}
inline void put64(uint8_t* at, uint64_t value) {
    put32(at, static_cast<uint32_t>(value >> 32));
    put32(at + 4, static_cast<uint32_t>(value));
}

inline void copy(uint8_t* to, const uint8_t* from, size_t size) {
    for (size_t i = 0; i < size; ++i) to[i] = from[i];
}
inline void fill(uint8_t* to, uint8_t value, size_t size) {
    for (size_t i = 0; i < size; ++i) to[i] = value;
}
// For public bytes: its time tells where they differ.
inline bool same(const uint8_t* a, const uint8_t* b, size_t size) {
    for (size_t i = 0; i < size; ++i) {
        if (a[i] != b[i]) return false;
    }
    return true;
}
// For secrets: always looks at every byte.
inline bool same_secret(const uint8_t* a, const uint8_t* b, size_t size) {
    volatile uint8_t differs = 0;
    for (size_t i = 0; i < size; ++i) differs = static_cast<uint8_t>(differs | (a[i] ^ b[i]));
    return differs == 0;
}

inline size_t least(size_t a, size_t b) { return a < b ? a : b; }
inline size_t most(size_t a, size_t b) { return a < b ? b : a; }

// Milliseconds from an earlier moment to now, right across the wrap.
inline uint32_t since(uint32_t now, uint32_t then) { return now - then; }

}  // namespace glowloom

#endif
