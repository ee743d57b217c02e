// Orders to a board, each with a tag made by the wall's key, and the answers.
//
// Tag: HMAC-SHA-256 (RFC 2104, FIPS 180-4) over all bytes before it, by the board's own crypto library.
// An order carries the board's id and a number that the board made by chance and takes once only: an
// order that was recorded cannot be played again, nor to another board. All numbers high byte first.
//
//   every message:  0 magic (4)   4 version 1   5 kind   6 board's id (6)   12 number (16)
//   1 question:     number: the asker's; id: all ff for any board; padded to the size of an answer, so
//                   that nobody can be flooded by answers to short questions
//   2 answer:       number: for the next order; 28 the asker's number (16), 44 state, 45 reset reason,
//                   46 reserved (2), 48 code (4), 52 firmware (8), 60 most pixels (4), 64 panel's name
//                   (32), 96 tag (32)
//   3 order:        number: the board's; 28 what, 29 reserved, 30 size of the body (2), 32 body, tag (32)
//   4 result:       number: as in the order; 28 result, 29 reserved (3), 32 tag (32)
#ifndef GLOWLOOM_ORDERS_HPP
#define GLOWLOOM_ORDERS_HPP

#include "assignment.hpp"

namespace glowloom {
namespace orders {

constexpr uint16_t PORT = 15567;
constexpr size_t ID = 6, NUMBER = 16, TAG = 32, KEY = 32;
constexpr size_t ANSWER_SIZE = 128, RESULT_SIZE = 64, ORDER_HEAD = 32;
constexpr size_t MOST_BODY = ASSIGNMENT_SIZE;

enum class Kind : uint8_t { Question = 1, Answer = 2, Order = 3, Result = 4 };

enum class What : uint8_t {
    Assign = 1,   // body: an assignment
    Glow = 2,     // body: seconds (1): all pixels glow, so that one sees which board it is
    Forget = 3,   // the assignment
    Restart = 4,
    Update = 5,   // body: size (4), SHA-256 (32) of the new program, which then comes over TCP
    Join = 6,     // body: name of a network (32), its password (64); on the board's own network alone
};

enum class Result : uint8_t {
    Done = 0,
    Unknown = 1,      // no such order
    BadBody = 2,      // it cannot be followed
    TooLarge = 3,     // more pixels or lines than the board has
    NotKept = 4,      // flash did not hold it
    NotNow = 5,       // this board cannot do that at present
};

// The board's crypto: HMAC-SHA-256 and chance. `with` is handed back.
struct Crypto {
    void (*hmac)(void* with, const uint8_t* key, Bytes message, uint8_t* tag);
    void (*random)(void* with, uint8_t* to, size_t size);
    void* with;
};

// Does what an order says. Implemented by the device.
class Follower {
 public:
    virtual Result follow(What what, Bytes body) = 0;

 protected:
    ~Follower() = default;
};

// What an answer tells of a board.
struct Self {
    uint8_t id[ID];
    uint8_t state;         // 0 not assigned; else 1 + State
    uint8_t reset_reason;  // Reset
    uint8_t code[4];
    uint8_t firmware[8];   // fingerprint of its program
    uint32_t most_pixels;
    const char* name;      // of the panel; empty where it is not assigned
};

bool is_ours(Bytes bytes);

class Desk {
 public:
    void begin(const Crypto& crypto, const uint8_t* key);
    // Takes a message; gives the size of the reply written to `to` (ANSWER_SIZE bytes), 0 for none.
    // What is not signed by the key is passed over in silence.
    size_t message(uint32_t now, Bytes bytes, const Self& self, Follower& follower, uint8_t* to);

 private:
    size_t answer(uint32_t now, Bytes bytes, const Self& self, uint8_t* to);
    size_t order(Bytes bytes, const Self& self, Follower& follower, uint8_t* to);
    void sign(uint8_t* message, size_t size);

    Crypto crypto_ = {};
    uint8_t key_[KEY] = {};
    uint8_t number_[NUMBER] = {};
    // The last order that was followed, for whoever did not hear its result.
    uint8_t done_tag_[TAG] = {}, done_number_[NUMBER] = {};
    Result done_ = Result::Done;
    bool has_done_ = false, has_answered_ = false;
    uint32_t answered_ms_ = 0;
};

}  // namespace orders
}  // namespace glowloom

#endif
