// A whole board, save its chip: identity, packets, guard, orders, and what is to be put out when.
//
// The glue of a board hands in bytes and the time, and puts out the frames that it is given.
#ifndef GLOWLOOM_DEVICE_HPP
#define GLOWLOOM_DEVICE_HPP

#include "code.hpp"
#include "orders.hpp"
#include "slip.hpp"
#include "status.hpp"
#include "store.hpp"

namespace glowloom {

// Why the board began anew.
enum class Reset : uint8_t { Unknown = 0, Power = 1, Software = 2, Watchdog = 3, BrownOut = 4, Crash = 5 };

// What the chip knows and the core cannot: asked for status.
struct Vitals {
    uint32_t free_heap;    // bytes
    int8_t signal_dbm;     // 0 where there is no Wi-Fi
    uint32_t up_seconds;
    const char* model;     // the board, as the wall file names it
    const char* version;
    const char* wall;
};

// Memory that a board lends for as long as it runs: `bytes` each, for all pixels; no heap.
struct Memory {
    uint8_t* held;
    uint8_t* lit;
    uint8_t* shown;
    size_t bytes;
    Universe* universes;
    size_t universe_room;
    uint8_t* serial;  // the longest packet on USB
    size_t serial_room;
};

struct Board {
    uint8_t id[orders::ID];
    uint8_t ip[4];
    uint8_t firmware[8];
    Reset reset;
    Strip strip;      // of the wall, for the code before there is an assignment
    uint8_t pins;     // data lines that the chip can drive
    const uint8_t* key;
    orders::Crypto crypto;
    Flash* flash;
    Memory memory;
};

// What is to be put out.
struct Output {
    const Strip* strip;
    Lane lanes[MOST_LINES];
    size_t lane_count;
};

// What only the glue can do, asked for after each packet.
enum class Wish : uint8_t { None, Restart, Update, Join };

class Device final : public orders::Follower {
 public:
    // Loads the identity; false where memory is too small for a code.
    bool begin(uint32_t now, const Board& board);

    // Takes a packet from the light's port if it asks how the board is; gives the size of the answer in `to`.
    // `mine` says whether it does: then nothing else is to take it.
    size_t status(uint32_t now, Bytes bytes, const Vitals& vitals, bool& mine, uint8_t* to, size_t room);
    // Takes any other packet from the light's port. Replies, for Art-Net's questions, are left in `to`
    // (artnet::REPLY_SIZE bytes each), `most` of them; gives how many.
    size_t light(uint32_t now, const Sender& from, Bytes bytes, uint8_t* to, size_t most);
    // Takes a packet from the orders' port; gives the size of the reply in `to` (orders::ANSWER_SIZE).
    size_t order(uint32_t now, Bytes bytes, uint8_t* to);
    // Takes a byte from the serial line: light as DDP, or an order. Gives the size of a reply.
    size_t serial(uint32_t now, uint8_t byte, uint8_t* to);
    void set_address(const uint8_t* ip) { copy(board_.ip, ip, 4); }
    // The board's own network is open: an order to join another is taken.
    void set_own_network(bool open) { own_network_ = open; }

    // Whether something is to be put out now; to be asked whenever the strip is free, and often.
    bool frame(uint32_t now, Output& output);

    // What the last order wants of the glue; asked once.
    Wish wish();
    Bytes wish_body() const { return Bytes{wish_body_, wish_size_}; }

    bool is_assigned() const { return assigned_; }
    // Goes up with each identity that is kept.
    uint32_t generation() const { return store_.generation(); }
    const Assignment& assignment() const { return assignment_; }
    uint16_t port() const;
    const Receiver& receiver() const { return receiver_; }
    const Guard& guard() const { return guard_; }
    const uint8_t* code() const { return code_; }
    Reset reset_reason() const { return board_.reset; }

    orders::Result follow(orders::What what, Bytes body) override;

 private:
    orders::Result assign(Bytes body);
    bool take_up(const Assignment& assignment);
    void be_unassigned();
    orders::Self self() const;
    void note(Event event, uint32_t now);
    const uint8_t* wanted(uint32_t now);
    size_t answer_poll(uint8_t* to, size_t most);

    Board board_ = {};
    Store store_;
    Assignment assignment_ = {};
    Receiver receiver_;
    Guard guard_;
    orders::Desk desk_;
    slip::Decoder slip_;
    uint8_t code_[FIGURES] = {};
    Wish wish_ = Wish::None;
    uint8_t wish_body_[96] = {};
    size_t wish_size_ = 0;
    bool assigned_ = false, own_network_ = false;
    bool whole_ = false, drawn_ = false, held_back_ = false, glows_ = false;
    uint32_t now_ = 0, drawn_ms_ = 0, put_out_ms_ = 0, glow_ms_ = 0, glow_for_ms_ = 0;
    uint16_t answered_ = 0;
    bool has_answered_ = false;
    uint32_t answered_ms_ = 0;
    bool has_told_ = false;
    uint32_t told_ms_ = 0, shown_ms_ = 0;
    Sender from_ = {};
};

}  // namespace glowloom

#endif
