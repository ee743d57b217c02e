//! The network boards and how frames reach them.

use std::net::IpAddr;

use glowloom_units::{Amps, Hertz, Metres, Volts};

/// How frames reach a receiver.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Link {
    /// A network cable, 100 Mbit/s.
    Ethernet,
    /// 802.11n, one 20 MHz channel.
    Wifi,
    /// A serial port over USB.
    Usb,
}

impl Link {
    /// As the wall file has it.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Ethernet => "ethernet",
            Self::Wifi => "wifi",
            Self::Usb => "usb",
        }
    }
}

/// How frames are put into packets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Protocol {
    /// ANSI E1.31.
    E131,
    /// Art-Net 4.
    ArtNet,
    /// DDP.
    Ddp,
}

impl Protocol {
    /// As the wall file has it.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::E131 => "e1.31",
            Self::ArtNet => "art-net",
            Self::Ddp => "ddp",
        }
    }

    /// The UDP port of the protocol: E1.31-2018 Appendix A, Art-Net 4, the DDP specification.
    #[must_use]
    pub fn port(self) -> u16 {
        match self {
            Self::E131 => 5568,
            Self::ArtNet => 6454,
            Self::Ddp => 4048,
        }
    }
}

/// How a 3.3 V pin meets a 5 V strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DataLevel {
    /// A level shifter.
    Shifter,
    /// A first pixel on a lower supply re-shapes the signal.
    SparePixel,
    /// Not at all.
    None,
}

/// What a board does when frames stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnLoss {
    /// Goes dark.
    Black,
    /// Keeps the last frame.
    Keep,
    /// Glows dimly.
    Glow,
}

/// Where a panel's receiver is.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Address {
    /// No address in the file: a virtual panel at this port of 127.0.0.1.
    Virtual {
        /// 15567 + k for the k-th panel of the file, k from 1.
        port: u16,
    },
    /// A host name or address.
    Host {
        /// As written, without brackets and port.
        host: String,
        /// As written, else the protocol's own.
        port: u16,
    },
}

impl Address {
    /// Name or address, and port, as two panels are told apart by: names without case, addresses
    /// in one form, `localhost` as 127.0.0.1.
    #[must_use]
    pub fn identity(&self) -> (String, u16) {
        match self {
            Self::Virtual { port } => ("127.0.0.1".into(), *port),
            Self::Host { host, port } => {
                let host = match host.parse::<IpAddr>() {
                    Ok(ip) => ip.to_canonical().to_string(),
                    Err(_) => host.trim_end_matches('.').to_lowercase(),
                };
                (if host == "localhost" { "127.0.0.1".into() } else { host }, *port)
            }
        }
    }
}

/// `[receiver]` of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Receiver {
    /// Catalogue key, or `own figures`.
    pub board: String,
    /// How frames can reach the board.
    pub links: Vec<Link>,
    /// Pins that can drive a data line at the same time.
    pub data_pins: u32,
    /// High level of a pin.
    pub pin_volts: Volts,
    /// Packets that it takes in without loss, a second.
    pub packets_per_second: Hertz,
    /// How frames reach it.
    pub link: Link,
    /// How frames are put into packets.
    pub protocol: Protocol,
    /// 24 or 16.
    pub colour_bits: u32,
    /// Wanted.
    pub frames_per_second: Hertz,
    /// How its pin meets the strip.
    pub data_level: DataLevel,
    /// From the receiver to the first pixel.
    pub data_lead: Metres,
    /// Drawn by the receiver, from the panel's supply.
    pub amps: Amps,
    /// When frames stop.
    pub on_loss: OnLoss,
    /// The serial port, for USB.
    pub port: Option<String>,
    /// Bits a second, for USB.
    pub baud: u32,
    /// Of synchronization packets; no panel's.
    pub sync_universe: u16,
}
