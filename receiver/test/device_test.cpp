// A whole board: what it puts out, and when.
#include <string>

#include "board.hpp"
#include "check.hpp"
#include "panel.hpp"
#include "tests.hpp"

using namespace glowloom;
using orders::What;

namespace {

// FNV-1a of 01 03 0000, then 0001 00000000 00000064: worked out by another program.
constexpr char PRINT[] = "fcbaa2ae";

size_t lit_pixels(const Output& output, size_t lane) {
    size_t count = 0;
    for (size_t i = 0; i < output.lanes[lane].pixels; ++i) count += output.lanes[lane].lit[i * 3] > 0 ? 1 : 0;
    return count;
}

void an_unassigned_board_shows_its_code() {
    MadeBoard board;
    board.start();
    Output output;
    CHECK(board.device.frame(0, output));
    size_t wanted = 0, groups = 0;
    for (size_t i = 0; i < FIGURES; ++i) {
        const uint8_t figure = board.device.code()[i];
        CHECK(figure >= 1 && figure <= 6);
        wanted += figure;
    }
    CHECK_EQ(lit_pixels(output, 0), wanted);
    for (size_t i = 0; i < output.lanes[0].pixels; ++i) {
        const uint8_t* pixel = output.lanes[0].lit + 3 * i;
        CHECK(pixel[0] == pixel[1] && pixel[1] == pixel[2] && pixel[0] <= CODE_LEVEL);
        groups += pixel[0] > 0 && (i == 0 || pixel[-3] == 0) ? 1 : 0;
    }
    CHECK_EQ(groups, FIGURES);
    CHECK(board.device.guard().microamps() <= 500000u);
    // Once a second again, in case that the strip was disturbed.
    CHECK(!board.device.frame(999, output)), CHECK(board.device.frame(1000, output));
}

struct Assigned : MadeBoard {
    Output output = {};
    explicit Assigned(const std::vector<uint8_t>& body = an_assignment()) {
        start();
        told(0, an_order(0, What::Assign, body));
        device.frame(0, output);
    }
    size_t hear(uint32_t now, const std::vector<uint8_t>& packet) {
        uint8_t reply[artnet::REPLY_SIZE];
        return device.light(now, Sender{}, Bytes{packet.data(), packet.size()}, reply, 1);
    }
};

void frames_are_put_out_when_they_are_whole() {
    Assigned board(MadeBoard::an_assignment(50, 2));
    CHECK_EQ(board.output.lane_count, 2u), CHECK_EQ(board.device.port(), 5568);
    board.hear(10, e131_data(1, 0, 9, 0, 0, 150));
    // The other line may still come.
    CHECK(!board.device.frame(11, board.output));
    board.hear(12, e131_data(2, 0, 9, 0, 0, 150));
    CHECK(board.device.frame(12, board.output));
    CHECK_EQ(board.output.lanes[0].lit[0], 9), CHECK_EQ(board.output.lanes[1].lit[149], 9);
    CHECK(!board.device.frame(13, board.output));
    // It does not: what has come is shown all the same.
    board.hear(20, e131_data(1, 1, 8, 0, 0, 150));
    CHECK(!board.device.frame(39, board.output)), CHECK(board.device.frame(40, board.output));
    CHECK_EQ(board.output.lanes[0].lit[0], 8), CHECK_EQ(board.output.lanes[1].lit[0], 9);
    // Frames stop.
    CHECK(board.device.frame(2600, board.output)), CHECK_EQ(board.output.lanes[0].lit[0], 0);
    CHECK(board.device.receiver().state() == State::Lost);
}

void whatever_arrives_stays_below_the_limits() {
    Assigned board;
    board.hear(10, e131_data(1, 0, 255, 0, 0, 300));
    CHECK(board.device.frame(10, board.output));
    // By hand in guard_test.cpp.
    CHECK_EQ(board.output.lanes[0].lit[0], 80);
    CHECK(board.device.guard().microamps() <= 2000000u);
    // A white flash every 40 ms is held back, and what was held back comes later.
    uint8_t sequence = 0;
    uint32_t now = 50;
    for (; now < 3000; now += 40) {
        ++sequence;
        board.hear(now, e131_data(1, sequence, sequence % 2 == 0 ? 255 : 0, 0, 0, 300));
        board.device.frame(now, board.output);
    }
    CHECK(board.device.guard().held().flashes > 20u);
    board.hear(now, e131_data(1, ++sequence, 255, 0, 0, 300));
    for (uint32_t end = now + 1200; now < end; now += 10) board.device.frame(now, board.output);
    CHECK_EQ(board.output.lanes[0].lit[0], 80);
}

void a_board_glows_when_told() {
    Assigned board;
    board.told(2000, board.an_order(2000, What::Glow, {3}));
    CHECK(board.device.frame(2000, board.output)), CHECK_EQ(lit_pixels(board.output, 0), 100u);
    for (uint32_t now = 2010; now < 4990; now += 10) board.device.frame(now, board.output);
    CHECK_EQ(lit_pixels(board.output, 0), 100u);
    CHECK(board.device.frame(5000, board.output)), CHECK_EQ(lit_pixels(board.output, 0), 0u);
}

void questions_of_art_net_are_answered() {
    std::vector<uint8_t> body = MadeBoard::an_assignment(60, 2);
    body[1] = 2;
    body[61] = 0x12, body[60] = 1, body[73] = 0x13, body[72] = 1;
    Assigned board(body);
    const std::vector<uint8_t> poll = {'A', 'r', 't', '-', 'N', 'e', 't', 0, 0, 0x20, 0, 14, 2, 0};
    uint8_t reply[artnet::REPLY_SIZE];
    CHECK_EQ(board.device.light(1, Sender{}, Bytes{poll.data(), poll.size()}, reply, 1), 1u);
    CHECK(artnet::parse(Bytes{reply, sizeof reply}).kind == artnet::Kind::Reply);
    CHECK_EQ(reply[18], 1), CHECK_EQ(reply[19], 1), CHECK_EQ(reply[173], 2), CHECK_EQ(reply[190], 2), CHECK_EQ(reply[191], 3);
    CHECK_EQ(board.hear(99, poll), 0u), CHECK_EQ(board.hear(101, poll), 1u);
}

void the_board_says_how_it_is() {
    Assigned board;
    board.hear(100, e131_data(1, 0, 9, 0, 0, 300)), board.hear(130, e131_data(1, 3, 9, 0, 0, 300));
    const std::vector<uint8_t> question = {0x42, 0, 0, 0xfb, 0, 0, 0, 0, 0, 0};
    const Vitals vitals = {40000, -61, 93, "esp8266", "0.1.0", "Tide\"wall"};
    uint8_t to[status::MOST];
    bool mine = false;
    const size_t size = board.device.status(140, Bytes{question.data(), 10}, vitals, mine, to, sizeof to);
    CHECK(mine);
    const std::string said(reinterpret_cast<const char*>(to) + 10, size - 10);
    const std::string wanted =
        "{\"status\":{\"man\":\"Glowloom\",\"mod\":\"esp8266\",\"ver\":\"0.1.0\",\"wall\":\"Tide\\\"wall\","
        "\"panel\":\"west\",\"print\":\"" + std::string(PRINT) + "\",\"up\":93,\"shown\":2,\"lost\":2,\"late\":0,\"wrong\":0,"
        "\"ago\":10000,\"from\":\"0.0.0.0\",\"rssi\":-61,\"heap\":40000,\"reset\":\"power\",\"program\":\"0000000000000000\"}}";
    CHECK(said == wanted);
    if (said != wanted) std::fprintf(stderr, "  %s\n  %s\n", said.c_str(), wanted.c_str());
    CHECK_EQ(to[0], 0x45), CHECK_EQ(to[3], 0xfb), CHECK_EQ(be16(to + 8), size - 10);
    CHECK_EQ(board.device.status(189, Bytes{question.data(), 10}, vitals, mine, to, sizeof to), 0u);
    CHECK(mine);
    CHECK(board.device.status(190, Bytes{question.data(), 10}, vitals, mine, to, sizeof to) > 0);
    CHECK_EQ(board.device.status(300, Bytes{question.data(), 10}, vitals, mine, to, size - 1), 0u);
    CHECK_EQ(board.device.status(400, Bytes{question.data(), 9}, vitals, mine, to, sizeof to), 0u);
    CHECK(!mine);
    // The longest that there can be.
    std::vector<uint8_t> body = MadeBoard::an_assignment();
    for (size_t i = 28; i < 59; ++i) body[i] = 1;
    Assigned worst(body);
    const std::string longest(31, '\x01');
    const Vitals many = {0xffffffff, -128, 0xffffffff, "esp32-ethernet", "255.255.255", longest.c_str()};
    CHECK(worst.device.status(0, Bytes{question.data(), 10}, many, mine, to, sizeof to) > 0);
}

void light_and_orders_come_by_cable() {
    std::vector<uint8_t> body = MadeBoard::an_assignment();
    body[1] = 3;
    Assigned board(body);
    uint8_t reply[orders::ANSWER_SIZE], line[600];
    const auto send = [&](const std::vector<uint8_t>& packet) {
        size_t replied = 0;
        const size_t size = slip::encode(Bytes{packet.data(), packet.size()}, line, sizeof line);
        for (size_t i = 0; i < size; ++i) {
            const size_t now = board.device.serial(100, line[i], reply);
            replied = now > 0 ? now : replied;
        }
        return replied;
    };
    CHECK_EQ(send(ddp_data(0x0b, 0, true, {9, 0xc0, 0xdb})), 0u);
    CHECK(board.device.frame(100, board.output));
    CHECK_EQ(board.output.lanes[0].lit[0], 9), CHECK_EQ(board.output.lanes[0].lit[1], 0xc0);
    CHECK_EQ(send(board.question()), orders::ANSWER_SIZE);
}

}  // namespace

void test_device() {
    an_unassigned_board_shows_its_code();
    frames_are_put_out_when_they_are_whole();
    whatever_arrives_stays_below_the_limits();
    a_board_glows_when_told();
    questions_of_art_net_are_answered();
    the_board_says_how_it_is();
    light_and_orders_come_by_cable();
}
