// The serial console and when a board opens a network of its own.
#include <cstring>
#include <string>

#include "../core/joining.hpp"
#include "check.hpp"
#include "tests.hpp"

using namespace glowloom;
using Said = Console::Said;

namespace {

Said type(Console& console, const std::string& text) {
    Said last = Said::Nothing;
    for (const char letter : text) last = console.push(static_cast<uint8_t>(letter));
    return last;
}

void a_network_is_typed() {
    Console console;
    CHECK(type(console, "who\r") == Said::Who), CHECK(type(console, "\n") == Said::Nothing);
    CHECK(type(console, "what\r") == Said::Help);
    CHECK(type(console, "jion\b\b\boin\r") == Said::AskName), CHECK(console.echoes());
    CHECK(type(console, "Harbour Caf\xc3\xa9\r") == Said::AskPassword), CHECK(!console.echoes());
    CHECK(type(console, "seven..\r") == Said::BadPassword), CHECK(console.echoes());
    type(console, "join\rHarbour\r");
    CHECK(type(console, "long enough\r") == Said::Join);
    CHECK(std::string(console.network().name) == "Harbour"), CHECK(std::string(console.network().password) == "long enough");
    // An open network.
    type(console, "join\rOpen\r");
    CHECK(type(console, "\r") == Said::Join), CHECK_EQ(console.network().password[0], 0);
    type(console, "join\r");
    CHECK(type(console, std::string(33, 'n') + "\r") == Said::Help);
    type(console, "join\rn\r");
    CHECK(type(console, std::string(64, 'p') + "\r") == Said::BadPassword);
}

void packets_are_no_typing() {
    Console console;
    CHECK(type(console, "\xc0@who\x0d\xc0") == Said::Nothing);
    CHECK(type(console, "\nwho\r") == Said::Who);
}

void a_board_opens_its_own_network_when_it_has_to() {
    using Do = Joining::Do;
    Joining fresh;
    CHECK(fresh.step(5, false, false) == Do::OpenOwn), CHECK(fresh.own_is_open());
    CHECK(fresh.step(5 + 20 * 60000, false, false) == Do::Nothing);
    CHECK(fresh.step(5 + 20 * 60000, true, true) == Do::CloseOwn);
    Joining known;
    const uint32_t start = 0xfffff000u;
    CHECK(known.step(start, true, false) == Do::Join), CHECK(known.step(start + 9999, true, false) == Do::Nothing);
    CHECK(known.step(start + 10000, true, false) == Do::Join);
    CHECK(known.step(start + 300000, true, false) == Do::OpenOwn);
    CHECK(known.step(start + 300000 + 15 * 60000 - 1, true, false) == Do::Nothing);
    CHECK(known.step(start + 300000 + 15 * 60000, true, false) == Do::CloseOwn);
    CHECK(known.step(start + 300001 + 15 * 60000, true, false) == Do::Join);
}

}  // namespace

void test_joining() {
    a_network_is_typed();
    packets_are_no_typing();
    a_board_opens_its_own_network_when_it_has_to();
    uint8_t chance[OWN_PASSWORD] = {0, 31, 32, 255};
    char password[OWN_PASSWORD + 1];
    password_from(chance, password);
    CHECK(std::string(password) == "a-a-aaaaaaaa");
}
