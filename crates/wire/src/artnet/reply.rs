//! ArtPollReply: here I am, and these are my Port-Addresses. A node sends one for each four of them.
//!
//! Layout to byte 212 as the dissector of tshark 4.0.17 reads it; what lies behind, and that a reply
//! may end at byte 207, is from memory. A reply has no protocol version.

use std::ops::Range;

use super::head;
use super::text::Text;
use super::{Error, PORT, PortAddress};

/// The kind of this packet.
pub const OP_CODE: u16 = 0x2100;

/// Bytes of the packet as sent.
pub const SIZE: usize = 239;

/// The fewest bytes that are taken: up to the hardware address.
pub const LEAST: usize = 207;

/// Port-Addresses that one reply can name.
pub const PORTS: usize = 4;

/// Where each field of an ArtPollReply packet lies.
pub mod field {
    use super::Range;

    /// The node's IPv4 address.
    pub const IP: Range<usize> = 10..14;
    /// Its UDP port, low byte first.
    pub const PORT: Range<usize> = 14..16;
    /// Version of its program.
    pub const FIRMWARE: Range<usize> = 16..18;
    /// Bits 14 to 8 of its Port-Addresses.
    pub const NET: usize = 18;
    /// Bits 7 to 4 of them.
    pub const SUB_NET: usize = 19;
    /// Maker and model.
    pub const OEM: Range<usize> = 20..22;
    /// Maker, low byte first.
    pub const ESTA: Range<usize> = 24..26;
    /// A short name.
    pub const SHORT_NAME: Range<usize> = 26..44;
    /// A long name.
    pub const LONG_NAME: Range<usize> = 44..108;
    /// How the node is, in words.
    pub const REPORT: Range<usize> = 108..172;
    /// How many ports there are, 0 to 4.
    pub const PORT_COUNT: Range<usize> = 172..174;
    /// What each port is.
    pub const PORT_TYPES: Range<usize> = 174..178;
    /// How each output is.
    pub const GOOD_OUTPUT: Range<usize> = 182..186;
    /// Bits 3 to 0 of the Port-Address of each output.
    pub const OUTPUTS: Range<usize> = 190..194;
    /// What kind of device it is.
    pub const STYLE: usize = 200;
    /// Its hardware address.
    pub const MAC: Range<usize> = 201..207;
    /// Which of its replies this is, from 1.
    pub const BIND_INDEX: usize = 211;
    /// What it can do.
    pub const STATUS_2: usize = 212;
}

/// A port that puts out what it gets from the network.
const CAN_OUTPUT: u8 = 0x80;
/// An output that transmits.
const TRANSMITS: u8 = 0x80;
/// Status 2, bit 3: Port-Addresses have 15 bits (from memory).
const FIFTEEN_BITS: u8 = 0x08;
/// The code for makers that are not registered (the dissector's table).
const OEM_UNKNOWN: u16 = 0x00ff;
/// The code for prototypes (the dissector's table).
const ESTA_PROTOTYPE: u16 = 0x7ff0;

/// What kind of device answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// Makes light of what it gets.
    Node,
    /// Sends.
    Controller,
    /// Another of the protocol's many.
    Other(u8),
}

impl Style {
    /// Codes as the dissector of tshark 4.0.17 has them.
    const fn code(self) -> u8 {
        match self {
            Self::Node => 0,
            Self::Controller => 1,
            Self::Other(code) => code,
        }
    }

    const fn of(code: u8) -> Self {
        match code {
            0 => Self::Node,
            1 => Self::Controller,
            other => Self::Other(other),
        }
    }
}

/// An ArtPollReply packet over any bytes.
#[derive(Clone, Copy, Debug)]
pub struct Packet<T>(T);

impl<T: AsRef<[u8]>> Packet<T> {
    /// After `Ok`, no getter panics. Nothing but the size is looked at.
    ///
    /// # Errors
    /// [`Error::Short`] below 207 bytes.
    pub fn new_checked(bytes: T) -> Result<Self, Error> {
        head::check_size(bytes.as_ref(), LEAST)?;
        Ok(Self(bytes))
    }

    fn at(&self, field: Range<usize>) -> &[u8] {
        &self.0.as_ref()[field]
    }

    /// The node's IPv4 address, as it says.
    pub fn ip(&self) -> [u8; 4] {
        let bytes = self.at(field::IP);
        [bytes[0], bytes[1], bytes[2], bytes[3]]
    }

    /// How many ports there are; above four in a bad packet.
    pub fn port_count(&self) -> u16 {
        head::u16_at(self.at(field::PORT_COUNT))
    }

    /// The Port-Address of an output, 0 to 3; `None` for a port that puts nothing out, and for a
    /// net above 127.
    ///
    /// # Panics
    /// Where there is no such port.
    pub fn output(&self, port: usize) -> Option<PortAddress> {
        let bytes = self.0.as_ref();
        let number = u16::from_be_bytes([
            bytes[field::NET],
            (bytes[field::SUB_NET] << 4) | (self.at(field::OUTPUTS)[port] & 0x0f),
        ]);
        let puts_out = self.at(field::PORT_TYPES)[port] & CAN_OUTPUT != 0;
        let there = port < self.port_count().into();
        (puts_out && there).then(|| PortAddress::new(number).ok()).flatten()
    }

    /// Which of the node's replies this is; 0 where it does not say.
    pub fn bind_index(&self) -> u8 {
        self.0.as_ref().get(field::BIND_INDEX).copied().unwrap_or(0)
    }
}

/// An ArtPollReply packet as it is meant, as far as it matters for pictures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reply {
    /// The node's IPv4 address.
    pub ip: [u8; 4],
    /// Version of its program.
    pub firmware: u16,
    /// A short name.
    pub short_name: Text<18>,
    /// A long name.
    pub long_name: Text<64>,
    /// How it is, in words.
    pub report: Text<64>,
    /// The Port-Addresses that it puts out. To be sent, all of one net and sub-net, and none after
    /// a `None`.
    pub outputs: [Option<PortAddress>; PORTS],
    /// What kind of device it is.
    pub style: Style,
    /// Its hardware address; zeros where it does not say.
    pub mac: [u8; 6],
    /// Which of its replies this is, from 1; 0 where it does not say.
    pub bind_index: u8,
}

impl Reply {
    /// Judges a packet.
    ///
    /// # Errors
    /// What is wrong first, in the order of the bytes.
    pub fn parse<T: AsRef<[u8]>>(packet: &Packet<T>) -> Result<Self, Error> {
        let bytes = packet.0.as_ref();
        let found = head::op_code(bytes)?;
        if found != OP_CODE {
            return Err(Error::OpCode(found));
        }
        if packet.port_count() > PORTS as u16 {
            return Err(Error::Ports(packet.port_count()));
        }
        let mac = packet.at(field::MAC);
        Ok(Self {
            ip: packet.ip(),
            firmware: head::u16_at(packet.at(field::FIRMWARE)),
            short_name: Text::from_field(packet.at(field::SHORT_NAME)),
            long_name: Text::from_field(packet.at(field::LONG_NAME)),
            report: Text::from_field(packet.at(field::REPORT)),
            outputs: std::array::from_fn(|port| packet.output(port)),
            style: Style::of(bytes[field::STYLE]),
            mac: [mac[0], mac[1], mac[2], mac[3], mac[4], mac[5]],
            bind_index: packet.bind_index(),
        })
    }

    /// Writes the packet and gives its size, 239.
    ///
    /// # Errors
    /// [`Error::Buffer`] where `to` has fewer bytes; [`Error::Outputs`] where the outputs cannot
    /// stand in one reply.
    pub fn emit(&self, to: &mut [u8]) -> Result<usize, Error> {
        head::check_buffer(to, SIZE)?;
        let count = self.outputs.iter().take_while(|port| port.is_some()).count();
        let first = self.outputs[0].map_or(0, PortAddress::get) >> 4;
        let fits = |port: &PortAddress| port.get() >> 4 == first;
        if self.outputs[count..].iter().any(Option::is_some)
            || !self.outputs.iter().flatten().all(fits)
        {
            return Err(Error::Outputs);
        }
        let to = &mut to[..SIZE];
        to.fill(0);
        head::emit_kind(to, OP_CODE);
        to[field::IP].copy_from_slice(&self.ip);
        to[field::PORT].copy_from_slice(&PORT.to_le_bytes());
        to[field::FIRMWARE].copy_from_slice(&self.firmware.to_be_bytes());
        to[field::NET] = (first >> 4) as u8;
        to[field::SUB_NET] = (first & 0x0f) as u8;
        to[field::OEM].copy_from_slice(&OEM_UNKNOWN.to_be_bytes());
        to[field::ESTA].copy_from_slice(&ESTA_PROTOTYPE.to_le_bytes());
        to[field::SHORT_NAME].copy_from_slice(self.short_name.field());
        to[field::LONG_NAME].copy_from_slice(self.long_name.field());
        to[field::REPORT].copy_from_slice(self.report.field());
        to[field::PORT_COUNT].copy_from_slice(&(count as u16).to_be_bytes());
        for (nth, port) in self.outputs.iter().flatten().enumerate() {
            to[field::PORT_TYPES.start + nth] = CAN_OUTPUT;
            to[field::GOOD_OUTPUT.start + nth] = TRANSMITS;
            to[field::OUTPUTS.start + nth] = port.sub_uni() & 0x0f;
        }
        to[field::STYLE] = self.style.code();
        to[field::MAC].copy_from_slice(&self.mac);
        to[field::BIND_INDEX] = self.bind_index;
        to[field::STATUS_2] = FIFTEEN_BITS;
        Ok(SIZE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn reply() -> Reply {
        let port = |number| PortAddress::new(number).ok();
        Reply {
            ip: [192, 0, 2, 51],
            firmware: 0x0102,
            short_name: Text::new("west"),
            long_name: Text::new("Tidewall west"),
            report: Text::new("#0001 [0000] live"),
            outputs: [port(0x0123), port(0x0124), None, None],
            style: Style::Controller,
            mac: [2, 0, 0, 0, 0, 7],
            bind_index: 1,
        }
    }

    fn emitted(reply: &Reply) -> [u8; SIZE] {
        let mut bytes = [0xa5; SIZE];
        assert_eq!(reply.emit(&mut bytes), Ok(SIZE));
        bytes
    }

    fn parse(bytes: &[u8]) -> Result<Reply, Error> {
        Reply::parse(&Packet::new_checked(bytes)?)
    }

    /// Every byte that is not zero, by hand from the field list.
    #[test]
    fn there_and_back() {
        let mut golden = [0; SIZE];
        let mut put = |at: usize, bytes: &[u8]| golden[at..at + bytes.len()].copy_from_slice(bytes);
        put(0, b"Art-Net\0\x00\x21");
        put(10, &[192, 0, 2, 51, 0x36, 0x19, 0x01, 0x02, 0x01, 0x02, 0x00, 0xff]);
        put(24, &[0xf0, 0x7f]);
        put(26, b"west");
        put(44, b"Tidewall west");
        put(108, b"#0001 [0000] live");
        put(172, &[0, 2, 0x80, 0x80]);
        put(182, &[0x80, 0x80]);
        put(190, &[3, 4]);
        put(200, &[1]);
        put(201, &[2, 0, 0, 0, 0, 7]);
        put(211, &[1, 8]);
        assert_eq!(emitted(&reply()), golden);
        assert_eq!(parse(&golden), Ok(reply()));
        // An older node's reply ends with the hardware address.
        assert_eq!(parse(&golden[..207]), Ok(Reply { bind_index: 0, ..reply() }));
        for size in 0..207 {
            assert_eq!(parse(&golden[..size]), Err(Error::Short { wanted: 207, found: size }));
        }
        let small = reply().emit(&mut [0; 238]);
        assert_eq!(small, Err(Error::Buffer { wanted: 239, found: 238 }));
    }

    #[test]
    fn what_is_wrong_is_named() {
        let broken = |at: usize, byte: u8| {
            let mut bytes = emitted(&reply());
            bytes[at] = byte;
            parse(&bytes)
        };
        assert_eq!(broken(0, b'a'), Err(Error::Identifier));
        assert_eq!(broken(9, 0x20), Err(Error::OpCode(0x2000)));
        assert_eq!(broken(173, 5), Err(Error::Ports(5)));
        assert_eq!(broken(172, 1), Err(Error::Ports(0x102)));
        // A net above 127 has no Port-Address, an input none that is put out.
        assert_eq!(broken(18, 0x80).unwrap().outputs, [None; 4]);
        assert_eq!(broken(174, 0x40).unwrap().outputs[..2], [None, reply().outputs[1]]);
        let port = |number| PortAddress::new(number).ok();
        let outputs = [port(15), port(16), None, None];
        let refused = Reply { outputs, ..reply() }.emit(&mut [0; SIZE]);
        assert_eq!(refused, Err(Error::Outputs));
        let outputs = [None, port(16), None, None];
        let refused = Reply { outputs, ..reply() }.emit(&mut [0; SIZE]);
        assert_eq!(refused, Err(Error::Outputs));
    }

    proptest! {
        #[test]
        fn what_is_sent_arrives(first in 0..=2047u16, count in 0..=4usize, ip: [u8; 4], mac: [u8; 6]) {
            let outputs = std::array::from_fn(|nth| {
                (nth < count).then(|| PortAddress::new(first * 16 + 3 * nth as u16).ok()).flatten()
            });
            let reply = Reply { outputs, ip, mac, ..reply() };
            prop_assert_eq!(parse(&emitted(&reply)), Ok(reply));
        }

        #[test]
        fn no_bytes_panic(bytes in prop::collection::vec(any::<u8>(), 197..260)) {
            let bytes = [&b"Art-Net\0\x00\x21"[..], &bytes].concat();
            if let Ok(reply) = parse(&bytes) {
                let _ = (reply.short_name.as_str(), reply.report.as_str());
            }
        }
    }
}
