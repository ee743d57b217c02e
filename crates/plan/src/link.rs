//! The link from the computer to the receivers: bytes, packets and the rate that it carries.
//!
//! Counted for the whole wall. Bytes are UDP payloads, synchronization packets included, one for
//! each receiver; on USB the framing's ENDs are included, escapes not, since they depend on the
//! picture.

use glowloom_design::Wall;
use glowloom_design::wall::{Link, Panel, Protocol};
use glowloom_units::{Hertz, Seconds};
use glowloom_wire::{Carrier, ColourBits};
use serde::Serialize;

use crate::airtime;
use crate::numbering::channels;
use crate::packets;
use crate::patch::protocol;
use crate::path::PanelPath;

/// The link of the whole wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LinkFigures {
    /// `ethernet`, `wifi` or `usb`.
    pub kind: &'static str,
    /// How frames are put into packets; on USB always `ddp`.
    pub protocol: &'static str,
    /// To all receivers.
    pub bytes_per_frame: u64,
    /// To all receivers.
    pub packets_per_frame: u64,
    /// At the wanted rate.
    pub bytes_per_second: BytesPerSecond,
    /// What the link carries.
    pub fps: Hertz,
    /// Of a Wi-Fi channel at the wanted rate.
    pub airtime_share: Option<f64>,
    /// What `fps` is computed with.
    pub model: &'static str,
}

/// A flow of data, bytes a second.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct BytesPerSecond(pub f64);

/// A way for frames to reach the receivers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Way {
    /// What carries them.
    pub link: Link,
    /// How they are put into packets; on USB it is always DDP.
    pub protocol: Protocol,
    /// 24 or 16; counts on USB alone.
    pub colour_bits: u32,
    /// Bits a second, on USB.
    pub baud: u32,
}

impl Way {
    /// As the wall file has it.
    #[must_use]
    pub fn of(wall: &Wall) -> Self {
        let receiver = &wall.receiver;
        Self {
            link: receiver.link,
            protocol: receiver.protocol,
            colour_bits: receiver.colour_bits,
            baud: receiver.baud,
        }
    }
}

/// What one frame sends some way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Traffic {
    /// The way.
    pub way: Way,
    /// To all receivers.
    pub bytes: u64,
    /// To all receivers.
    pub packets: u64,
    /// To the receiver that gets the most.
    pub packets_of_one: u64,
    /// How long the link is taken, all of it: on Wi-Fi all of the channel.
    pub busy: Seconds,
}

/// What one frame of the wall sends that way.
#[must_use]
pub fn traffic(wall: &Wall, way: Way) -> Traffic {
    let mut all = Traffic { way, bytes: 0, packets: 0, packets_of_one: 0, busy: Seconds(0.0) };
    for panel in &wall.panels {
        let sizes = packets_to(wall, panel, way);
        let packets = sizes.len() as u64;
        all.packets += packets;
        all.packets_of_one = all.packets_of_one.max(packets);
        for bytes in sizes {
            all.bytes += bytes;
            all.busy += busy(way, bytes);
        }
    }
    all
}

fn packets_to(wall: &Wall, panel: &Panel, way: Way) -> Vec<u64> {
    let lines: Vec<u32> = PanelPath::of(panel).lines().map(|line| line.pixels()).collect();
    packets::sizes(&lines, carrier(way), channels(&wall.strip))
}

/// The same way in the words of the wire.
fn carrier(way: Way) -> Carrier {
    match (way.link, way.colour_bits) {
        (Link::Usb, 16) => Carrier::Serial(ColourBits::Sixteen),
        (Link::Usb, _) => Carrier::Serial(ColourBits::TwentyFour),
        (Link::Ethernet | Link::Wifi, _) => Carrier::Udp(protocol(way.protocol)),
    }
}

/// Headers of IPv4 and UDP, the Ethernet header with its check sum, preamble and gap: bytes.
const ETHERNET_OVERHEAD: u64 = 28 + 18 + 20;
/// 100BASE-TX, bits a second.
const ETHERNET_BITS: f64 = 100e6;
/// Start bit, eight bits and stop bit: 8N1.
const SERIAL_BITS_PER_BYTE: f64 = 10.0;

/// How long the link is taken by one packet.
fn busy(way: Way, bytes: u64) -> Seconds {
    match way.link {
        Link::Wifi => airtime::of_packet(bytes),
        Link::Ethernet => Seconds(8.0 * number(bytes + ETHERNET_OVERHEAD) / ETHERNET_BITS),
        Link::Usb => Seconds(SERIAL_BITS_PER_BYTE * number(bytes) / f64::from(way.baud)),
    }
}

/// The rate that the link carries: of Wi-Fi, what half the airtime carries.
#[must_use]
pub fn fps(traffic: &Traffic) -> Hertz {
    let share = if traffic.way.link == Link::Wifi { airtime::SHARE_TO_PLAN_ON } else { 1.0 };
    traffic.busy.rate() * share
}

/// The link's figures.
#[must_use]
pub fn figures(wall: &Wall, traffic: &Traffic) -> LinkFigures {
    let (way, wanted) = (traffic.way, wall.receiver.frames_per_second);
    LinkFigures {
        kind: way.link.key(),
        protocol: protocol_key(way),
        bytes_per_frame: traffic.bytes,
        packets_per_frame: traffic.packets,
        bytes_per_second: BytesPerSecond(number(traffic.bytes) * wanted.0),
        fps: fps(traffic),
        airtime_share: (way.link == Link::Wifi).then(|| traffic.busy / wanted.period()),
        model: match way.link {
            Link::Wifi => airtime::MODEL,
            Link::Ethernet => {
                "100 Mbit/s at the sender, IPv4, 66 bytes of headers and gaps a packet"
            }
            Link::Usb => "8N1: ten bit times a byte, one cable for the whole wall",
        },
    }
}

/// The protocol's key: serial links carry DDP, whatever the file says.
#[must_use]
pub fn protocol_key(way: Way) -> &'static str {
    if way.link == Link::Usb { Protocol::Ddp.key() } else { way.protocol.key() }
}

/// What the receiver that gets the most packets takes in; `None` on USB.
#[must_use]
pub fn receiver_fps(wall: &Wall, traffic: &Traffic) -> Option<Hertz> {
    let counted = traffic.way.link != Link::Usb;
    counted.then(|| wall.receiver.packets_per_second / number(traffic.packets_of_one))
}

#[expect(clippy::cast_precision_loss, reason = "a frame has fewer than 2^53 bytes")]
fn number(count: u64) -> f64 {
    count as f64
}
