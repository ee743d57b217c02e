//! Numbers of packets: by universe with ANSI E1.31 and Art-Net, by receiver with DDP.

use glowloom_wire::patch::Protocol;
use glowloom_wire::{artnet, ddp, e131};

/// The last number that has left, of each universe or each receiver.
#[derive(Debug)]
pub(crate) enum Numbering {
    E131(Vec<u8>),
    ArtNet(Vec<artnet::Sequence>),
    Ddp(Vec<ddp::Sequence>),
}

impl Numbering {
    pub fn new(protocol: Protocol) -> Self {
        match protocol {
            Protocol::E131 => Self::E131(Vec::new()),
            Protocol::ArtNet => Self::ArtNet(Vec::new()),
            Protocol::Ddp => Self::Ddp(Vec::new()),
        }
    }

    pub const fn protocol(&self) -> Protocol {
        match self {
            Self::E131(_) => Protocol::E131,
            Self::ArtNet(_) => Protocol::ArtNet,
            Self::Ddp(_) => Protocol::Ddp,
        }
    }

    /// A panel of so many packets, each of another universe.
    pub fn add_panel(&mut self, packets: usize) {
        match self {
            // So that the first is 0.
            Self::E131(last) => last.resize(last.len() + packets, u8::MAX),
            Self::ArtNet(last) => last.resize(last.len() + packets, artnet::Sequence::UNUSED),
            Self::Ddp(last) => last.push(ddp::Sequence::UNUSED),
        }
    }

    /// Goes on from the number of a packet of before, by universes.
    pub fn go_on_packet(&mut self, index: usize, before: &Self, before_index: usize) {
        match (self, before) {
            (Self::E131(last), Self::E131(before)) => last[index] = before[before_index],
            (Self::ArtNet(last), Self::ArtNet(before)) => last[index] = before[before_index],
            _ => {}
        }
    }

    /// Goes on from the number of a receiver of before, where receivers are counted.
    pub fn go_on_panel(&mut self, panel: usize, before: &Self, before_panel: usize) {
        if let (Self::Ddp(last), Self::Ddp(before)) = (self, before) {
            last[panel] = before[before_panel];
        }
    }

    /// The universe of a packet; `None` where the protocol has none.
    pub fn universe(&self, packet: &[u8]) -> Option<[u8; 2]> {
        let field = match self {
            Self::E131(_) => e131::data::field::UNIVERSE,
            Self::ArtNet(_) => artnet::dmx::field::SUB_UNI..artnet::dmx::field::NET + 1,
            Self::Ddp(_) => return None,
        };
        packet.get(field)?.try_into().ok()
    }

    /// Writes the number that a packet has if it is sent, `ahead` packets of its panel before it.
    pub fn write(&self, panel: usize, index: usize, ahead: usize, packet: &mut [u8]) {
        match self {
            Self::E131(last) => e131::data::set_sequence(packet, last[index].wrapping_add(1)),
            Self::ArtNet(last) => artnet::dmx::set_sequence(packet, last[index].next()),
            Self::Ddp(last) => {
                let number = (0..=ahead).fold(last[panel], |number, _| number.next());
                ddp::set_sequence(packet, number);
            }
        }
    }

    /// Notes that a packet has left.
    pub fn note(&mut self, panel: usize, index: usize, packet: &[u8]) {
        match self {
            Self::E131(last) => last[index] = packet[e131::data::field::SEQUENCE],
            Self::ArtNet(last) => {
                let number = packet[artnet::dmx::field::SEQUENCE];
                last[index] = artnet::Sequence::new(number).unwrap_or_default();
            }
            Self::Ddp(last) => {
                let number = packet[ddp::field::SEQUENCE];
                last[panel] = ddp::Sequence::new(number).unwrap_or_default();
            }
        }
    }
}
