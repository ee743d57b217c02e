// Every packet of packets.txt says to the core what it says there.
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "../core/artnet.hpp"
#include "../core/ddp.hpp"
#include "../core/e131.hpp"
#include "../core/slip.hpp"
#include "check.hpp"
#include "tests.hpp"

using namespace glowloom;

namespace {

std::string hex(const uint8_t* at, size_t size) {
    const char* digits = "0123456789abcdef";
    std::string text;
    for (size_t i = 0; i < size; ++i) {
        text += digits[at[i] >> 4];
        text += digits[at[i] & 15];
    }
    return text;
}
std::string hex(Bytes bytes) { return hex(bytes.at, bytes.size); }
std::string hex(uint8_t byte) { return hex(&byte, 1); }

std::vector<uint8_t> unhex(const std::string& text) {
    std::vector<uint8_t> bytes;
    for (size_t i = 0; i + 1 < text.size(); i += 2) {
        bytes.push_back(static_cast<uint8_t>(std::stoi(text.substr(i, 2), nullptr, 16)));
    }
    return bytes;
}

std::string e131_says(Bytes bytes) {
    const e131::Packet packet = e131::parse(bytes);
    std::ostringstream text;
    switch (packet.kind) {
        case e131::Kind::Wrong:
            return "e131 wrong";
        case e131::Kind::Discovery:
            return "e131 discovery";
        case e131::Kind::Sync:
            text << "e131 sync sequence=" << +packet.sequence << " sync=" << packet.sync;
            break;
        case e131::Kind::Data: {
            const uint8_t options = static_cast<uint8_t>((packet.preview ? 0x80 : 0) |
                                                         (packet.terminated ? 0x40 : 0) |
                                                         (packet.force_synchronization ? 0x20 : 0));
            text << "e131 data universe=" << packet.universe << " sequence=" << +packet.sequence
                 << " priority=" << +packet.priority << " sync=" << packet.sync
                 << " options=" << hex(options) << " start=" << hex(packet.start_code)
                 << " slots=" << hex(packet.slots);
            break;
        }
    }
    return text.str();
}

std::string artnet_says(Bytes bytes) {
    const artnet::Packet packet = artnet::parse(bytes);
    std::ostringstream text;
    switch (packet.kind) {
        case artnet::Kind::Wrong:
            return "artnet wrong";
        case artnet::Kind::Other:
            return "artnet other";
        case artnet::Kind::Sync:
            return "artnet sync";
        case artnet::Kind::Poll:
            return "artnet poll";
        case artnet::Kind::Reply:
            return "artnet reply";
        case artnet::Kind::Dmx:
            text << "artnet dmx address=" << packet.port_address << " sequence=" << +packet.sequence
                 << " slots=" << hex(packet.slots);
    }
    return text.str();
}

std::string ddp_says(Bytes bytes) {
    const ddp::Packet packet = ddp::parse(bytes);
    if (!packet.good) return "ddp wrong";
    if (packet.query) return "ddp query";
    if (packet.reply) return "ddp reply";
    if (packet.storage) return "ddp storage";
    std::ostringstream text;
    text << "ddp data push=" << packet.push << " sequence=" << +packet.sequence
         << " type=" << hex(packet.data_type) << " destination=" << +packet.destination
         << " offset=" << packet.offset << " data=" << hex(packet.data);
    return text.str();
}

void slip_agrees(const std::vector<uint8_t>& packet, const std::vector<uint8_t>& line) {
    std::vector<uint8_t> room(line.size());
    CHECK_EQ(slip::encode(Bytes{packet.data(), packet.size()}, room.data(), room.size()), line.size());
    CHECK(room == line);
    CHECK_EQ(slip::encode(Bytes{packet.data(), packet.size()}, room.data(), line.size() - 1), 0u);
    std::vector<uint8_t> decoded(packet.size());
    slip::Decoder decoder(decoded.data(), decoded.size());
    slip::Found last = slip::Found::Nothing;
    for (const uint8_t byte : line) last = decoder.push(byte);
    CHECK(last == slip::Found::Packet);
    CHECK(hex(decoder.packet()) == hex(packet.data(), packet.size()));
}

}  // namespace

void test_packets(const char* folder) {
    std::ifstream file(std::string(folder) + "/packets.txt");
    std::string line;
    size_t count = 0;
    while (std::getline(file, line)) {
        if (line.empty() || line[0] == '#') continue;
        ++count;
        const size_t split = line.find(" = ");
        const std::string wanted = line.substr(0, split);
        // A copy of its own, so that the sanitizer sees a byte read beyond its end.
        const std::vector<uint8_t> packet = unhex(line.substr(split + 3));
        const Bytes bytes = {packet.data(), packet.size()};
        std::string found;
        if (wanted.rfind("e131", 0) == 0) found = e131_says(bytes);
        else if (wanted.rfind("artnet", 0) == 0) found = artnet_says(bytes);
        else if (wanted.rfind("ddp", 0) == 0) found = ddp_says(bytes);
        else {
            slip_agrees(unhex(wanted.substr(5)), packet);
            continue;
        }
        CHECK(found == wanted);
        if (found != wanted) std::fprintf(stderr, "  found  %s\n  wanted %s\n", found.c_str(), wanted.c_str());
    }
    CHECK(count > 60);
}
