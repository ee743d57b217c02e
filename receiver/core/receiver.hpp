// The packets of one panel in, the light of its pixels out: the rules of crates/drive/src/receive.
#ifndef GLOWLOOM_RECEIVER_HPP
#define GLOWLOOM_RECEIVER_HPP

#include "artnet.hpp"
#include "canvas.hpp"
#include "ddp.hpp"
#include "e131.hpp"

namespace glowloom {

enum class Protocol : uint8_t { E131 = 1, ArtNet = 2, Ddp = 3 };

// What came of a packet, or of time going by.
enum class Event : uint8_t {
    Nothing = 0,
    Drawn = 1,  // some pixels changed, but the frame is not whole yet
    Shown = 2,  // a frame is shown
    Lost = 3,   // frames have stopped
};

enum class State : uint8_t { Waiting = 0, Live = 1, Lost = 2 };

struct Counts {
    uint64_t packets;    // that arrived, whatever they were
    uint64_t lost;       // that never came, by the gaps in the numbers of those that did
    uint64_t late;       // thrown away, because a newer one had come before or it came twice
    uint64_t wrong;      // malformed, or for what the panel does not have
    uint64_t ignored;    // well formed and not meant for light
    uint64_t strangers;  // of another sender than the one that is shown
    uint64_t shown;      // frames
};

// Who sent a packet: an IPv6 address, or an IPv4 one in its last four bytes.
struct Sender {
    uint8_t ip[16];
};

// One universe of a panel.
struct Universe {
    uint64_t progress;  // packets that were sent to it, as far as their numbers tell
    uint32_t start;     // where its slots lie among the panel's bytes
    uint32_t seen_ms;
    uint16_t number;
    uint16_t size;
    uint8_t sequence;
    bool counted;  // `sequence` holds a number
    bool seen;     // it gets packets
    bool fresh;    // its slots are newer than the last frame shown
};

// What a panel is, and the memory that its receiver may use while it lives.
struct Setup {
    Protocol protocol;
    uint8_t channels;  // 3 or 4
    uint8_t ceiling;   // bounds the glow
    OnLoss on_loss;
    bool packed;  // DDP: three colours in two bytes, for serial links
    const Line* lines;
    size_t line_count;
    uint8_t* held;  // each of `bytes`
    uint8_t* lit;
    size_t bytes;
    Universe* universes;
    size_t universe_room;
};

// Pixels to a universe of 512 slots: 170 or 128.
constexpr size_t pixels_per_universe(uint8_t channels) { return 512u / channels; }

class Receiver {
 public:
    // Starts anew, all dark; false where memory is too small or there is nothing to light.
    bool begin(const Setup& setup);

    // Takes a packet. `now_ms` never steps back, but wraps.
    Event packet(uint32_t now_ms, const Sender& from, Bytes bytes);
    // Lets time go by; to be called at least once a day.
    Event wait(uint32_t now_ms);

    State state() const { return state_; }
    const Counts& counts() const { return counts_; }
    const Canvas& canvas() const { return canvas_; }
    const Setup& setup() const { return setup_; }
    // Whether the last packet was of the sender that is shown, and taken.
    bool took() const { return took_; }
    // After Shown: how many frames were sent since the one shown before; 1 if none was lost.
    uint64_t frames() const { return frames_; }
    // Port-Addresses or universes, for answers.
    size_t universe_count() const { return universe_count_; }
    const Universe& universe(size_t nth) const { return setup_.universes[nth]; }

 private:
    enum class Verdict : uint8_t { NotOurs, Taken, Drawn, Shown, Ended };

    Verdict e131(uint32_t now, Bytes bytes);
    Verdict e131_data(uint32_t now, const e131::Packet& packet);
    Verdict e131_sync(uint32_t now, const e131::Packet& packet);
    Verdict e131_end(Universe& universe);
    bool e131_admits(const e131::Packet& packet);
    bool e131_holds() const;

    Verdict artnet(uint32_t now, const Sender& from, Bytes bytes);
    Verdict artnet_dmx(uint32_t now, const Sender& from, const artnet::Packet& packet);

    Verdict ddp(uint32_t now, const Sender& from, Bytes bytes);
    void ddp_write(const ddp::Packet& packet);
    void ddp_write_packed(const ddp::Packet& packet);
    size_t ddp_buffer() const;

    bool lay_universes();
    Universe* find(uint16_t number);
    bool any_seen() const;
    void forget();
    void give_up_silent(uint32_t now, uint32_t loss_ms);
    bool silent(uint32_t now);
    Verdict show_at_once(Universe& universe);
    Verdict show_held();
    Verdict frame_shown();
    // Packet numbers that leave out 0; how far this one is ahead, 0 where it is late.
    uint32_t numbered(uint8_t& last, uint8_t now, uint8_t round, uint8_t back);
    bool is_from_source(const Sender& from);
    Verdict count(uint64_t& counter);
    Event lose();

    Setup setup_ = {};
    Canvas canvas_;
    Counts counts_ = {};
    State state_ = State::Waiting;
    size_t universe_count_ = 0;
    uint64_t frames_ = 0;
    uint64_t shown_progress_ = 0;

    bool has_source_ = false, took_ = false;
    Sender source_ = {};
    uint8_t cid_[16] = {};
    uint8_t priority_ = 0;
    // E1.31: the synchronization address that the last data asked for, and the one that comes.
    uint16_t wanted_sync_ = 0, sync_address_ = 0;
    uint8_t sync_sequence_ = 0;
    bool synced_ = false, sync_is_late_ = false, force_ = false;
    uint32_t sync_ms_ = 0;
    // DDP
    uint8_t ddp_sequence_ = 0;
    bool ddp_fresh_ = false;
    uint32_t ddp_seen_ms_ = 0;
    uint64_t came_ = 0, sent_ = 0, per_frame_ = 0;
};

}  // namespace glowloom

#endif
