#include "guard.hpp"

namespace glowloom {
namespace {

constexpr uint32_t FULL = 65536;
// The smallest change of relative luminance that is counted. The rule says 0.10; half a hundredth
// less leaves room for what rounding to bytes adds.
constexpr uint32_t COUNTED = FULL * 95 / 1000;
// A change counts only if its darker state is below this share of full light; mixtures are brought to
// the edge on purpose, so the same bound with room for rounding serves both.
constexpr uint32_t DARKER = FULL * 805 / 1000;
constexpr uint32_t SECOND_MS = 1000;
// How much short of a second the fourth rise may come after the first: what a steady three flashes a
// second need when frames are sent by a real clock.
constexpr uint32_t JITTER_MS = 1;
constexpr uint32_t LONG_PAST_MS = 60000;
constexpr uint32_t WHOLE_SHARE = 1u << 15;
constexpr uint32_t WHOLE_SCALE = 1u << 16;

// Rec. 709, in 10,000ths. A white channel is taken to be as bright as the three together.
constexpr uint32_t LUMINANCE[4] = {2126, 7152, 722, 10000};

}  // namespace

Changes::Way Changes::change(uint32_t light) const {
    const bool up = light >= low_ + COUNTED && low_ < DARKER;
    const bool down = high_ >= light + COUNTED && light < DARKER;
    if (up && last_ != Way::Up) return Way::Up;
    if (down && last_ != Way::Down) return Way::Down;
    return Way::None;
}

// The fourth rise, or fall, comes a second after the first, so that there are three of each in any
// second; and no eighth change, which would complete a fourth pair, lies within a second of the first.
bool Changes::allows(uint32_t light, uint32_t now) const {
    if (change(light) == Way::None) return true;
    if (count_ >= 6 && since(now, times_[KEPT - 6]) < SECOND_MS - JITTER_MS) return false;
    return count_ < 7 || since(now, times_[0]) > SECOND_MS;
}

void Changes::note(uint32_t light, uint32_t now) {
    const Way way = change(light);
    if (way != Way::None) {
        last_ = way;
        low_ = high_ = light;
        for (uint8_t i = 1; i < KEPT; ++i) times_[i - 1] = times_[i];
        times_[KEPT - 1] = now;
        if (count_ < KEPT) ++count_;
        return;
    }
    // A change that goes on counts from its end.
    const bool further =
        (last_ == Way::Up && light > high_) || (last_ == Way::Down && light < low_);
    if (further && count_ > 0) times_[KEPT - 1] = now;
    if (light < low_) low_ = light;
    if (light > high_) high_ = light;
}

void Changes::age(uint32_t now) {
    if (count_ > 0 && since(now, times_[KEPT - 1]) > LONG_PAST_MS) count_ = 0;
}

Guard::Guard(const Limits& limits, uint8_t channels, uint8_t* shown, size_t size)
    : limits_(limits), shown_(shown), size_(size), channels_(channels) {
    fill(shown_, 0, size_);
}

uint8_t Guard::byte(const uint8_t* wanted, size_t at, uint32_t scale, uint32_t share) const {
    const uint32_t level = wanted[at] < limits_.ceiling ? wanted[at] : limits_.ceiling;
    const int32_t to = static_cast<int32_t>((level * scale) >> 16), from = shown_[at];
    if (share == WHOLE_SHARE) return static_cast<uint8_t>(to);
    // Rounded towards dark, so that a mixture takes no more current than its two parts.
    const int32_t whole = from * static_cast<int32_t>(WHOLE_SHARE);
    return static_cast<uint8_t>((whole + (to - from) * static_cast<int32_t>(share)) >> 15);
}

Guard::Sums Guard::add_up(const uint8_t* wanted, uint32_t scale, uint32_t share) const {
    Sums sums = {};
    for (size_t at = 0; at + channels_ <= size_; at += channels_) {
        uint32_t others = 0;
        for (uint8_t channel = 0; channel < channels_; ++channel) {
            const uint8_t level = byte(wanted, at + channel, scale, share);
            sums.channel[channel] += level;
            if (channel > 0) others += level;
        }
        const uint32_t red = byte(wanted, at, scale, share);
        // Saturated: red is four fifths of all or more.
        if (red > 0 && red >= 4 * others) sums.red += red;
    }
    return sums;
}

Guard::Light Guard::light(const Sums& sums) const {
    const uint64_t pixels = size_ / channels_;
    if (pixels == 0) return Light{};
    uint64_t all = 0;
    for (uint8_t channel = 0; channel < channels_; ++channel) {
        all += sums.channel[channel] * LUMINANCE[channel];
    }
    const uint64_t whole = channels_ == 4 ? 20000 : 10000;
    return Light{static_cast<uint32_t>(all * FULL / (pixels * 255 * whole)),
                 static_cast<uint32_t>(sums.red * FULL / (pixels * 255))};
}

uint64_t Guard::microamps(const Sums& sums) const {
    uint64_t lit = 0;
    for (uint8_t channel = 0; channel < channels_; ++channel) {
        lit += sums.channel[channel] * limits_.channel_ua[channel];
    }
    // Rounded up.
    return (lit + 254) / 255 + uint64_t{limits_.idle_ua} * (size_ / channels_);
}

uint64_t Guard::microamps() const { return microamps(add_up(shown_, WHOLE_SCALE, WHOLE_SHARE)); }

// What light is to be multiplied by, in 65,536ths, so that the current stays within.
uint32_t Guard::scale_for(const Sums& sums) const {
    const uint64_t most = uint64_t{limits_.milliamps} * 1000;
    if (microamps(sums) <= most) return WHOLE_SCALE;
    const uint64_t idle = uint64_t{limits_.idle_ua} * (size_ / channels_);
    if (idle >= most) return 0;
    const uint64_t lit = microamps(sums) - idle;
    return static_cast<uint32_t>((most - idle) * WHOLE_SCALE / lit);
}

bool Guard::allows(const Light& light, uint32_t now) const {
    return all_.allows(light.all, now) && red_.allows(light.red, now);
}

bool Guard::pass(uint32_t now, const uint8_t* wanted) {
    wait(now);
    for (size_t at = 0; at < size_; ++at) held_.bytes += wanted[at] > limits_.ceiling ? 1 : 0;
    Sums sums = add_up(wanted, WHOLE_SCALE, WHOLE_SHARE);
    const uint32_t scale = scale_for(sums);
    if (scale < WHOLE_SCALE) {
        ++held_.dimmed;
        sums = add_up(wanted, scale, WHOLE_SHARE);
    }
    Light light = this->light(sums);
    uint32_t share = WHOLE_SHARE;
    if (!allows(light, now)) {
        ++held_.flashes;
        // Mean light is mixed as bytes are. A red that may not change stays as it is.
        uint32_t refused = WHOLE_SHARE;
        share = 0;
        while (red_.allows(light.red, now) && refused - share > 8) {
            const uint32_t middle = (share + refused) / 2;
            const int64_t step = (int64_t{light.all} - int64_t{light_.all}) * middle / WHOLE_SHARE;
            const bool allowed = all_.allows(static_cast<uint32_t>(light_.all + step), now);
            (allowed ? share : refused) = middle;
        }
        light = this->light(add_up(wanted, scale, share));
        // Rounding can push a mixture over the edge; the frame shown last never is.
        if (share == 0 || !allows(light, now)) return false;
    }
    for (size_t at = 0; at < size_; ++at) shown_[at] = byte(wanted, at, scale, share);
    light_ = light;
    all_.note(light.all, now);
    red_.note(light.red, now);
    return share == WHOLE_SHARE;
}

void Guard::wait(uint32_t now) {
    all_.age(now);
    red_.age(now);
}

}  // namespace glowloom
