#include "device.hpp"

namespace glowloom {
namespace {

// How long parts of a frame wait for the rest, where nothing says that it is whole.
constexpr uint32_t PARTS_WAIT_MS = 20;
// What is shown is put out again this often: a disturbed strip mends itself. Common practice, no source.
constexpr uint32_t AGAIN_MS = 1000;
constexpr uint32_t HELD_BACK_MS = 10;
constexpr uint32_t POLL_AT_MOST_EVERY_MS = 100;
constexpr uint8_t GLOW_LEVEL = 32;
constexpr uint8_t JOIN_SIZE = 96, UPDATE_SIZE = 36;

const char* const RESETS[] = {"unknown", "power", "restart", "watchdog", "brown-out", "crash"};

// Before there is an assignment: enough for a code on any strip, and no more.
constexpr Limits CODE_LIMITS = {CODE_LEVEL, 500, {20000, 20000, 20000, 20000}, 1000};

}  // namespace

bool Device::begin(uint32_t now, const Board& board) {
    board_ = board;
    now_ = now;
    code_of(board_.id, code_);
    desk_.begin(board_.crypto, board_.key);
    slip_ = slip::Decoder(board_.memory.serial, board_.memory.serial_room);
    if (board_.memory.bytes < MOST_CODE_PIXELS * 4 || board_.pins == 0) return false;
    uint8_t kept[MOST_KEPT];
    const size_t size = store_.load(*board_.flash, kept);
    Assignment assignment;
    const bool known = size == ASSIGNMENT_SIZE && decode_assignment(kept, assignment);
    if (!known || !take_up(assignment)) be_unassigned();
    return true;
}

bool Device::take_up(const Assignment& assignment) {
    const size_t bytes = pixels_of(assignment) * assignment.strip.channels;
    if (assignment.line_count > board_.pins || bytes > board_.memory.bytes) return false;
    const Memory& memory = board_.memory;
    assignment_ = assignment;
    const Setup setup = {assignment.protocol, assignment.strip.channels, assignment.limits.ceiling,
                         assignment.on_loss,  assignment.packed,         assignment_.lines,
                         assignment.line_count, memory.held, memory.lit, memory.bytes,
                         memory.universes, memory.universe_room};
    assigned_ = receiver_.begin(setup);
    guard_ = Guard(assignment.limits, assignment.strip.channels, memory.shown, bytes);
    whole_ = true;
    drawn_ = glows_ = false;
    return assigned_;
}

void Device::be_unassigned() {
    assigned_ = false;
    assignment_ = Assignment{};
    assignment_.strip = board_.strip;
    assignment_.line_count = 1;
    assignment_.lines[0] = Line{1, 0, MOST_CODE_PIXELS, 0};
    const size_t bytes = MOST_CODE_PIXELS * board_.strip.channels;
    guard_ = Guard(CODE_LIMITS, board_.strip.channels, board_.memory.shown, bytes);
    draw_code(code_, board_.strip.channels, board_.memory.lit, bytes);
    whole_ = true;
    drawn_ = glows_ = false;
}

uint16_t Device::port() const {
    switch (assignment_.protocol) {
        case Protocol::E131:
            return e131::PORT;
        case Protocol::ArtNet:
            return artnet::PORT;
        case Protocol::Ddp:
            break;
    }
    return ddp::PORT;
}

size_t Device::status(uint32_t now, Bytes bytes, const Vitals& vitals, bool& mine, uint8_t* to, size_t room) {
    mine = status::is_question(bytes);
    if (!mine || (has_told_ && since(now, told_ms_) < status::LEAST_GAP_MS)) return 0;
    has_told_ = true;
    told_ms_ = now;
    status::Status status = {};
    status.model = vitals.model;
    status.version = vitals.version;
    status.wall = vitals.wall;
    status.panel = assignment_.name;
    status.reset = RESETS[least(static_cast<size_t>(board_.reset), 5)];
    status.assigned = assigned_;
    status.print = status::print(assignment_);
    status.up_seconds = vitals.up_seconds;
    if (assigned_) status.counts = receiver_.counts();
    status.live = assigned_ && receiver_.state() == State::Live;
    status.ago_ms = since(now, shown_ms_);
    copy(status.from, from_.ip + 12, 4);
    status.has_signal = vitals.signal_dbm != 0;
    status.signal_dbm = vitals.signal_dbm;
    status.heap = vitals.free_heap;
    status.firmware = board_.firmware;
    return status::emit(status, to, room);
}

size_t Device::light(uint32_t now, const Sender& from, Bytes bytes, uint8_t* to, size_t most) {
    now_ = now;
    if (!assigned_) return 0;
    note(receiver_.packet(now, from, bytes), now);
    if (receiver_.took()) from_ = from;
    const bool art_net = assignment_.protocol == Protocol::ArtNet;
    if (!art_net || artnet::parse(bytes).kind != artnet::Kind::Poll) return 0;
    if (has_answered_ && since(now, answered_ms_) < POLL_AT_MOST_EVERY_MS) return 0;
    has_answered_ = true;
    answered_ms_ = now;
    return answer_poll(to, most);
}

// One reply for each four Port-Addresses of one sub-net.
size_t Device::answer_poll(uint8_t* to, size_t most) {
    answered_ = static_cast<uint16_t>((answered_ + 1) % 10000);
    artnet::Node node = {};
    copy(node.ip, board_.ip, 4);
    copy(node.mac, board_.id, 6);
    node.firmware = be16(board_.firmware);
    node.short_name = node.long_name = assignment_.name;
    node.answered = answered_;
    size_t replies = 0;
    for (size_t at = 0; at < receiver_.universe_count() && replies < most;) {
        uint16_t ports[artnet::PORTS];
        size_t count = 0;
        const uint16_t first = receiver_.universe(at).number;
        while (at < receiver_.universe_count() && count < artnet::PORTS &&
               receiver_.universe(at).number >> 4 == first >> 4) {
            ports[count++] = receiver_.universe(at++).number;
        }
        artnet::emit_reply(node, ports, count, static_cast<uint8_t>(replies + 1),
                           to + replies * artnet::REPLY_SIZE);
        ++replies;
    }
    return replies;
}

void Device::note(Event event, uint32_t now) {
    if (event == Event::Drawn && !drawn_) {
        drawn_ = true;
        drawn_ms_ = now;
    }
    if (event == Event::Shown || event == Event::Drawn) shown_ms_ = now;
    if (event == Event::Shown || event == Event::Lost) whole_ = true;
}

orders::Self Device::self() const {
    orders::Self self = {};
    copy(self.id, board_.id, orders::ID);
    self.state = assigned_ ? static_cast<uint8_t>(1 + static_cast<uint8_t>(receiver_.state())) : 0;
    self.reset_reason = static_cast<uint8_t>(board_.reset);
    copy(self.code, code_, FIGURES);
    copy(self.firmware, board_.firmware, 8);
    self.most_pixels = static_cast<uint32_t>(board_.memory.bytes / board_.strip.channels);
    self.name = assignment_.name;
    return self;
}

size_t Device::order(uint32_t now, Bytes bytes, uint8_t* to) {
    now_ = now;
    return desk_.message(now, bytes, self(), *this, to);
}

size_t Device::serial(uint32_t now, uint8_t byte, uint8_t* to) {
    if (slip_.push(byte) != slip::Found::Packet) return 0;
    if (orders::is_ours(slip_.packet())) return order(now, slip_.packet(), to);
    // Light on the cable is DDP; a board that listens to another protocol takes none from it.
    if (assigned_ && assignment_.protocol == Protocol::Ddp) {
        note(receiver_.packet(now, Sender{}, slip_.packet()), now);
    }
    return 0;
}

orders::Result Device::follow(orders::What what, Bytes body) {
    using orders::Result;
    wish_size_ = 0;
    switch (what) {
        case orders::What::Assign:
            return assign(body);
        case orders::What::Glow:
            if (body.size != 1) return Result::BadBody;
            glows_ = true;
            glow_ms_ = now_;
            glow_for_ms_ = uint32_t{body.at[0]} * 1000;
            whole_ = true;
            return Result::Done;
        case orders::What::Forget: {
            const uint8_t nobody = 0;
            if (!store_.save(*board_.flash, Bytes{&nobody, 1})) return Result::NotKept;
            be_unassigned();
            return Result::Done;
        }
        case orders::What::Restart:
            if (body.size != 0) return Result::BadBody;
            wish_ = Wish::Restart;
            return Result::Done;
        case orders::What::Update:
            if (body.size != UPDATE_SIZE) return Result::BadBody;
            wish_ = Wish::Update;
            break;
        case orders::What::Join:
            if (body.size != JOIN_SIZE || body.at[31] != 0 || body.at[95] != 0) return Result::BadBody;
            if (!own_network_) return Result::NotNow;
            wish_ = Wish::Join;
            break;
        default:
            return Result::Unknown;
    }
    copy(wish_body_, body.at, body.size);
    wish_size_ = body.size;
    return Result::Done;
}

orders::Result Device::assign(Bytes body) {
    Assignment assignment;
    if (body.size != ASSIGNMENT_SIZE || !decode_assignment(body.at, assignment)) {
        return orders::Result::BadBody;
    }
    const size_t bytes = pixels_of(assignment) * assignment.strip.channels;
    if (assignment.line_count > board_.pins || bytes > board_.memory.bytes) {
        return orders::Result::TooLarge;
    }
    if (!store_.save(*board_.flash, body)) return orders::Result::NotKept;
    if (take_up(assignment)) return orders::Result::Done;
    be_unassigned();
    return orders::Result::TooLarge;
}

Wish Device::wish() {
    const Wish wish = wish_;
    wish_ = Wish::None;
    return wish;
}

// The light that is wanted now. A board that is told to glow shows that and nothing else.
const uint8_t* Device::wanted(uint32_t now) {
    uint8_t* lit = board_.memory.lit;
    if (glows_ && since(now, glow_ms_) >= glow_for_ms_) {
        glows_ = false;
        whole_ = true;
        if (assigned_) fill(lit, 0, guard_.size());
        else draw_code(code_, assignment_.strip.channels, lit, guard_.size());
    }
    if (!glows_) return lit;
    const uint8_t channels = assignment_.strip.channels;
    for (size_t at = 0; at + channels <= guard_.size(); at += channels) fill(lit + at, GLOW_LEVEL, 3);
    return lit;
}

bool Device::frame(uint32_t now, Output& output) {
    now_ = now;
    if (assigned_) note(receiver_.wait(now), now);
    guard_.wait(now);
    const uint8_t* lit = wanted(now);
    const bool parts = drawn_ && since(now, drawn_ms_) >= PARTS_WAIT_MS;
    const bool again = since(now, put_out_ms_) >= AGAIN_MS;
    const bool held = held_back_ && since(now, put_out_ms_) >= HELD_BACK_MS;
    if (!whole_ && !parts && !again && !held) return false;
    whole_ = drawn_ = false;
    put_out_ms_ = now;
    held_back_ = !guard_.pass(now, lit);
    output.strip = &assignment_.strip;
    output.lane_count = assignment_.line_count;
    size_t at = 0;
    for (uint8_t i = 0; i < assignment_.line_count; ++i) {
        output.lanes[i] = Lane{guard_.shown() + at, assignment_.lines[i].pixels};
        at += size_t{assignment_.lines[i].pixels} * assignment_.strip.channels;
    }
    return true;
}

}  // namespace glowloom
