//! A receiver in software: the packets of one panel in, the light of its pixels out.
//!
//! No socket, no clock: bytes, their sender and the time come in as values. It judges packets as a
//! real receiver does, and is told by nobody how the sender lays them out: it knows the panel's
//! data lines and the rules of the protocol.

#[cfg(all(test, feature = "core"))]
mod against_core;
mod answers;
mod artnet;
mod canvas;
mod ddp;
mod e131;
mod numbers;
#[cfg(test)]
mod off_by_one;
#[cfg(test)]
mod testing;
mod universes;

use std::net::SocketAddr;
use std::time::Duration;

use glowloom_wire::e131::{Any, Priority, SourceName};
use glowloom_wire::patch::{Common, PanelPatch, Protocol};

pub(crate) use answers::Answers;
use canvas::Canvas;

/// What a receiver does when frames stop.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OnLoss {
    /// All pixels go dark.
    #[default]
    Black,
    /// The last picture stays.
    Keep,
    /// All pixels glow faintly, so that one sees that the panel has power.
    Glow,
}

/// What came of a packet, or of time going by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Event {
    /// Nothing to see.
    Nothing,
    /// Some pixels changed, but the frame is not whole yet.
    Drawn,
    /// A frame is shown.
    Shown {
        /// How many frames were sent since the one shown before, as far as the packets' numbers
        /// tell: 1 if none was lost.
        frames: u64,
    },
    /// Frames have stopped, and the pixels show what is set for that.
    Lost,
}

/// Whether a receiver gets frames.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum State {
    /// Not yet.
    #[default]
    Waiting,
    /// Yes.
    Live,
    /// Not any more.
    Lost,
}

/// Another sender than the one that is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Other {
    /// Where it sends from.
    pub from: SocketAddr,
    /// Its name and priority (ANSI E1.31 only).
    pub named: Option<(SourceName, Priority)>,
    /// When its last packet came.
    pub at: Duration,
}

/// What a receiver has counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Packets that arrived, whatever they were.
    pub packets: u64,
    /// Packets that never came, by the gaps in the numbers of those that did.
    pub lost: u64,
    /// Packets thrown away because a newer one had come before, or that came twice.
    pub late: u64,
    /// Packets that are malformed, or for a universe or bytes that the panel does not have.
    pub wrong: u64,
    /// Packets that are well formed and not meant for light: previews, other START codes, queries of DDP,
    /// synchronization without data.
    pub ignored: u64,
    /// Packets of other senders than the one that is shown.
    pub strangers: u64,
    /// Frames shown.
    pub shown: u64,
}

#[derive(Debug)]
enum Rules {
    E131(e131::Rules),
    ArtNet(artnet::Rules),
    Ddp(ddp::Rules),
}

/// The receiver of one panel.
#[derive(Debug)]
pub struct Receiver {
    rules: Rules,
    canvas: Canvas,
    counts: Counts,
    on_loss: OnLoss,
    state: State,
    from: Option<SocketAddr>,
    other: Option<Other>,
}

impl Receiver {
    /// A receiver that has heard nothing yet; all its pixels are dark.
    #[must_use]
    pub fn new(common: &Common, panel: &PanelPatch, on_loss: OnLoss) -> Self {
        let rules = match common.protocol {
            Protocol::E131 => Rules::E131(e131::Rules::new(common, panel)),
            Protocol::ArtNet => Rules::ArtNet(artnet::Rules::new(common, panel)),
            Protocol::Ddp => Rules::Ddp(ddp::Rules::new(common, panel)),
        };
        Self {
            rules,
            canvas: Canvas::new(common, panel),
            counts: Counts::default(),
            on_loss,
            state: State::Waiting,
            from: None,
            other: None,
        }
    }

    /// Takes a packet that came at `now`, a time that never steps back.
    pub fn packet(&mut self, now: Duration, from: SocketAddr, bytes: &[u8]) -> Event {
        self.counts.packets += 1;
        let strangers = self.counts.strangers;
        let (canvas, counts) = (&mut self.canvas, &mut self.counts);
        let verdict = match &mut self.rules {
            Rules::E131(rules) => rules.packet(now, bytes, canvas, counts),
            Rules::ArtNet(rules) => rules.packet(now, from.ip(), bytes, canvas, counts),
            Rules::Ddp(rules) => rules.packet(now, from.ip(), bytes, canvas, counts),
        };
        if self.counts.strangers > strangers {
            let named = self.named(bytes);
            self.other = Some(Other { from, named, at: now });
        }
        match verdict {
            Verdict::NotOurs => return Event::Nothing,
            Verdict::Ended => return self.lose(),
            Verdict::Taken | Verdict::Drawn | Verdict::Shown { .. } => {
                self.state = State::Live;
                self.from = Some(from);
            }
        }
        match verdict {
            Verdict::Drawn => Event::Drawn,
            Verdict::Shown { frames } => {
                self.counts.shown += 1;
                Event::Shown { frames }
            }
            _ => Event::Nothing,
        }
    }

    /// Lets time go by without a packet.
    pub fn wait(&mut self, now: Duration) -> Event {
        let silent = match &mut self.rules {
            Rules::E131(rules) => rules.silent(now),
            Rules::ArtNet(rules) => rules.silent(now),
            Rules::Ddp(rules) => rules.silent(now),
        };
        if silent { self.lose() } else { Event::Nothing }
    }

    /// What a packet of another sender says of it.
    fn named(&self, bytes: &[u8]) -> Option<(SourceName, Priority)> {
        match (&self.rules, Any::parse(bytes)) {
            (Rules::E131(_), Ok(Any::Data(data))) => {
                Some((data.header.source, data.header.priority))
            }
            _ => None,
        }
    }

    fn lose(&mut self) -> Event {
        self.state = State::Lost;
        self.from = None;
        self.canvas.lose(self.on_loss);
        Event::Lost
    }

    /// Whether frames come in.
    #[must_use]
    pub const fn state(&self) -> State {
        self.state
    }

    /// Who sends the frames that are shown.
    #[must_use]
    pub const fn from(&self) -> Option<SocketAddr> {
        self.from
    }

    /// The last other sender whose frames came and were not shown.
    #[must_use]
    pub const fn other(&self) -> Option<Other> {
        self.other
    }

    /// What has been counted.
    #[must_use]
    pub const fn counts(&self) -> Counts {
        self.counts
    }

    /// The light of all pixels: data line after data line, spares included, slots of a pixel
    /// together.
    #[must_use]
    pub fn lit(&self) -> &[u8] {
        self.canvas.lit()
    }

    /// Copies the light of the pixels to where they are in the picture, whose size is that of
    /// [`Patch::frame_bytes`](glowloom_wire::Patch::frame_bytes).
    pub fn draw(&self, picture: &mut [u8]) {
        self.canvas.draw(picture);
    }
}

/// What the rules of a protocol say to a packet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Verdict {
    /// Counted, and nothing more.
    NotOurs,
    /// From the sender that is shown, held for later.
    Taken,
    /// The same, and some pixels changed.
    Drawn,
    /// The same, and a frame is shown.
    Shown { frames: u64 },
    /// The sender ends its stream.
    Ended,
}

#[cfg(test)]
mod tests {
    use super::testing::{common, panel};
    use super::*;
    use proptest::prelude::*;

    /// Beginnings of good packets, so that bad bytes get deep: data of universe 5, a
    /// synchronization packet, ArtDmx and DDP for the panel.
    fn beginnings() -> Vec<Vec<u8>> {
        use glowloom_wire::{artnet, ddp, e131};
        let universe = e131::Universe::new(5).unwrap();
        let mut data = vec![7; 132];
        let header =
            e131::data::Header::new(e131::Cid([1; 16]), e131::SourceName::new("x"), universe);
        e131::data::emit_header(&header, 6, &mut data).unwrap();
        let mut sync = vec![0; 49];
        e131::sync::Sync { cid: header.cid, sequence: 0, address: universe }
            .emit(&mut sync)
            .unwrap();
        let mut dmx = vec![7; 24];
        let address = artnet::PortAddress::new(5).unwrap();
        let header =
            artnet::dmx::Header { sequence: artnet::Sequence::FIRST, physical: 0, address };
        artnet::dmx::emit_header(&header, 6, &mut dmx).unwrap();
        let mut bytes = vec![7; 20];
        let header = ddp::Header::new(ddp::DataType::RGB, 516, true);
        ddp::emit_header(&header, 6, &mut bytes).unwrap();
        vec![data, sync, dmx, bytes]
    }

    proptest! {
        #[test]
        fn no_packet_does_harm(
            packets in prop::collection::vec(
                (0..4usize, 0..=132usize, prop::collection::vec(any::<u8>(), 0..40), 0..4000u64),
                1..40,
            ),
            which in 0..3usize,
        ) {
            let protocol = [Protocol::E131, Protocol::ArtNet, Protocol::Ddp][which];
            let mut receiver = Receiver::new(&common(protocol), &panel(), OnLoss::Black);
            let (mut now, mut shown) = (Duration::ZERO, 0);
            let beginnings = beginnings();
            let count = packets.len() as u64;
            for (beginning, kept, rest, wait) in packets {
                now += Duration::from_millis(wait);
                if receiver.wait(now) == Event::Lost {
                    prop_assert!(receiver.lit().iter().all(|&byte| byte == 0));
                }
                let good = &beginnings[beginning];
                let bytes = [&good[..kept.min(good.len())], &rest].concat();
                let from = SocketAddr::from(([192, 0, 2, 7], 1));
                let event = receiver.packet(now, from, &bytes);
                shown += u64::from(matches!(event, Event::Shown { .. }));
            }
            let counts = receiver.counts();
            prop_assert_eq!((counts.packets, counts.shown), (count, shown));
            prop_assert!(counts.wrong + counts.ignored + counts.late + counts.strangers <= count);
            receiver.draw(&mut []);
        }
    }
}
