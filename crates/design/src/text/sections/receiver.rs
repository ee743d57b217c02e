//! `[receiver]`: the network boards and their link.

use glowloom_units::{Amps, Hertz, Metres, Volts};

use super::{amps, volts};
use crate::text::Written;
use crate::text::keys::{keys, section};
use crate::text::values::Value;
use crate::wall::{DataLevel, Link, OnLoss, Protocol};

/// `board`: a catalogue key, or its figures.
#[derive(Clone, Debug)]
pub enum ReceiverBoard {
    /// Catalogue key.
    Key(String),
    /// The figures themselves.
    Figures(ReceiverFigures),
}

section! {
    /// The figures of a receiver that no catalogue holds.
    ReceiverFigures {
        /// How frames can reach it.
        links: Vec<Written<Link>> = |v| v.list(1..=3, link),
        /// Pins that can drive a data line at the same time.
        data_pins: u32 = |v| v.count(1..=1000),
        /// High level of a pin, V.
        pin_volts: Volts = volts,
        /// Packets that it takes in without loss, a second.
        packets_per_second: Hertz = |v| v.number(1.0..=1e9).map(Hertz),
    }
}

section! {
    /// `[receiver]`
    Receiver {
        /// Catalogue key, such as `"esp8266"`, or `{ links = ["wifi"], data_pins = 4 }`.
        board: ReceiverBoard = receiver_board,
        /// Pins that can drive a data line at the same time; absent: the board's.
        data_pins: u32 = |v| v.count(1..=1000),
        /// High level of a pin, V; absent: the board's.
        pin_volts: Volts = volts,
        /// Packets that it takes in without loss, a second; absent: the board's.
        packets_per_second: Hertz = |v| v.number(1.0..=1e9).map(Hertz),
        /// `"ethernet"`, `"wifi"` or `"usb"`.
        link: Link = link,
        /// `"e1.31"`, `"art-net"` or `"ddp"`.
        protocol: Protocol = |v| v.choice(&[
            ("e1.31", Protocol::E131),
            ("art-net", Protocol::ArtNet),
            ("ddp", Protocol::Ddp),
        ]),
        /// 24, or 16 on USB links.
        colour_bits: u32 = colour_bits,
        /// Frames a second that are wanted.
        frames_per_second: Hertz = |v| v.number(0.1..=1000.0).map(Hertz),
        /// How a 3.3 V pin meets a 5 V strip: `"shifter"`, `"spare pixel"` or `"none"`.
        data_level: DataLevel = |v| v.choice(&[
            ("shifter", DataLevel::Shifter),
            ("spare pixel", DataLevel::SparePixel),
            ("none", DataLevel::None),
        ]),
        /// From the receiver to the first pixel.
        data_lead: Metres = |v| v.measured(|m: Metres| m.0, 0.0..=1000.0),
        /// Drawn by the receiver from the panel's supply, A.
        amps: Amps = amps,
        /// What a board does when frames stop: `"black"`, `"keep"` or `"glow"`.
        on_loss: OnLoss = |v| v.choice(&[
            ("black", OnLoss::Black),
            ("keep", OnLoss::Keep),
            ("glow", OnLoss::Glow),
        ]),
        /// Serial port, USB only.
        port: String = |v| v.text(),
        /// Bits a second, USB only.
        baud: u32 = |v| v.count(300..=100_000_000),
        /// Of synchronization packets; absent: one above the wall's highest.
        sync_universe: u32 = |v| v.count(1..=63_999),
    }
}

fn link(v: Value<'_, '_, '_>) -> Option<Link> {
    v.choice(&[("ethernet", Link::Ethernet), ("wifi", Link::Wifi), ("usb", Link::Usb)])
}

fn colour_bits(mut v: Value<'_, '_, '_>) -> Option<u32> {
    let bits = match v.value.get_ref().as_integer().map(|n| n.as_str()) {
        Some("24") => Some(24),
        Some("16") => Some(16),
        _ => None,
    };
    match bits {
        None if v.is_integer() => v.out_of_range("24, or 16 on USB links"),
        None => v.wrong_type("24, or 16 on USB links"),
        Some(_) => {}
    }
    bits
}

fn receiver_board(v: Value<'_, '_, '_>) -> Option<ReceiverBoard> {
    if v.is_text() {
        return v.text().map(ReceiverBoard::Key);
    }
    v.inline("a catalogue key, or { links = [\"wifi\"], data_pins = 4 }", ReceiverFigures::read)
        .map(ReceiverBoard::Figures)
}
