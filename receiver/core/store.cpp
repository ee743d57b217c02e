#include "store.hpp"

namespace glowloom {
namespace {

constexpr uint32_t MAGIC = 0x474c4b31;  // GLK1
constexpr size_t HEAD = 12;

// Reads a copy; gives its size, 0 where it is not whole.
size_t read_copy(Flash& flash, uint8_t place, uint8_t* copy_room, uint32_t& generation) {
    if (!flash.read(place, 0, copy_room, COPY_SIZE) || be32(copy_room) != MAGIC) return 0;
    const size_t size = be32(copy_room + 8);
    if (size == 0 || size > MOST_KEPT) return 0;
    if (crc32(0, copy_room, HEAD + MOST_KEPT) != be32(copy_room + HEAD + MOST_KEPT)) return 0;
    generation = be32(copy_room + 4);
    return size;
}

}  // namespace

uint32_t crc32(uint32_t crc, const uint8_t* from, size_t size) {
    crc = ~crc;
    for (size_t i = 0; i < size; ++i) {
        crc ^= from[i];
        for (int bit = 0; bit < 8; ++bit) crc = (crc >> 1) ^ ((crc & 1) != 0 ? 0xedb88320u : 0);
    }
    return ~crc;
}

size_t Store::load(Flash& flash, uint8_t* to) {
    *this = Store();
    uint8_t room[COPY_SIZE];
    size_t found = 0;
    for (uint8_t place = 0; place < 2; ++place) {
        uint32_t generation = 0;
        const size_t size = read_copy(flash, place, room, generation);
        if (size == 0) continue;
        // Newer, right across the wrap.
        if (has_ && static_cast<int32_t>(generation - generation_) <= 0) continue;
        has_ = true;
        place_ = place;
        generation_ = generation;
        found = size;
        copy(to, room + HEAD, MOST_KEPT);
    }
    return found;
}

bool Store::save(Flash& flash, Bytes record) {
    if (record.size == 0 || record.size > MOST_KEPT) return false;
    const uint8_t place = has_ ? static_cast<uint8_t>(1 - place_) : 0;
    const uint32_t generation = generation_ + 1;
    uint8_t room[COPY_SIZE];
    fill(room, 0, sizeof room);
    put32(room, MAGIC);
    put32(room + 4, generation);
    put32(room + 8, static_cast<uint32_t>(record.size));
    copy(room + HEAD, record.at, record.size);
    put32(room + HEAD + MOST_KEPT, crc32(0, room, HEAD + MOST_KEPT));
    if (!flash.erase(place) || !flash.write(place, 0, room, sizeof room)) return false;
    uint32_t found = 0;
    if (read_copy(flash, place, room, found) != record.size || found != generation) return false;
    if (!same(room + HEAD, record.at, record.size)) return false;
    has_ = true;
    place_ = place;
    generation_ = generation;
    return true;
}

}  // namespace glowloom
