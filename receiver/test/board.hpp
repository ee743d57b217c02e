// A whole board on this computer: its memory, made-up flash, chance and crypto.
#ifndef GLOWLOOM_BOARD_HPP
#define GLOWLOOM_BOARD_HPP

#include <memory>
#include <vector>

#include "../core/device.hpp"
#include "flash.hpp"
#include "sha256.hpp"

struct MadeBoard {
    static constexpr size_t PIXELS = 200;
    std::vector<uint8_t> key = std::vector<uint8_t>(32, 0x42);
    std::vector<uint8_t> held = std::vector<uint8_t>(PIXELS * 4), lit = held, shown = held;
    std::vector<uint8_t> serial = std::vector<uint8_t>(1000);
    std::vector<glowloom::Universe> universes = std::vector<glowloom::Universe>(10);
    MadeFlash flash{2};
    std::mt19937 chance{11};
    bool same_chance = false;
    glowloom::Device device;

    static void hmac(void*, const uint8_t* key, glowloom::Bytes message, uint8_t* tag) {
        const Digest digest = hmac_sha256(std::vector<uint8_t>(key, key + 32),
                                          std::vector<uint8_t>(message.at, message.at + message.size));
        std::memcpy(tag, digest.data(), 32);
    }
    static void random(void* with, uint8_t* to, size_t size) {
        MadeBoard& board = *static_cast<MadeBoard*>(with);
        for (size_t i = 0; i < size; ++i) to[i] = board.same_chance ? 0x11 : static_cast<uint8_t>(board.chance());
    }
    bool start(uint32_t now = 0) {
        glowloom::Board board = {};
        const uint8_t id[6] = {2, 0, 0, 0, 0, 7};
        std::memcpy(board.id, id, 6);
        board.reset = glowloom::Reset::Power;
        board.strip = {glowloom::Shape::LongOne, 1250, 280, false, 3, glowloom::order_from("grb", 3)};
        board.pins = 2;
        board.key = key.data();
        board.crypto = {hmac, random, this};
        board.flash = &flash;
        board.memory = {held.data(), lit.data(), shown.data(), held.size(), universes.data(), universes.size(),
                        serial.data(), serial.size()};
        return device.begin(now, board);
    }
    std::vector<uint8_t> told(uint32_t now, const std::vector<uint8_t>& message) {
        std::vector<uint8_t> reply(glowloom::orders::ANSWER_SIZE);
        reply.resize(device.order(now, glowloom::Bytes{message.data(), message.size()}, reply.data()));
        return reply;
    }
    std::vector<uint8_t> question() const {
        std::vector<uint8_t> message(glowloom::orders::ANSWER_SIZE);
        const uint8_t head[] = {0x9a, 'G', 'L', 'W', 1, 1, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff};
        std::memcpy(message.data(), head, sizeof head);
        message[12] = 77;
        return message;
    }
    // An order as the program makes it, by the number that the board gave last.
    std::vector<uint8_t> an_order(uint32_t now, glowloom::orders::What what, std::vector<uint8_t> body) {
        const std::vector<uint8_t> answer = told(now, question());
        std::vector<uint8_t> message(answer.begin(), answer.begin() + 28);
        message[5] = 3;
        message.push_back(static_cast<uint8_t>(what));
        message.push_back(0);
        message.push_back(static_cast<uint8_t>(body.size() >> 8));
        message.push_back(static_cast<uint8_t>(body.size()));
        message.insert(message.end(), body.begin(), body.end());
        const Digest tag = hmac_sha256(key, message);
        message.insert(message.end(), tag.begin(), tag.end());
        return message;
    }
    static std::vector<uint8_t> an_assignment(uint16_t pixels = 100, uint8_t lines = 1) {
        glowloom::Assignment to = {};
        to.protocol = glowloom::Protocol::E131;
        to.strip = {glowloom::Shape::LongOne, 1250, 280, false, 3, glowloom::order_from("grb", 3)};
        to.limits = {200, 2000, {20000, 20000, 20000, 0}, 1000};
        to.line_count = lines;
        for (uint8_t i = 0; i < lines; ++i) {
            to.lines[i] = {static_cast<uint16_t>(1 + i), uint32_t{pixels} * 3 * i, pixels, 0};
        }
        std::strcpy(to.name, "west");
        std::vector<uint8_t> bytes(glowloom::ASSIGNMENT_SIZE);
        glowloom::encode_assignment(to, bytes.data());
        return bytes;
    }
};

#endif
