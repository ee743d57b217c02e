//! The rules of DDP version 1 for a display.

use std::net::IpAddr;
use std::ops::Range;
use std::time::Duration;

use glowloom_wire::ColourBits;
use glowloom_wire::ddp::{ALL, Body, DISPLAY, DataType, Message, Packet, Sequence};
use glowloom_wire::patch::{Channels, Common, PanelPatch};

use super::canvas::Canvas;
use super::numbers::numbered;
use super::{Counts, Verdict};

/// A sender that is silent for this long is gone: as in E1.31, for DDP does not say.
const LOSS: Duration = Duration::from_millis(2500);

/// How far behind a packet still counts as late; of 15 numbers it cannot be many. DDP speaks of
/// packets that come twice only.
const LATE: u8 = 2;

#[derive(Debug)]
pub(super) struct Rules {
    lines: Vec<Line>,
    channels: Channels,
    source: Option<IpAddr>,
    sequence: Sequence,
    seen: Duration,
    /// Whether bytes have come since the last frame shown.
    fresh: bool,
    /// Packets that came since the last frame shown, and those that were sent.
    came: u64,
    sent: u64,
    /// Packets of the last frame of which none was lost.
    per_frame: u64,
}

/// Where a data line lies in the display's buffer, and among the panel's bytes.
#[derive(Debug)]
struct Line {
    buffer: Range<usize>,
    at: usize,
}

impl Rules {
    pub fn new(common: &Common, panel: &PanelPatch) -> Self {
        let mut at = 0;
        let mut lines = Vec::new();
        for line in &panel.lines {
            let size = line.pixels.len() * common.channels.count();
            let start = line.byte_offset as usize;
            lines.push(Line { buffer: start..start + size, at });
            at += size;
        }
        Self {
            lines,
            channels: common.channels,
            source: None,
            sequence: Sequence::UNUSED,
            seen: Duration::ZERO,
            fresh: false,
            came: 0,
            sent: 0,
            per_frame: u64::MAX,
        }
    }

    pub fn packet(
        &mut self,
        now: Duration,
        from: IpAddr,
        bytes: &[u8],
        canvas: &mut Canvas,
        counts: &mut Counts,
    ) -> Verdict {
        let Ok(message) = Packet::new_checked(bytes).and_then(|packet| Message::parse(&packet))
        else {
            counts.wrong += 1;
            return Verdict::NotOurs;
        };
        let header = &message.header;
        let Body::Data(data) = message.body else {
            counts.ignored += 1;
            return Verdict::NotOurs;
        };
        if header.reply || header.storage || ![DISPLAY, ALL].contains(&header.destination) {
            counts.ignored += 1;
            return Verdict::NotOurs;
        }
        if !self.takes(header.data_type) {
            counts.wrong += 1;
            return Verdict::NotOurs;
        }
        let start = header.offset as usize;
        let buffer = self.lines.last().map_or(0, |line| line.buffer.end);
        if start.checked_add(data.len()).is_none_or(|end| end > buffer) {
            counts.wrong += 1;
            return Verdict::NotOurs;
        }
        if *self.source.get_or_insert(from) != from {
            counts.strangers += 1;
            return Verdict::NotOurs;
        }
        let Some(ahead) = numbered(&mut self.sequence, header.sequence, LATE, counts) else {
            return Verdict::NotOurs;
        };
        self.came += 1;
        self.sent += ahead;
        self.seen = now;
        self.write(start, data, canvas);
        self.fresh |= !data.is_empty();
        // A timecode is not waited for: whatever is pushed is shown.
        if !(header.push && std::mem::take(&mut self.fresh)) {
            return Verdict::Taken;
        }
        canvas.show();
        self.shown()
    }

    /// Whether these bytes are pixels as the panel has them, or may be: many senders do not say.
    fn takes(&self, data_type: DataType) -> bool {
        let unsaid = data_type.0 & 0b0011_1000 == 0;
        unsaid || data_type.pixels() == Some((self.channels, ColourBits::TwentyFour))
    }

    /// A frame has come to its end. The numbers count packets, so a frame without loss tells how
    /// many of them the others have.
    fn shown(&mut self) -> Verdict {
        if self.came == self.sent {
            self.per_frame = self.came;
        }
        let frames = self.sent.div_ceil(self.per_frame.max(1));
        (self.came, self.sent) = (0, 0);
        Verdict::Shown { frames }
    }

    /// Writes bytes of the display's buffer; those between two lines belong to no pixel.
    fn write(&self, start: usize, data: &[u8], canvas: &mut Canvas) {
        for line in &self.lines {
            let from = line.buffer.start.max(start);
            let to = line.buffer.end.min(start + data.len());
            if from < to {
                let at = line.at + from - line.buffer.start;
                canvas.hold(at..at + to - from, &data[from - start..to - start]);
            }
        }
    }

    /// Whether the sender has just been silent for 2.5 s.
    pub fn silent(&mut self, now: Duration) -> bool {
        let silent = self.source.is_some() && now.saturating_sub(self.seen) >= LOSS;
        if silent {
            (self.source, self.sequence, self.fresh) = (None, Sequence::UNUSED, false);
            (self.came, self.sent) = (0, 0);
        }
        silent
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::receive::testing::{Bench, SHOWN};
    use crate::receive::{Event, OnLoss, State};
    use glowloom_wire::ddp::Header;
    use glowloom_wire::patch::Protocol;

    fn packet(header: Header, sequence: u8, data: &[u8]) -> Vec<u8> {
        let header = Header { sequence: Sequence::new(sequence).unwrap(), ..header };
        let mut bytes = vec![0; header.size() + data.len()];
        Message { header, body: Body::Data(data) }.emit(&mut bytes).unwrap();
        bytes
    }

    fn pixels(offset: u32, push: bool) -> Header {
        Header::new(DataType::RGB, offset, push)
    }

    fn bench() -> Bench {
        Bench::new(Protocol::Ddp, OnLoss::Black)
    }

    #[test]
    fn bytes_are_shown_by_the_push() {
        let mut bench = bench();
        let data: Vec<u8> = (0..522).map(|n| (n % 251) as u8).collect();
        assert_eq!(bench.hear(&packet(pixels(0, false), 1, &data[..500])), Event::Nothing);
        assert_eq!(bench.picture()[..513], [0; 513]);
        // The rest touches both lines.
        assert_eq!(bench.hear(&packet(pixels(500, true), 2, &data[500..])), SHOWN);
        let picture = bench.picture();
        // A spare ahead; the second line from byte 516 on, its two pixels in turned order.
        assert_eq!(picture[..513], data[3..516]);
        assert_eq!(picture[513..], [&data[519..522], &data[516..519]].concat());
        // A push on its own, to all: nothing new, then something.
        let all = Header { destination: ALL, ..pixels(0, true) };
        assert_eq!(bench.hear(&packet(all, 3, &[])), Event::Nothing);
        assert_eq!(bench.hear(&packet(pixels(3, false), 4, &[9; 3])), Event::Nothing);
        assert_eq!(bench.hear(&packet(all, 5, &[])), SHOWN);
        assert_eq!(bench.picture()[..3], [9; 3]);
        assert_eq!(bench.receiver.counts().shown, 2);
    }

    #[test]
    fn a_timecode_changes_nothing() {
        let mut bench = bench();
        let header = Header { timecode: Some(7), ..pixels(3, true) };
        assert_eq!(bench.hear(&packet(header, 0, &[9; 3])), SHOWN);
        assert_eq!(bench.picture()[..6], [9, 9, 9, 0, 0, 0]);
    }

    #[test]
    fn packets_that_come_twice_are_dropped_and_gaps_counted() {
        let mut bench = bench();
        let levels: Vec<u8> = [(14, 1), (14, 2), (1, 3), (15, 4), (4, 5)]
            .into_iter()
            .map(|(sequence, level)| {
                bench.hear(&packet(pixels(3, true), sequence, &[level]));
                bench.picture()[0]
            })
            .collect();
        assert_eq!(levels, [1, 1, 3, 3, 5]);
        let counts = bench.receiver.counts();
        assert_eq!((counts.lost, counts.late), (3, 2));
    }

    #[test]
    fn one_sender_is_shown_until_it_is_silent() {
        let mut bench = bench();
        bench.hear(&packet(pixels(3, true), 1, &[10]));
        let stranger = [192, 0, 2, 8];
        assert_eq!(bench.hear_from(stranger, &packet(pixels(3, true), 1, &[20])), Event::Nothing);
        assert_eq!(bench.receiver.counts().strangers, 1);
        assert_eq!(bench.wait(2499), Event::Nothing);
        assert_eq!((bench.wait(1), bench.picture()[0]), (Event::Lost, 0));
        assert_eq!(bench.hear_from(stranger, &packet(pixels(3, true), 1, &[20])), SHOWN);
    }

    #[test]
    fn what_is_not_for_the_display_is_left_alone() {
        let mut bench = bench();
        let mut query = [0; 10];
        let header = Header { destination: 251, ..pixels(0, false) };
        Message { header, body: Body::Query(0) }.emit(&mut query).unwrap();
        bench.hear(&query);
        for header in [
            Header { destination: 250, ..pixels(0, true) },
            Header { reply: true, ..pixels(0, true) },
            Header { storage: true, ..pixels(0, true) },
        ] {
            bench.hear(&packet(header, 1, &[9; 3]));
        }
        assert_eq!(bench.receiver.counts().ignored, 4);
        bench.hear(&packet(pixels(520, true), 1, &[9; 3]));
        bench.hear(&packet(pixels(u32::MAX, true), 1, &[9; 3]));
        bench.hear(&packet(pixels(0, true), 1, &[9; 3])[..12]);
        bench.hear(&[0x80; 20]);
        for other in [DataType::RGBW, DataType::RGB_565, DataType(0x13), DataType(0x23)] {
            bench.hear(&packet(Header { data_type: other, ..pixels(0, true) }, 1, &[9; 3]));
        }
        assert_eq!(bench.receiver.counts().wrong, 8);
        assert_eq!(bench.receiver.state(), State::Waiting);
    }
}
