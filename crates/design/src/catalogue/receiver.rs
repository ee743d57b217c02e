//! Network boards that turn frames into the signal of the strip.

use glowloom_units::{Hertz, Volts};

use super::{Figure, MEMORY, SOFT, figure};
use crate::wall::Link;

/// A receiver as catalogued.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReceiverPart {
    /// The board's type.
    pub key: &'static str,
    /// How frames can reach it.
    pub links: &'static [Link],
    /// Pins that can drive a data line at the same time.
    pub data_pins: Figure<u32>,
    /// High level of a pin.
    pub pin_volts: Figure<Volts>,
    /// Packets that it takes in without loss, a second.
    pub packets_per_second: Figure<Hertz>,
}

/// Every receiver, in the order to offer them.
pub const ALL: &[ReceiverPart] = &[
    ReceiverPart {
        key: "esp8266",
        links: &[Link::Wifi, Link::Usb],
        data_pins: figure(
            1,
            "one data output of its serial port drives a strip by itself; from memory",
        ),
        pin_volts: figure(Volts(3.3), MEMORY),
        packets_per_second: figure(Hertz(1000.0), SOFT),
    },
    ReceiverPart {
        key: "esp32",
        links: &[Link::Wifi, Link::Usb],
        data_pins: figure(8, "eight remote-control channels; from memory"),
        pin_volts: figure(Volts(3.3), MEMORY),
        packets_per_second: figure(Hertz(2500.0), SOFT),
    },
    ReceiverPart {
        key: "esp32-ethernet",
        links: &[Link::Ethernet, Link::Wifi, Link::Usb],
        data_pins: figure(8, "eight remote-control channels; from memory"),
        pin_volts: figure(Volts(3.3), MEMORY),
        packets_per_second: figure(Hertz(5000.0), SOFT),
    },
];

/// The receiver of that key.
#[must_use]
pub fn find(key: &str) -> Option<&'static ReceiverPart> {
    ALL.iter().find(|part| part.key == key)
}
