// A receiver's own guard: whatever arrives, no byte above the ceiling, no more current than the
// supply may give, and no more than three flashes in any one second.
//
// It stands last and knows nothing of the sender, which has guards of its own and a finer view: this
// one sees one panel alone. Flashes are counted on the mean light of the whole panel, by the rule that
// crates/show/src/guard follows (WCAG 2.3.1).
#ifndef GLOWLOOM_GUARD_HPP
#define GLOWLOOM_GUARD_HPP

#include "bytes.hpp"

namespace glowloom {

// What a panel may take.
struct Limits {
    uint8_t ceiling;           // the highest byte of any channel
    uint32_t milliamps;        // of all pixels together; 0: no light at all
    uint16_t channel_ua[4];    // microamps of one channel, full on: red, green, blue, white
    uint16_t idle_ua;          // microamps of one dark pixel
};

// What the guard had to do. Above zero means a fault upstream.
struct Held {
    uint64_t bytes;    // above the ceiling
    uint64_t dimmed;   // frames above the current
    uint64_t flashes;  // frames that would have been one flash too many
};

// Follows one light, in 65,536ths of full, from one extreme to the next, and counts its changes.
class Changes {
 public:
    bool allows(uint32_t light, uint32_t now) const;
    void note(uint32_t light, uint32_t now);
    // Forgets what is long past, before the time wraps.
    void age(uint32_t now);

 private:
    enum class Way : uint8_t { None, Up, Down };
    // Three flashes are six changes; one more may lie in the same second when its pair does not.
    static constexpr uint8_t KEPT = 7;

    Way change(uint32_t light) const;

    Way last_ = Way::None;
    uint8_t count_ = 0;
    uint32_t low_ = 0, high_ = 0;
    uint32_t times_[KEPT] = {};  // newest last
};

class Guard {
 public:
    Guard() = default;
    // `shown` is lent: what was let through last.
    Guard(const Limits& limits, uint8_t channels, uint8_t* shown, size_t size);

    // Takes the light that is wanted and leaves in `shown` what may be shown. Returns whether that is
    // all that was wanted: where not, it is to be tried again.
    bool pass(uint32_t now, const uint8_t* wanted);
    void wait(uint32_t now);

    const uint8_t* shown() const { return shown_; }
    size_t size() const { return size_; }
    const Held& held() const { return held_; }
    // Microamps that `shown` takes, by the limits' own figures.
    uint64_t microamps() const;

 private:
    struct Sums {
        uint64_t channel[4];
        uint64_t red;  // of saturated pixels
    };
    struct Light {
        uint32_t all, red;
    };

    // The wanted byte under ceiling and current; mixed with the one shown by `share` 32,768ths.
    uint8_t byte(const uint8_t* wanted, size_t at, uint32_t scale, uint32_t share) const;
    Sums add_up(const uint8_t* wanted, uint32_t scale, uint32_t share) const;
    Light light(const Sums& sums) const;
    uint64_t microamps(const Sums& sums) const;
    uint32_t scale_for(const Sums& sums) const;
    bool allows(const Light& light, uint32_t now) const;

    Limits limits_ = {};
    Held held_ = {};
    Changes all_, red_;
    Light light_ = {};
    uint8_t* shown_ = nullptr;
    size_t size_ = 0;
    uint8_t channels_ = 3;
};

}  // namespace glowloom

#endif
