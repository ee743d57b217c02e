#include "joining.hpp"

namespace glowloom {
namespace {

constexpr uint8_t END = 0xc0;
constexpr uint32_t TRY_AGAIN_MS = 10000;
// A board that knows a network opens its own only after it has been alone for so long.
constexpr uint32_t ALONE_MS = 5 * 60000u;
constexpr uint32_t OWN_FOR_MS = 15 * 60000u;

bool is(const char* typed, size_t size, const char* word) {
    size_t i = 0;
    while (i < size && word[i] != 0 && typed[i] == word[i]) ++i;
    return i == size && word[i] == 0;
}

}  // namespace

void Console::forget() {
    for (char& letter : typed_) letter = 0;
    size_ = 0;
    too_long_ = false;
}

Console::Said Console::push(uint8_t byte) {
    if (byte == END) {
        in_packet_ = !in_packet_ || size_ > 0;
        forget();
        return Said::Nothing;
    }
    if (in_packet_ && byte != '\n') return Said::Nothing;
    if (byte == '\r' || byte == '\n') {
        in_packet_ = false;
        const bool empty = size_ == 0 && !too_long_ && stage_ != Stage::Password;
        const Said said = empty ? Said::Nothing : line();
        forget();
        return said;
    }
    if (byte == 8 || byte == 127) {
        size_ = size_ > 0 ? size_ - 1 : 0;
    } else if (byte >= 0x20 && size_ + 1 < sizeof typed_) {
        typed_[size_++] = static_cast<char>(byte);
    } else {
        too_long_ = true;
    }
    return Said::Nothing;
}

Console::Said Console::line() {
    switch (stage_) {
        case Stage::Command:
            if (is(typed_, size_, "who")) return Said::Who;
            if (!is(typed_, size_, "join")) return Said::Help;
            stage_ = Stage::Name;
            return Said::AskName;
        case Stage::Name:
            stage_ = Stage::Command;
            if (too_long_ || size_ >= NETWORK_ROOM) return Said::Help;
            network_ = Network{};
            for (size_t i = 0; i < size_; ++i) network_.name[i] = typed_[i];
            stage_ = Stage::Password;
            return Said::AskPassword;
        case Stage::Password:
            break;
    }
    stage_ = Stage::Command;
    if (too_long_ || (size_ > 0 && size_ < 8)) return Said::BadPassword;
    for (size_t i = 0; i < size_; ++i) network_.password[i] = typed_[i];
    return Said::Join;
}

Joining::Do Joining::step(uint32_t now, bool knows_network, bool connected) {
    if (connected) {
        alone_ms_ = now;
        begun_ = true;
        if (!own_) return Do::Nothing;
        own_ = false;
        return Do::CloseOwn;
    }
    if (own_) {
        if (since(now, own_ms_) < OWN_FOR_MS || !knows_network) return Do::Nothing;
        own_ = false;
        alone_ms_ = now;
        return Do::CloseOwn;
    }
    if (!begun_) alone_ms_ = now;
    const bool first = !begun_;
    begun_ = true;
    if (!knows_network || since(now, alone_ms_) >= ALONE_MS) {
        own_ = true;
        own_ms_ = now;
        return Do::OpenOwn;
    }
    if (!first && since(now, tried_ms_) < TRY_AGAIN_MS) return Do::Nothing;
    tried_ms_ = now;
    return Do::Join;
}

void password_from(const uint8_t* chance, char* to) {
    // No 0, o, 1, l, i: 32 characters, five bits each.
    const char letters[] = "abcdefghjkmnpqrstuvwxyz23456789-";
    for (size_t i = 0; i < OWN_PASSWORD; ++i) to[i] = letters[chance[i] & 31];
    to[OWN_PASSWORD] = 0;
}

}  // namespace glowloom
