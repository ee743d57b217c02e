// Power is cut at every byte of every write and erase: one of the two copies is whole, and it is the old
// record or the new one.
#include <cstring>
#include <random>
#include <vector>

#include "../core/store.hpp"
#include "check.hpp"
#include "flash.hpp"
#include "tests.hpp"

using namespace glowloom;

namespace {

std::vector<uint8_t> record(uint8_t of, size_t size) {
    std::vector<uint8_t> bytes(size);
    for (size_t i = 0; i < size; ++i) bytes[i] = static_cast<uint8_t>(of * 31 + i);
    return bytes;
}

std::vector<uint8_t> loaded(MadeFlash& flash) {
    Store store;
    uint8_t room[MOST_KEPT];
    const size_t size = store.load(flash, room);
    return std::vector<uint8_t>(room, room + size);
}

void a_cut_at_every_step() {
    std::mt19937 chance(7);
    unsigned cuts = 0, old_kept = 0, new_kept = 0;
    for (uint8_t before = 1; before <= 3; ++before) {
        for (long cut = 0;; ++cut) {
            MadeFlash flash(chance());
            Store store;
            uint8_t room[MOST_KEPT];
            store.load(flash, room);
            for (uint8_t i = 1; i <= before; ++i) {
                const std::vector<uint8_t> kept = record(i, 156);
                CHECK(store.save(flash, Bytes{kept.data(), kept.size()}));
            }
            const std::vector<uint8_t> wanted = record(static_cast<uint8_t>(before + 1), 200);
            flash.cut_after = cut;
            const bool saved = store.save(flash, Bytes{wanted.data(), wanted.size()});
            const bool was_cut = flash.cut_after < 0;
            flash.cut_after = MadeFlash::NEVER;
            const std::vector<uint8_t> found = loaded(flash);
            CHECK(found == record(before, 156) || found == wanted);
            if (saved) CHECK(found == wanted);
            if (!was_cut) break;
            ++cuts;
            (found == wanted ? new_kept : old_kept) += 1;
            // And the board can be told again.
            Store again;
            again.load(flash, room);
            CHECK(again.save(flash, Bytes{wanted.data(), wanted.size()}));
            CHECK(loaded(flash) == wanted);
        }
    }
    std::printf("store: power cut at %u moments; %u left the old record, %u the new one\n", cuts, old_kept,
                new_kept);
    CHECK(cuts > 3 * COPY_SIZE), CHECK(old_kept > 0), CHECK(new_kept > 0);
}

void flash_that_wears_out_is_noticed() {
    MadeFlash flash(1);
    Store store;
    uint8_t room[MOST_KEPT];
    store.load(flash, room);
    const std::vector<uint8_t> first = record(1, 8), second = record(2, 8);
    CHECK(store.save(flash, Bytes{first.data(), first.size()}));
    flash.stuck = 40;
    CHECK(!store.save(flash, Bytes{second.data(), second.size()}));
    CHECK(loaded(flash) == first);
    flash.stuck = -1;
    CHECK(store.save(flash, Bytes{second.data(), second.size()}));
    CHECK(loaded(flash) == second);
    CHECK(!store.save(flash, Bytes{first.data(), MOST_KEPT + 1}));
}

void every_broken_byte_is_seen() {
    for (size_t at = 0; at < COPY_SIZE; ++at) {
        MadeFlash flash(3);
        Store store;
        uint8_t room[MOST_KEPT];
        store.load(flash, room);
        const std::vector<uint8_t> first = record(1, 156), second = record(2, 156);
        store.save(flash, Bytes{first.data(), first.size()});
        store.save(flash, Bytes{second.data(), second.size()});
        flash.places[1][at] ^= 0x10;
        CHECK(loaded(flash) == first);
    }
}

}  // namespace

void test_store() {
    const uint8_t digits[] = {'1', '2', '3', '4', '5', '6', '7', '8', '9'};
    CHECK_EQ(crc32(0, digits, 9), 0xcbf43926u);  // the check value of this CRC
    a_cut_at_every_step();
    flash_that_wears_out_is_noticed();
    every_broken_byte_is_seen();
}
