// What the glue of each chip gives to `main.cpp`. Nothing behind these functions decides anything.
#ifndef GLOWLOOM_CHIP_HPP
#define GLOWLOOM_CHIP_HPP

#include "../core/device.hpp"
#include "../core/joining.hpp"

namespace chip {

// Milliseconds since the start; wraps.
uint32_t now_ms();
glowloom::Reset reset_reason();
void restart();
void feed_watchdog();
void begin_watchdog();

// The board's hardware address, and the first bytes of the running program's SHA-256.
void read_id(uint8_t* id);
void read_firmware(uint8_t* to);
glowloom::Vitals vitals(bool connected);

extern const glowloom::orders::Crypto CRYPTO;
glowloom::Flash& flash();

// The output: begun once the strip is known; `free` when the last frame has gone out.
bool begin_output(const glowloom::Strip& strip, size_t lines, size_t longest_line);
bool output_is_free();
void put_out(const glowloom::Output& output);

// The network. `begin` starts the chip's part of it; the rest is asked for by `Joining`.
void begin_network(const char* host_name);
bool is_connected();
void address(uint8_t* ip);
#if !defined(GLOWLOOM_ETHERNET)
bool knows_network();
void keep_network(const glowloom::Network& network);
void join();
void open_own_network(const char* name, const char* password);
void close_own_network();
#endif
// Tells by DNS-SD (RFC 6763) where the panel's frames go to, service _glowloom._udp.
void announce(const glowloom::Device& device);

// The serial line.
void begin_serial();
bool read_serial(uint8_t* byte);
void write_serial(const uint8_t* from, size_t size);

// Takes a new program over TCP, of `size` bytes whose SHA-256 is `digest`; restarts into it, or returns.
void take_update(uint32_t size, const uint8_t* digest);
// The program that runs has reached the network: it is kept.
void keep_program();

}  // namespace chip

#endif
