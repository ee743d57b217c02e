//! What the tests of all three protocols share.

use std::net::SocketAddr;
use std::time::Duration;

use glowloom_wire::patch::{Address, Channels, Common, Line, PanelPatch, Protocol};

use super::{Event, OnLoss, Receiver};

/// A frame is shown, and none was lost before it.
pub(super) const SHOWN: Event = Event::Shown { frames: 1 };

/// A panel of two data lines: a spare and 171 pixels on universes 1 and 2 (1 picture row of 171),
/// and two pixels on universe 5.
pub(super) fn panel() -> PanelPatch {
    let line = |first_universe, byte_offset, pixels| Line { first_universe, byte_offset, pixels };
    let first = std::iter::once(None).chain((0..171).map(Some)).collect();
    PanelPatch {
        name: "west".into(),
        address: Address::Virtual { port: 15568 },
        lines: vec![line(1, 0, first), line(5, 516, vec![Some(172), Some(171)])],
    }
}

pub(super) fn common(protocol: Protocol) -> Common {
    Common {
        columns: 173,
        rows: 1,
        channels: Channels::Three,
        protocol,
        ceiling: 200,
        sync_universe: 9,
    }
}

/// A receiver and the time.
pub(super) struct Bench {
    pub receiver: Receiver,
    now: Duration,
}

impl Bench {
    pub fn new(protocol: Protocol, on_loss: OnLoss) -> Self {
        let receiver = Receiver::new(&common(protocol), &panel(), on_loss);
        Self { receiver, now: Duration::from_secs(1000) }
    }

    pub fn wait(&mut self, millis: u64) -> Event {
        self.now += Duration::from_millis(millis);
        self.receiver.wait(self.now)
    }

    pub fn hear(&mut self, packet: &[u8]) -> Event {
        self.hear_from([192, 0, 2, 7], packet)
    }

    pub fn hear_from(&mut self, ip: [u8; 4], packet: &[u8]) -> Event {
        self.receiver.packet(self.now, SocketAddr::from((ip, 4000)), packet)
    }

    /// Three slots of a pixel, counted over both lines.
    pub fn pixel(&self, nth: usize) -> [u8; 3] {
        self.receiver.lit()[nth * 3..][..3].try_into().unwrap()
    }

    /// The picture, of which only bytes that a panel shows are other than 77.
    pub fn picture(&self) -> Vec<u8> {
        let mut picture = vec![77; 173 * 3];
        self.receiver.draw(&mut picture);
        picture
    }
}
