// A board: bytes from its sockets and its serial line into the core, frames from the core to its pins.
#include <fcntl.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "../core/slip.hpp"
#include "chip.hpp"
#include "freertos/FreeRTOS.h"
#include "freertos/task.h"
#include "key.hpp"
#include "settings.hpp"

using namespace glowloom;

namespace {

constexpr size_t BYTES = size_t{settings::MOST_PIXELS} * 4;
constexpr size_t UNIVERSES = settings::MOST_PIXELS / 128 + MOST_LINES + 1;
constexpr size_t MOST_REPLIES = 2;
constexpr size_t LONGEST_PACKET = 1472;

// All the memory of the core; none is taken later.
uint8_t held[BYTES], lit[BYTES], shown[BYTES], serial_room[BYTES + 64];
Universe universes[UNIVERSES];
uint8_t packet[LONGEST_PACKET], replies[1200];
static_assert(sizeof replies >= status::MOST && sizeof replies >= MOST_REPLIES * artnet::REPLY_SIZE, "room for replies");
Device device;
Joining joining;
Console console;

int light_socket = -1, orders_socket = -1;
uint16_t light_port = 0;
bool connected = false;

int open_socket(uint16_t port) {
    const int made = socket(AF_INET, SOCK_DGRAM, 0);
    if (made < 0) return -1;
    sockaddr_in at = {};
    at.sin_family = AF_INET;
    at.sin_port = htons(port);
    at.sin_addr.s_addr = htonl(INADDR_ANY);
    if (bind(made, reinterpret_cast<sockaddr*>(&at), sizeof at) != 0) {
        close(made);
        return -1;
    }
    fcntl(made, F_SETFL, fcntl(made, F_GETFL, 0) | O_NONBLOCK);
    return made;
}

void join_groups() {
    if (!device.is_assigned() || device.assignment().protocol != Protocol::E131) return;
    const auto join = [](uint16_t universe) {
        if (universe == 0) return;
        ip_mreq group = {};
        group.imr_multiaddr.s_addr = htonl(0xefff0000u | universe);
        group.imr_interface.s_addr = htonl(INADDR_ANY);
        setsockopt(light_socket, IPPROTO_IP, IP_ADD_MEMBERSHIP, &group, sizeof group);
    };
    for (size_t i = 0; i < device.receiver().universe_count(); ++i) join(device.receiver().universe(i).number);
    join(device.assignment().sync_universe);
}

void open_sockets() {
    if (orders_socket < 0) orders_socket = open_socket(orders::PORT);
    const uint16_t wanted = device.port();
    if (light_socket >= 0 && light_port == wanted) return;
    if (light_socket >= 0) close(light_socket);
    light_socket = open_socket(wanted);
    light_port = wanted;
    join_groups();
    chip::announce(device);
}

// Takes every packet that waits, up to a bound, so that the strip has its turn.
void take_packets(int from, uint32_t now, bool is_light) {
    for (int turns = 0; from >= 0 && turns < 32; ++turns) {
        sockaddr_in sender = {};
        socklen_t size_of_sender = sizeof sender;
        const auto size = recvfrom(from, packet, sizeof packet, 0, reinterpret_cast<sockaddr*>(&sender), &size_of_sender);
        if (size <= 0) return;
        const Bytes bytes = {packet, static_cast<size_t>(size)};
        const auto reply = [&](const uint8_t* at, size_t length) {
            sendto(from, at, length, 0, reinterpret_cast<sockaddr*>(&sender), size_of_sender);
        };
        if (!is_light) {
            const size_t length = device.order(now, bytes, replies);
            if (length > 0) reply(replies, length);
            continue;
        }
        bool mine = false;
        const size_t told = device.status(now, bytes, chip::vitals(connected), mine, replies, sizeof replies);
        if (told > 0) reply(replies, told);
        if (mine) continue;
        Sender who = {};
        memcpy(who.ip + 12, &sender.sin_addr.s_addr, 4);
        const size_t count = device.light(now, who, bytes, replies, MOST_REPLIES);
        for (size_t i = 0; i < count; ++i) reply(replies + i * artnet::REPLY_SIZE, artnet::REPLY_SIZE);
    }
}

void say(const char* text) { chip::write_serial(reinterpret_cast<const uint8_t*>(text), strlen(text)); }

void say_who() {
    char text[80];
    const uint8_t* code = device.code();
    snprintf(text, sizeof text, "\r\nThis board's code is %d %d %d %d. It is %s.\r\n", code[0], code[1], code[2], code[3],
             device.is_assigned() ? device.assignment().name : "not assigned");
    say(text);
}

void take_typing(uint8_t byte) {
    const bool echo = console.echoes() && byte >= 0x20 && byte < 0x7f;
    switch (console.push(byte)) {
        case Console::Said::Nothing:
            if (echo) chip::write_serial(&byte, 1);
            break;
        case Console::Said::Who:
            say_who();
            break;
        case Console::Said::AskName:
            say("\r\nName of the network: ");
            break;
        case Console::Said::AskPassword:
            say("\r\nIts password (not shown): ");
            break;
        case Console::Said::BadPassword:
            say("\r\nA password has 8 to 63 letters. Type join to begin again.\r\n");
            break;
        case Console::Said::Help:
            say("\r\nType who, or join to enter a network.\r\n");
            break;
        case Console::Said::Join:
#if !defined(GLOWLOOM_ETHERNET)
            chip::keep_network(console.network());
            say("\r\nKept. Joining.\r\n");
#else
            say("\r\nThis board is wired.\r\n");
#endif
            break;
    }
}

void take_serial(uint32_t now) {
    uint8_t byte = 0;
    for (int turns = 0; turns < 1024 && chip::read_serial(&byte); ++turns) {
        const size_t size = device.serial(now, byte, replies);
        if (size > 0) {
            uint8_t line[2 * orders::ANSWER_SIZE + 2];
            chip::write_serial(line, slip::encode(Bytes{replies, size}, line, sizeof line));
        }
        take_typing(byte);
    }
}

void keep_joined(uint32_t now) {
#if !defined(GLOWLOOM_ETHERNET)
    switch (joining.step(now, chip::knows_network(), chip::is_connected())) {
        case Joining::Do::Nothing:
            break;
        case Joining::Do::Join:
            chip::join();
            break;
        case Joining::Do::OpenOwn: {
            uint8_t chance[OWN_PASSWORD];
            char password[OWN_PASSWORD + 1], name[24];
            chip::CRYPTO.random(chip::CRYPTO.with, chance, sizeof chance);
            password_from(chance, password);
            const uint8_t* code = device.code();
            snprintf(name, sizeof name, "glowloom-%d%d%d%d", code[0], code[1], code[2], code[3]);
            chip::open_own_network(name, password);
            // Printed for whoever stands at the cable; it is no log, and nobody keeps it.
            say("\r\nOwn network for 15 minutes: ");
            say(name);
            say(", password ");
            say(password);
            say("\r\n");
            break;
        }
        case Joining::Do::CloseOwn:
            chip::close_own_network();
            break;
    }
    device.set_own_network(joining.own_is_open());
#else
    (void)now;
#endif
}

void follow_wishes() {
    const Bytes body = device.wish_body();
    switch (device.wish()) {
        case Wish::None:
            break;
        case Wish::Restart:
            vTaskDelay(pdMS_TO_TICKS(200));  // the result goes out first
            chip::restart();
            break;
        case Wish::Update:
            chip::take_update(be32(body.at), body.at + 4);
            break;
        case Wish::Join: {
#if !defined(GLOWLOOM_ETHERNET)
            Network network = {};
            memcpy(network.name, body.at, 32);
            memcpy(network.password, body.at + 32, 64);
            chip::keep_network(network);
#endif
            break;
        }
    }
}

// An output is made for one strip and its lines; where these change, the board begins anew.
void begin_output() {
    size_t longest = 0;
    const Assignment& assignment = device.assignment();
    for (uint8_t i = 0; i < assignment.line_count; ++i) {
        longest = most(longest, assignment.lines[i].pixels);
    }
    if (!chip::begin_output(assignment.strip, assignment.line_count, longest)) {
        say("\r\nThe output could not be begun: too little memory for that many pixels.\r\n");
    }
}

Board describe() {
    Board board = {};
    chip::read_id(board.id);
    chip::read_firmware(board.firmware);
    board.reset = chip::reset_reason();
    board.strip = settings::STRIP;
    board.pins = settings::PINS;
    board.key = key::KEY;
    board.crypto = chip::CRYPTO;
    board.flash = &chip::flash();
    board.memory = {held, lit, shown, BYTES, universes, UNIVERSES, serial_room, sizeof serial_room};
    return board;
}

}  // namespace

extern "C" void app_main(void) {
    chip::begin_serial();
    chip::begin_watchdog();
    if (!device.begin(chip::now_ms(), describe())) {
        say("\r\nThis program's settings leave no room for light. Write it anew: glowloom receiver.\r\n");
        return;
    }
    begin_output();
    say_who();
    chip::begin_network("glowloom");
    bool was_assigned = device.is_assigned(), was_connected = false;
    uint32_t generation = device.generation();
    for (;;) {
        const uint32_t now = chip::now_ms();
        chip::feed_watchdog();
        keep_joined(now);
        connected = chip::is_connected();
        if (connected && !was_connected) {
            uint8_t ip[4];
            chip::address(ip);
            device.set_address(ip);
            chip::keep_program();
        }
        was_connected = connected;
        open_sockets();
        take_packets(orders_socket, now, false);
        take_packets(light_socket, now, true);
        take_serial(now);
        follow_wishes();
        if (device.is_assigned() != was_assigned || device.generation() != generation) {
            // Told who it is: pins, sockets and groups are made for that from the start.
            vTaskDelay(pdMS_TO_TICKS(200));
            chip::restart();
        }
        Output output;
        if (chip::output_is_free() && device.frame(now, output)) chip::put_out(output);
        vTaskDelay(1);
    }
}
