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
