// Who a board is: what it is told over the network, and keeps.
#ifndef GLOWLOOM_ASSIGNMENT_HPP
#define GLOWLOOM_ASSIGNMENT_HPP

#include "encode.hpp"
#include "guard.hpp"
#include "receiver.hpp"

namespace glowloom {

constexpr size_t MOST_LINES = 8;
constexpr size_t NAME_ROOM = 32;  // a NUL included

// Bytes of an assignment as it is sent and kept. All numbers high byte first:
//
//   0 version 1            1 protocol: 1 E1.31, 2 Art-Net, 3 DDP     2 channels
//   3 colour order         4 bits: 1 clocked, 2 short one, 4 two bytes for three colours
//   5 on loss              6 ceiling                                 7 data lines, 1 to 8
//   8 bit time, ns (2)    10 reset, us (2)                          12 milliamps (4)
//  16 microamps of red, green, blue, white, idle (2 each)           26 sync universe (2)
//  28 panel's name, UTF-8, padded with NUL (32)
//  60 for each of 8 lines: first universe (2), spares (2), pixels (4), byte offset (4)
constexpr size_t ASSIGNMENT_SIZE = 156;

struct Assignment {
    Protocol protocol;
    OnLoss on_loss;
    bool packed;
    Strip strip;
    Limits limits;
    uint16_t sync_universe;
    uint8_t line_count;
    Line lines[MOST_LINES];
    char name[NAME_ROOM];
};

// False where the bytes are no assignment that can be followed; `to` is then undefined.
bool decode_assignment(const uint8_t* from, Assignment& to);
void encode_assignment(const Assignment& assignment, uint8_t* to);

// Pixels on all lines, spares included.
size_t pixels_of(const Assignment& assignment);

}  // namespace glowloom

#endif
