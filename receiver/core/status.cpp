#include "status.hpp"

namespace glowloom {
namespace status {
namespace {

constexpr uint32_t FNV_BASIS = 2166136261u, FNV_PRIME = 16777619u;

struct Hash {
    uint32_t value = FNV_BASIS;
    void byte(uint8_t byte) { value = (value ^ byte) * FNV_PRIME; }
    void two(uint16_t number) {
        byte(static_cast<uint8_t>(number >> 8));
        byte(static_cast<uint8_t>(number));
    }
    void four(uint32_t number) {
        two(static_cast<uint16_t>(number >> 16));
        two(static_cast<uint16_t>(number));
    }
};

// Text into lent memory; what does not fit is counted and left out.
class Writer {
 public:
    Writer(uint8_t* to, size_t room) : to_(to), room_(room) {}

    void text(const char* from) {
        while (*from != 0) put(static_cast<uint8_t>(*from++));
    }
    void number(uint64_t value) {
        char digits[20];
        size_t count = 0;
        do {
            digits[count++] = static_cast<char>('0' + value % 10);
            value /= 10;
        } while (value > 0);
        while (count > 0) put(static_cast<uint8_t>(digits[--count]));
    }
    void hex(uint8_t byte) {
        const char digits[] = "0123456789abcdef";
        put(static_cast<uint8_t>(digits[byte >> 4]));
        put(static_cast<uint8_t>(digits[byte & 15]));
    }
    void quoted(const char* from) {
        put('"');
        for (; *from != 0; ++from) {
            const uint8_t byte = static_cast<uint8_t>(*from);
            if (byte < 0x20) {
                text("\\u00");
                hex(byte);
                continue;
            }
            if (byte == '"' || byte == '\\') put('\\');
            put(byte);
        }
        put('"');
    }
    void name(const char* name) {
        text(first_ ? "\"" : ",\"");
        text(name);
        text("\":");
        first_ = false;
    }
    void member(const char* of, const char* value) {
        name(of);
        quoted(value);
    }
    void member(const char* of, uint64_t value) {
        name(of);
        number(value);
    }
    size_t size() const { return size_; }

 private:
    void put(uint8_t byte) {
        if (size_ < room_) to_[size_] = byte;
        ++size_;
    }

    uint8_t* to_;
    size_t room_, size_ = 0;
    bool first_ = true;
};

void write(const Status& status, Writer& to) {
    to.text("{\"status\":{");
    to.member("man", "Glowloom");
    to.member("mod", status.model);
    to.member("ver", status.version);
    to.member("wall", status.wall);
    if (status.assigned) {
        to.member("panel", status.panel);
        to.name("print");
        to.text("\"");
        for (int shift = 24; shift >= 0; shift -= 8) to.hex(static_cast<uint8_t>(status.print >> shift));
        to.text("\"");
    }
    to.member("up", status.up_seconds);
    to.member("shown", status.counts.shown);
    to.member("lost", status.counts.lost);
    to.member("late", status.counts.late);
    to.member("wrong", status.counts.wrong);
    if (status.live) {
        to.member("ago", uint64_t{status.ago_ms} * 1000);
        to.name("from");
        to.text("\"");
        for (int i = 0; i < 4; ++i) {
            if (i > 0) to.text(".");
            to.number(status.from[i]);
        }
        to.text("\"");
    }
    if (status.has_signal) {
        to.name("rssi");
        const int dbm = status.signal_dbm;
        if (dbm < 0) to.text("-");
        to.number(static_cast<uint64_t>(dbm < 0 ? -dbm : dbm));
    }
    to.member("heap", status.heap);
    to.member("reset", status.reset);
    to.name("program");
    to.text("\"");
    for (int i = 0; i < 8; ++i) to.hex(status.firmware[i]);
    to.text("\"}}");
}

}  // namespace

bool is_question(Bytes bytes) {
    const ddp::Packet packet = ddp::parse(bytes);
    return packet.good && packet.query && !packet.reply && packet.destination == ID;
}

uint32_t print(const Assignment& assignment) {
    Hash hash;
    const bool ddp = assignment.protocol == Protocol::Ddp;
    hash.byte(static_cast<uint8_t>(assignment.protocol));
    hash.byte(assignment.strip.channels);
    hash.two(assignment.protocol == Protocol::E131 ? assignment.sync_universe : 0);
    for (uint8_t i = 0; i < assignment.line_count; ++i) {
        const Line& line = assignment.lines[i];
        hash.two(ddp ? 0 : line.first_universe);
        hash.four(ddp ? line.byte_offset : 0);
        hash.four(line.pixels);
    }
    return hash.value;
}

size_t emit(const Status& status, uint8_t* to, size_t room) {
    if (room < ddp::HEADER) return 0;
    Writer json(to + ddp::HEADER, room - ddp::HEADER);
    write(status, json);
    if (json.size() > room - ddp::HEADER) return 0;
    fill(to, 0, ddp::HEADER);
    to[0] = 0x45;  // version 1, reply, push
    to[3] = ID;
    put16(to + 8, static_cast<uint16_t>(json.size()));
    return ddp::HEADER + json.size();
}

}  // namespace status
}  // namespace glowloom
