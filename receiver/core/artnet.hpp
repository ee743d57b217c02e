// Art-Net 4: four packets, read as in crates/wire/src/artnet, and the answer to a question.
#ifndef GLOWLOOM_ARTNET_HPP
#define GLOWLOOM_ARTNET_HPP

#include "bytes.hpp"

namespace glowloom {
namespace artnet {

constexpr uint16_t PORT = 6454;
constexpr uint16_t LAST_PORT_ADDRESS = 32767;
// From the first ArtSync on a node waits for the next; without one for so long it goes on at once.
constexpr uint32_t SYNC_LOSS_MS = 4000;
// A sender that is silent for so long is gone: how long a node holds one of two that it merges.
constexpr uint32_t LOSS_MS = 10000;

enum class Kind : uint8_t {
    Wrong,    // no good packet
    Other,    // Art-Net, but none of these
    Dmx,
    Sync,
    Poll,
    Reply,
};

struct Packet {
    Kind kind;
    uint16_t port_address;
    uint8_t sequence;  // 0: the sender does not count
    Bytes slots;
};

Packet parse(Bytes bytes);

constexpr size_t REPLY_SIZE = 239;
constexpr size_t PORTS = 4;

// What a node says of itself.
struct Node {
    uint8_t ip[4];
    uint8_t mac[6];
    uint16_t firmware;
    const char* short_name;  // cut at 17 bytes
    const char* long_name;   // cut at 63 bytes
    uint16_t answered;       // questions so far
};

// Writes one ArtPollReply for up to four Port-Addresses of one sub-net, all 239 bytes.
void emit_reply(const Node& node, const uint16_t* port_addresses, size_t count, uint8_t bind_index,
                uint8_t* to);

}  // namespace artnet
}  // namespace glowloom

#endif
