// SHA-256 (FIPS 180-4) and HMAC (RFC 2104) for tests on this computer alone: boards have their maker's crypto
// library, and the program has crates. Checked against the vectors of FIPS 180-4 and RFC 4231.
#ifndef GLOWLOOM_SHA256_HPP
#define GLOWLOOM_SHA256_HPP

#include <array>
#include <cstdint>
#include <cstring>
#include <vector>

using Digest = std::array<uint8_t, 32>;

inline Digest sha256(std::vector<uint8_t> message) {
    static const std::array<uint32_t, 64> K = [] {
        // The first 32 bits of the fractions of the cube roots of the first 64 primes.
        std::array<uint32_t, 64> k{};
        unsigned count = 0;
        for (unsigned n = 2; count < 64; ++n) {
            bool prime = true;
            for (unsigned d = 2; d * d <= n; ++d) prime = prime && n % d != 0;
            if (!prime) continue;
            long double root = 1;
            for (int i = 0; i < 100; ++i) root = (2 * root + n / (root * root)) / 3;
            k[count++] = static_cast<uint32_t>((root - static_cast<uint64_t>(root)) * 4294967296.0L);
        }
        return k;
    }();
    uint32_t h[8] = {0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
    const uint64_t bits = uint64_t{message.size()} * 8;
    message.push_back(0x80);
    while (message.size() % 64 != 56) message.push_back(0);
    for (int shift = 56; shift >= 0; shift -= 8) message.push_back(static_cast<uint8_t>(bits >> shift));
    const auto turn = [](uint32_t x, int n) { return (x >> n) | (x << (32 - n)); };
    for (size_t at = 0; at < message.size(); at += 64) {
        uint32_t w[64];
        for (size_t i = 0; i < 16; ++i) {
            w[i] = 0;
            for (size_t j = 0; j < 4; ++j) w[i] = (w[i] << 8) | message[at + 4 * i + j];
        }
        for (size_t i = 16; i < 64; ++i) {
            w[i] = w[i - 16] + w[i - 7] + (turn(w[i - 15], 7) ^ turn(w[i - 15], 18) ^ (w[i - 15] >> 3)) +
                   (turn(w[i - 2], 17) ^ turn(w[i - 2], 19) ^ (w[i - 2] >> 10));
        }
        uint32_t v[8];
        std::memcpy(v, h, sizeof v);
        for (size_t i = 0; i < 64; ++i) {
            const uint32_t one = v[7] + (turn(v[4], 6) ^ turn(v[4], 11) ^ turn(v[4], 25)) +
                                 ((v[4] & v[5]) ^ (~v[4] & v[6])) + K[i] + w[i];
            const uint32_t two = (turn(v[0], 2) ^ turn(v[0], 13) ^ turn(v[0], 22)) +
                                 ((v[0] & v[1]) ^ (v[0] & v[2]) ^ (v[1] & v[2]));
            for (int j = 7; j > 0; --j) v[j] = v[j - 1];
            v[4] += one;
            v[0] = one + two;
        }
        for (size_t i = 0; i < 8; ++i) h[i] += v[i];
    }
    Digest digest;
    for (size_t i = 0; i < 32; ++i) digest[i] = static_cast<uint8_t>(h[i / 4] >> (24 - 8 * (i % 4)));
    return digest;
}

inline Digest hmac_sha256(const std::vector<uint8_t>& key, const std::vector<uint8_t>& message) {
    std::vector<uint8_t> block(64);
    const Digest short_key = sha256(key);
    if (key.size() > 64) std::memcpy(block.data(), short_key.data(), 32);
    else if (!key.empty()) std::memcpy(block.data(), key.data(), key.size());
    std::vector<uint8_t> inner, outer;
    for (const uint8_t byte : block) inner.push_back(byte ^ 0x36), outer.push_back(byte ^ 0x5c);
    inner.insert(inner.end(), message.begin(), message.end());
    const Digest digest = sha256(inner);
    outer.insert(outer.end(), digest.begin(), digest.end());
    return sha256(outer);
}

#endif
