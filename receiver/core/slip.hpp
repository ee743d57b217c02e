// SLIP (RFC 1055): packets on a serial line, one byte at a time, into lent memory.
#ifndef GLOWLOOM_SLIP_HPP
#define GLOWLOOM_SLIP_HPP

#include "bytes.hpp"

namespace glowloom {
namespace slip {

constexpr uint8_t END = 0xc0, ESC = 0xdb, ESC_END = 0xdc, ESC_ESC = 0xdd;

enum class Found : uint8_t {
    Nothing,
    Packet,      // in `packet()`, until the next byte
    BadEscape,   // the packet is dropped; the decoder goes on at the next END
    TooLong,     // the same
};

class Decoder {
 public:
    Decoder() = default;
    Decoder(uint8_t* room, size_t size) : room_(room), size_(size) {}

    Found push(uint8_t byte) {
        if (byte == END) return end();
        switch (state_) {
            case State::Lost:
                return Found::Nothing;
            case State::Escape:
                if (byte == ESC_END) return store(END);
                if (byte == ESC_ESC) return store(ESC);
                state_ = State::Lost;
                return Found::BadEscape;
            case State::Done:
                start();
                break;
            case State::Packet:
                break;
        }
        if (byte != ESC) return store(byte);
        state_ = State::Escape;
        return Found::Nothing;
    }

    Bytes packet() const { return Bytes{room_, length_}; }

 private:
    enum class State : uint8_t { Packet, Escape, Lost, Done };

    void start() {
        length_ = 0;
        state_ = State::Packet;
    }

    Found end() {
        const bool escaped = state_ == State::Escape;
        if (state_ == State::Packet && length_ > 0) {
            state_ = State::Done;
            return Found::Packet;
        }
        start();
        return escaped ? Found::BadEscape : Found::Nothing;
    }

    Found store(uint8_t byte) {
        state_ = State::Packet;
        if (length_ == size_) {
            state_ = State::Lost;
            return Found::TooLong;
        }
        room_[length_++] = byte;
        return Found::Nothing;
    }

    uint8_t* room_ = nullptr;
    size_t size_ = 0, length_ = 0;
    State state_ = State::Packet;
};

// Writes a packet between two ENDs; 0 where `room` bytes are too few.
inline size_t encode(Bytes packet, uint8_t* to, size_t room) {
    size_t size = 0;
    const auto put = [&](uint8_t byte) {
        if (size < room) to[size] = byte;
        ++size;
    };
    put(END);
    for (size_t i = 0; i < packet.size; ++i) {
        const uint8_t byte = packet.at[i];
        if (byte != END && byte != ESC) {
            put(byte);
            continue;
        }
        put(ESC);
        put(byte == END ? ESC_END : ESC_ESC);
    }
    put(END);
    return size <= room ? size : 0;
}

}  // namespace slip
}  // namespace glowloom

#endif
