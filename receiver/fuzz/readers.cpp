// Any bytes against every reader of the core: no crash, no byte beyond its memory (the sanitizers see to that),
// and what must hold whatever arrived.
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <vector>

#include "../core/device.hpp"
#include "../test/flash.hpp"

using namespace glowloom;

namespace {

void must(bool holds, const char* what) {
    if (holds) return;
    std::fprintf(stderr, "does not hold: %s\n", what);
    std::abort();
}

constexpr size_t PIXELS = 200;

// A tag that is right for any key: the fuzzer is to get past it.
void made_hmac(void*, const uint8_t*, Bytes message, uint8_t* tag) {
    for (size_t i = 0; i < orders::TAG; ++i) tag[i] = message.size > 0 ? message.at[message.size - 1] : 0;
}
void made_chance(void*, uint8_t* to, size_t size) { fill(to, 0x11, size); }

struct Bench {
    std::vector<uint8_t> held, lit, shown, serial;
    std::vector<Universe> universes;
    MadeFlash flash{2};
    uint8_t key[orders::KEY] = {};
    Device device;

    Bench() : held(PIXELS * 4), lit(held), shown(held), serial(700), universes(10) {
        Board board = {};
        board.strip = {Shape::LongOne, 1250, 280, false, 3, order_from("grb", 3)};
        board.pins = 8;
        board.key = key;
        board.crypto = {made_hmac, made_chance, nullptr};
        board.flash = &flash;
        board.memory = {held.data(), lit.data(), shown.data(), held.size(), universes.data(), universes.size(),
                        serial.data(), serial.size()};
        must(device.begin(0, board), "a board begins");
    }

    void assign(uint8_t protocol, bool packed) {
        Assignment to = {};
        to.protocol = static_cast<Protocol>(1 + protocol % 3);
        to.packed = packed && to.protocol == Protocol::Ddp;
        to.strip = {Shape::LongOne, 1250, 280, false, 3, order_from("grb", 3)};
        to.limits = {180, 3000, {20000, 20000, 20000, 0}, 1000};
        to.line_count = 2;
        to.lines[0] = {1, 0, 172, 1}, to.lines[1] = {5, 520, 20, 0};
        std::vector<uint8_t> body(ASSIGNMENT_SIZE);
        encode_assignment(to, body.data());
        must(device.follow(orders::What::Assign, Bytes{body.data(), body.size()}) == orders::Result::Done,
             "an assignment is taken");
    }

    void look(uint32_t now) {
        Output output;
        if (!device.frame(now, output)) return;
        const Limits& limits = device.assignment().limits;
        if (!device.is_assigned()) return;
        for (size_t lane = 0; lane < output.lane_count; ++lane) {
            const size_t size = output.lanes[lane].pixels * output.strip->channels;
            for (size_t i = 0; i < size; ++i) must(output.lanes[lane].lit[i] <= limits.ceiling, "the ceiling");
        }
        const uint64_t idle = uint64_t{limits.idle_ua} * (device.guard().size() / output.strip->channels);
        must(device.guard().microamps() <= uint64_t{limits.milliamps} * 1000 || device.guard().microamps() == idle,
             "the current");
    }
};

// Pieces: a size of two bytes, a wait of one, then so many bytes.
template <class F>
void for_pieces(Bytes bytes, F take) {
    size_t at = 0;
    uint32_t now = 0xfffff000u;  // soon after, the clock wraps
    while (at + 3 <= bytes.size) {
        const size_t size = least(be16(bytes.at + at) % 1500, bytes.size - at - 3);
        now += bytes.at[at + 2] * 16u;
        // Memory of its own, so that a byte beyond it is seen.
        const std::vector<uint8_t> piece(bytes.at + at + 3, bytes.at + at + 3 + size);
        take(now, Bytes{piece.data(), piece.size()});
        at += 3 + size;
    }
}

void any_packets(uint8_t protocol, Bytes bytes) {
    Bench bench;
    bench.assign(protocol, (protocol & 4) != 0);
    uint64_t count = 0;
    uint8_t replies[4 * artnet::REPLY_SIZE];
    for_pieces(bytes, [&](uint32_t now, Bytes piece) {
        Sender from = {};
        from.ip[15] = piece.size > 20 ? piece.at[20] & 1 : 0;
        must(bench.device.light(now, from, piece, replies, 4) <= 4, "replies");
        bench.look(now);
        ++count;
        const Counts& counts = bench.device.receiver().counts();
        must(counts.packets == count, "every packet is counted");
        must(counts.wrong + counts.ignored + counts.late + counts.strangers <= count, "no packet is counted twice");
    });
}

void any_line(uint8_t protocol, Bytes bytes) {
    Bench bench;
    if ((protocol & 1) != 0) bench.assign(2, (protocol & 2) != 0);
    uint8_t reply[orders::ANSWER_SIZE];
    for (size_t i = 0; i < bytes.size; ++i) {
        must(bench.device.serial(static_cast<uint32_t>(i), bytes.at[i], reply) <= sizeof reply, "a reply");
    }
    bench.look(static_cast<uint32_t>(bytes.size));
}

void any_orders(Bytes bytes) {
    Bench bench;
    uint8_t reply[orders::ANSWER_SIZE];
    for_pieces(bytes, [&](uint32_t now, Bytes piece) {
        must(bench.device.order(now, piece, reply) <= sizeof reply, "a reply");
        bench.device.wish();
        bench.look(now);
    });
}

void any_assignment(Bytes bytes) {
    if (bytes.size < ASSIGNMENT_SIZE) return;
    Assignment to;
    if (!decode_assignment(bytes.at, to)) return;
    std::vector<uint8_t> again(ASSIGNMENT_SIZE), twice(ASSIGNMENT_SIZE);
    encode_assignment(to, again.data());
    must(decode_assignment(again.data(), to), "what was written is read");
    encode_assignment(to, twice.data());
    must(again == twice, "there and back");
    Bench bench;
    bench.device.follow(orders::What::Assign, Bytes{bytes.at, ASSIGNMENT_SIZE});
    bench.look(0);
}

void any_flash(Bytes bytes) {
    MadeFlash flash(2);
    for (size_t i = 0; i < bytes.size; ++i) {
        auto& place = flash.places[i / COPY_SIZE % 2];
        place[i % COPY_SIZE] = bytes.at[i];
    }
    Store store;
    uint8_t kept[MOST_KEPT];
    must(store.load(flash, kept) <= MOST_KEPT, "a record fits");
    const uint8_t one = 1;
    must(store.save(flash, Bytes{&one, 1}), "whatever was there, it can be written");
    must(store.load(flash, kept) == 1, "and is read");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
    if (size == 0) return 0;
    const Bytes rest = {data + 1, size - 1};
    switch (data[0] >> 5) {
        case 0:
        case 1:
        case 2:
        case 3:
            any_packets(data[0] & 0x1f, rest);
            break;
        case 4:
            any_line(data[0] & 0x1f, rest);
            break;
        case 5:
            any_orders(rest);
            break;
        case 6:
            any_assignment(rest);
            break;
        default:
            any_flash(rest);
    }
    return 0;
}
