#include "orders.hpp"

namespace glowloom {
namespace orders {
namespace {

constexpr uint8_t MAGIC[4] = {0x9a, 'G', 'L', 'W'};  // the first byte is none of a DDP packet's
constexpr uint8_t VERSION = 1;
constexpr size_t KIND = 5, ID_AT = 6, NUMBER_AT = 12, HEAD = 28;
constexpr size_t SIZE_AT = 30;
// Whoever asks more often than this is not answered each time.
constexpr uint32_t AT_MOST_EVERY_MS = 50;

void put_head(uint8_t* to, Kind kind, const uint8_t* id, const uint8_t* number) {
    copy(to, MAGIC, sizeof MAGIC);
    to[4] = VERSION;
    to[KIND] = static_cast<uint8_t>(kind);
    copy(to + ID_AT, id, ID);
    copy(to + NUMBER_AT, number, NUMBER);
}

bool is_for(const uint8_t* id, const Self& self, bool all_too) {
    const uint8_t all[ID] = {0xff, 0xff, 0xff, 0xff, 0xff, 0xff};
    return same(id, self.id, ID) || (all_too && same(id, all, ID));
}

}  // namespace

bool is_ours(Bytes bytes) {
    return bytes.size >= HEAD && same(bytes.at, MAGIC, sizeof MAGIC) && bytes.at[4] == VERSION;
}

void Desk::begin(const Crypto& crypto, const uint8_t* key) {
    *this = Desk();
    crypto_ = crypto;
    copy(key_, key, KEY);
    crypto_.random(crypto_.with, number_, NUMBER);
}

size_t Desk::message(uint32_t now, Bytes bytes, const Self& self, Follower& follower, uint8_t* to) {
    if (!is_ours(bytes)) return 0;
    if (bytes.at[KIND] == static_cast<uint8_t>(Kind::Question)) return answer(now, bytes, self, to);
    if (bytes.at[KIND] == static_cast<uint8_t>(Kind::Order)) return order(bytes, self, follower, to);
    return 0;
}

void Desk::sign(uint8_t* message, size_t size) {
    crypto_.hmac(crypto_.with, key_, Bytes{message, size}, message + size);
}

size_t Desk::answer(uint32_t now, Bytes bytes, const Self& self, uint8_t* to) {
    if (bytes.size != ANSWER_SIZE || !is_for(bytes.at + ID_AT, self, true)) return 0;
    if (has_answered_ && since(now, answered_ms_) < AT_MOST_EVERY_MS) return 0;
    has_answered_ = true;
    answered_ms_ = now;
    uint8_t asker[NUMBER];
    copy(asker, bytes.at + NUMBER_AT, NUMBER);
    fill(to, 0, ANSWER_SIZE);
    put_head(to, Kind::Answer, self.id, number_);
    copy(to + 28, asker, NUMBER);
    to[44] = self.state;
    to[45] = self.reset_reason;
    copy(to + 48, self.code, 4);
    copy(to + 52, self.firmware, 8);
    put32(to + 60, self.most_pixels);
    for (size_t i = 0; i + 1 < NAME_ROOM && self.name[i] != 0; ++i) {
        to[64 + i] = static_cast<uint8_t>(self.name[i]);
    }
    sign(to, ANSWER_SIZE - TAG);
    return ANSWER_SIZE;
}

size_t Desk::order(Bytes bytes, const Self& self, Follower& follower, uint8_t* to) {
    if (bytes.size < ORDER_HEAD + TAG || !is_for(bytes.at + ID_AT, self, false)) return 0;
    const size_t size = be16(bytes.at + SIZE_AT);
    if (size > MOST_BODY || bytes.size != ORDER_HEAD + size + TAG) return 0;
    uint8_t tag[TAG];
    crypto_.hmac(crypto_.with, key_, Bytes{bytes.at, ORDER_HEAD + size}, tag);
    if (!same_secret(tag, bytes.at + ORDER_HEAD + size, TAG)) return 0;
    uint8_t number[NUMBER];
    copy(number, bytes.at + NUMBER_AT, NUMBER);
    const bool again = has_done_ && same(number, done_number_, NUMBER) &&
                       same_secret(tag, done_tag_, TAG);
    if (!again) {
        if (!same_secret(number, number_, NUMBER)) return 0;
        // Used up before it is followed: whatever happens, it is not followed twice.
        crypto_.random(crypto_.with, number_, NUMBER);
        copy(done_tag_, tag, TAG);
        copy(done_number_, number, NUMBER);
        has_done_ = true;
        done_ = follower.follow(static_cast<What>(bytes.at[28]), Bytes{bytes.at + ORDER_HEAD, size});
    }
    fill(to, 0, RESULT_SIZE);
    put_head(to, Kind::Result, self.id, number);
    to[28] = static_cast<uint8_t>(done_);
    sign(to, RESULT_SIZE - TAG);
    return RESULT_SIZE;
}

}  // namespace orders
}  // namespace glowloom
