// How a board comes by its network: told over the serial line, or over a network of its own for a while.
//
// Names and passwords of networks are never written to a log, nor compiled in; the glue hands them to the chip's
// own store.
#ifndef GLOWLOOM_JOINING_HPP
#define GLOWLOOM_JOINING_HPP

#include "bytes.hpp"

namespace glowloom {

constexpr size_t NETWORK_ROOM = 33, PASSWORD_ROOM = 64;  // with a NUL: 32 and 63 bytes (IEEE 802.11, WPA2)

struct Network {
    char name[NETWORK_ROOM];
    char password[PASSWORD_ROOM];  // empty, or 8 to 63 bytes
};

// Lines typed at the serial port. Bytes between two ENDs of SLIP are no typing.
class Console {
 public:
    enum class Said : uint8_t { Nothing, Who, AskName, AskPassword, Join, BadPassword, Help };

    // Takes a byte; `network` holds after Join what was typed, until the next byte.
    Said push(uint8_t byte);
    // Whether a typed byte may be shown: a password never is.
    bool echoes() const { return stage_ != Stage::Password; }
    const Network& network() const { return network_; }

 private:
    enum class Stage : uint8_t { Command, Name, Password };

    Said line();
    void forget();

    Network network_ = {};
    char typed_[PASSWORD_ROOM] = {};
    size_t size_ = 0;
    bool too_long_ = false, in_packet_ = false;
    Stage stage_ = Stage::Command;
};

// When to join and when to open a network of one's own. Asked often.
class Joining {
 public:
    enum class Do : uint8_t { Nothing, Join, OpenOwn, CloseOwn };

    Do step(uint32_t now, bool knows_network, bool connected);
    bool own_is_open() const { return own_; }

 private:
    bool begun_ = false, own_ = false;
    uint32_t tried_ms_ = 0, own_ms_ = 0, alone_ms_ = 0;
};

// A password of twelve letters and figures that are hard to mistake, from 12 bytes of chance: 60 bits.
void password_from(const uint8_t* chance, char* to);
constexpr size_t OWN_PASSWORD = 12;

}  // namespace glowloom

#endif
