// Orders: followed once, and only where the wall's key made the tag.
#include <fstream>
#include <map>
#include <string>

#include "board.hpp"
#include "check.hpp"
#include "tests.hpp"

using namespace glowloom;
using orders::Result;
using orders::What;

namespace {

std::vector<uint8_t> text(const char* from) { return std::vector<uint8_t>(from, from + std::strlen(from)); }

void the_tests_own_hash() {
    // FIPS 180-4, "abc"; RFC 4231, test cases 1 and 2, first bytes of each.
    CHECK_EQ(be32(sha256(text("abc")).data()), 0xba7816bfu);
    CHECK_EQ(be32(sha256(text("abc")).data() + 28), 0xf20015adu);
    CHECK_EQ(be32(hmac_sha256(std::vector<uint8_t>(20, 0x0b), text("Hi There")).data()), 0xb0344c61u);
    const Digest jefe = hmac_sha256(text("Jefe"), text("what do ya want for nothing?"));
    CHECK_EQ(be32(jefe.data()), 0x5bdcc146u), CHECK_EQ(be32(jefe.data() + 28), 0x64ec3843u);
}

Result result_of(const std::vector<uint8_t>& reply) {
    CHECK_EQ(reply.size(), orders::RESULT_SIZE);
    if (reply.size() != orders::RESULT_SIZE) return Result::Unknown;
    const Digest tag = hmac_sha256(std::vector<uint8_t>(32, 0x42), std::vector<uint8_t>(reply.begin(), reply.begin() + 32));
    CHECK(std::memcmp(tag.data(), reply.data() + 32, 32) == 0);
    return static_cast<Result>(reply[28]);
}

void a_board_answers_and_is_assigned() {
    MadeBoard board;
    CHECK(board.start());
    const std::vector<uint8_t> answer = board.told(0, board.question());
    CHECK_EQ(answer.size(), orders::ANSWER_SIZE);
    CHECK_EQ(answer[5], 2), CHECK_EQ(answer[44], 0), CHECK_EQ(answer[28], 77), CHECK_EQ(be32(&answer[60]), 266u);
    CHECK(result_of(board.told(60, board.an_order(100, What::Assign, MadeBoard::an_assignment()))) == Result::Done);
    const std::vector<uint8_t> now_answer = board.told(200, board.question());
    CHECK_EQ(now_answer[44], 1), CHECK(std::string(reinterpret_cast<const char*>(&now_answer[64])) == "west");
    // It is kept.
    MadeBoard other;
    other.flash = board.flash;
    CHECK(other.start());
    CHECK(other.device.is_assigned()), CHECK_EQ(other.device.assignment().lines[0].pixels, 100u);
    CHECK(result_of(other.told(0, other.an_order(0, What::Forget, {}))) == Result::Done);
    CHECK(!other.device.is_assigned()), CHECK(other.start()), CHECK(!other.device.is_assigned());
}

void no_order_is_followed_twice() {
    MadeBoard board;
    board.start();
    const std::vector<uint8_t> order = board.an_order(0, What::Restart, {});
    const std::vector<uint8_t> first = board.told(1, order);
    CHECK(result_of(first) == Result::Done), CHECK(board.device.wish() == Wish::Restart);
    // Who did not hear the result hears it again; nothing is done again.
    CHECK(board.told(2, order) == first), CHECK(board.device.wish() == Wish::None);
    board.told(3, board.an_order(100, What::Glow, {5}));
    CHECK(board.told(4, order).empty());
    // After a restart the number is another.
    const std::vector<uint8_t> kept = board.an_order(200, What::Restart, {});
    board.start();
    CHECK(board.told(5, kept).empty()), CHECK(board.device.wish() == Wish::None);
}

void what_is_not_signed_is_passed_over() {
    MadeBoard board;
    board.start();
    const std::vector<uint8_t> order = board.an_order(0, What::Restart, {});
    for (size_t at = 0; at < order.size(); ++at) {
        for (const uint8_t bit : {1, 0x80}) {
            std::vector<uint8_t> broken = order;
            broken[at] ^= bit;
            const std::vector<uint8_t> reply = board.told(1, broken);
            CHECK(reply.empty()), CHECK(board.device.wish() == Wish::None);
        }
    }
    for (size_t size = 0; size < order.size(); ++size) {
        CHECK(board.told(1, std::vector<uint8_t>(order.begin(), order.begin() + static_cast<long>(size))).empty());
    }
    // Another wall's key, and another board's id.
    MadeBoard stranger;
    stranger.key.assign(32, 0x43), stranger.start();
    CHECK(board.told(1, stranger.an_order(0, What::Restart, {})).empty());
    CHECK(result_of(board.told(1, order)) == Result::Done);
}

void what_cannot_be_followed_is_said() {
    MadeBoard board;
    board.start();
    uint32_t now = 0;
    const auto told = [&](What what, std::vector<uint8_t> body) {
        now += 100;
        return result_of(board.told(now, board.an_order(now, what, body)));
    };
    CHECK(told(static_cast<What>(99), {}) == Result::Unknown);
    CHECK(told(What::Assign, {1}) == Result::BadBody);
    CHECK(told(What::Assign, MadeBoard::an_assignment(300)) == Result::TooLarge);
    CHECK(told(What::Assign, MadeBoard::an_assignment(10, 3)) == Result::TooLarge);
    CHECK(told(What::Glow, {}) == Result::BadBody), CHECK(told(What::Restart, {1}) == Result::BadBody);
    CHECK(told(What::Update, std::vector<uint8_t>(35)) == Result::BadBody);
    CHECK(told(What::Join, std::vector<uint8_t>(96)) == Result::NotNow);
    board.device.set_own_network(true);
    CHECK(told(What::Join, std::vector<uint8_t>(96)) == Result::Done);
    CHECK(board.device.wish() == Wish::Join), CHECK_EQ(board.device.wish_body().size, 96u);
    board.flash.stuck = 20;
    CHECK(told(What::Assign, MadeBoard::an_assignment()) == Result::NotKept);
    CHECK(!board.device.is_assigned());
}

void questions_cannot_flood_anybody() {
    MadeBoard board;
    board.start();
    std::vector<uint8_t> question = board.question();
    CHECK_EQ(board.told(0, question).size(), question.size());
    CHECK(board.told(49, question).empty()), CHECK(!board.told(50, question).empty());
    question.resize(28);
    CHECK(board.told(1000, question).empty());
}

void assignments_are_judged() {
    const std::vector<uint8_t> good = MadeBoard::an_assignment();
    Assignment to;
    CHECK(decode_assignment(good.data(), to));
    std::vector<uint8_t> again(ASSIGNMENT_SIZE);
    encode_assignment(to, again.data());
    CHECK(again == good);
    const struct {
        size_t at;
        uint8_t byte;
    } broken[] = {{0, 2}, {1, 0}, {1, 4}, {2, 2}, {3, 0x40}, {3, 0x49}, {4, 4}, {4, 8}, {5, 3}, {7, 0}, {7, 9},
                  {8, 0}, {59, 1}, {61, 0}, {63, 200}, {67, 0}, {68, 1}};
    for (const auto& one : broken) {
        std::vector<uint8_t> bad = good;
        bad[one.at] = one.byte;
        CHECK(!decode_assignment(bad.data(), to));
    }
    // Two lines that overlap in the panel's bytes.
    std::vector<uint8_t> two = MadeBoard::an_assignment(10, 2);
    CHECK(decode_assignment(two.data(), to));
    two[60 + 12 + 11] = 29;
    CHECK(!decode_assignment(two.data(), to));
}

// Every message of the file, whose tags another program made, does what it says.
void messages_of_another_program(const char* folder) {
    std::map<std::string, std::vector<uint8_t>> all;
    std::ifstream file(std::string(folder) + "/orders.txt");
    for (std::string line; std::getline(file, line);) {
        const size_t split = line.find(" = ");
        if (line[0] == '#' || split == std::string::npos) continue;
        std::vector<uint8_t>& bytes = all[line.substr(0, split)];
        for (size_t at = split + 3; at + 1 < line.size(); at += 2) {
            bytes.push_back(static_cast<uint8_t>(std::stoi(line.substr(at, 2), nullptr, 16)));
        }
    }
    CHECK_EQ(all.size(), 9u);
    // A number that chance never changes: each order is the first.
    const auto fresh = [] {
        auto board = std::make_unique<MadeBoard>();
        board->same_chance = true;
        board->start();
        return board;
    };
    CHECK(fresh()->told(0, all["question"]) == all["answer"]);
    for (const char* name : {"assign", "glow", "forget", "restart", "update"}) {
        const auto board = fresh();
        // The made board drives two lines of 200 pixels of four channels, which is enough.
        CHECK(board->told(0, all[name]) == all["result"]);
        if (std::string(name) == "assign") {
            std::vector<uint8_t> kept(ASSIGNMENT_SIZE);
            encode_assignment(board->device.assignment(), kept.data());
            CHECK(kept == all["assignment"]);
        }
        if (std::string(name) == "update") CHECK(board->device.wish() == Wish::Update);
    }
}

}  // namespace

void test_orders(const char* folder) {
    messages_of_another_program(folder);
    the_tests_own_hash();
    a_board_answers_and_is_assigned();
    no_order_is_followed_twice();
    what_is_not_signed_is_passed_over();
    what_cannot_be_followed_is_said();
    questions_cannot_flood_anybody();
    assignments_are_judged();
}
