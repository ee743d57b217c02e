// Good inputs to begin with, one file each: the packets of packets.txt, in turns that a receiver understands.
#include <fstream>
#include <string>
#include <vector>

#include "../core/assignment.hpp"

namespace {

std::vector<uint8_t> unhex(const std::string& text) {
    std::vector<uint8_t> bytes;
    for (size_t i = 0; i + 1 < text.size(); i += 2) {
        bytes.push_back(static_cast<uint8_t>(std::stoi(text.substr(i, 2), nullptr, 16)));
    }
    return bytes;
}

}  // namespace

int main(int, char** arguments) {
    std::ifstream file(arguments[1]);
    std::string line;
    int number = 0;
    std::vector<std::vector<uint8_t>> all[4];
    const auto write = [&](uint8_t kind, const std::vector<uint8_t>& bytes) {
        std::ofstream to(std::string(arguments[2]) + "/seed" + std::to_string(number++), std::ios::binary);
        to.put(static_cast<char>(kind));
        to.write(reinterpret_cast<const char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
    };
    while (std::getline(file, line)) {
        const size_t split = line.find(" = ");
        if (line[0] == '#' || split == std::string::npos) continue;
        const int protocol = line[0] == 'e' ? 0 : line[0] == 'a' ? 1 : line[0] == 'd' ? 2 : 3;
        all[protocol].push_back(unhex(line.substr(split + 3)));
    }
    for (int protocol = 0; protocol < 3; ++protocol) {
        std::vector<uint8_t> turns;
        for (std::vector<uint8_t> packet : all[protocol]) {
            if (protocol == 0 && packet.size() > 114 && packet[113] == 0) packet[114] = 5;
            if (protocol == 1 && packet.size() > 15) packet[14] = 5, packet[15] = 0;
            if (protocol == 2 && packet.size() > 7) packet[6] = packet[7] = 0;
            const size_t size = packet.size();
            turns.insert(turns.end(), {static_cast<uint8_t>(size >> 8), static_cast<uint8_t>(size), 1});
            turns.insert(turns.end(), packet.begin(), packet.end());
        }
        write(static_cast<uint8_t>(protocol), turns);
    }
    for (const auto& packet : all[3]) write(0x81, packet);
    std::vector<uint8_t> order = {0, 73, 1, 0x9a, 'G', 'L', 'W', 1, 3};
    order.resize(9 + 6), order.resize(9 + 22, 0x11);
    const uint8_t glow[] = {2, 0, 0, 1, 9};
    order.insert(order.end(), glow, glow + 5);
    order.resize(order.size() + 32, 9);
    order[1] = static_cast<uint8_t>(order.size() - 3);
    write(0xa0, order);
    glowloom::Assignment assignment = {};
    assignment.protocol = glowloom::Protocol::E131;
    assignment.strip = {glowloom::Shape::LongOne, 1250, 280, false, 3, glowloom::order_from("grb", 3)};
    assignment.line_count = 1;
    assignment.lines[0] = {1, 0, 20, 1};
    std::vector<uint8_t> body(glowloom::ASSIGNMENT_SIZE);
    glowloom::encode_assignment(assignment, body.data());
    write(0xc0, body);
    return 0;
}
