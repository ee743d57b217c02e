//! ArtDmx: the slots of one Port-Address.
//!
//! A sender writes each header once with [`emit_header`], then for every frame only the slots, from
//! byte [`DATA`] on, and the number by [`set_sequence`].

use super::head::{self, u16_at};
use super::{Error, PortAddress, SLOTS, Sequence};

/// The kind of this packet.
pub const OP_CODE: u16 = 0x5000;

/// Where the slots begin; also the bytes of the header.
pub const DATA: usize = 18;

/// Where each field of an ArtDmx packet lies.
pub mod field {
    use std::ops::Range;

    pub use super::super::head::field::*;

    /// Number of the packet.
    pub const SEQUENCE: usize = 12;
    /// The sender's physical port, for people.
    pub const PHYSICAL: usize = 13;
    /// Sub-net and universe.
    pub const SUB_UNI: usize = 14;
    /// Net.
    pub const NET: usize = 15;
    /// Slots, counted; high byte first.
    pub const LENGTH: Range<usize> = 16..18;
}

/// The slots that a packet for `slots` of them carries: an odd number is padded to even.
#[must_use]
pub const fn padded(slots: usize) -> usize {
    slots + slots % 2
}

/// An ArtDmx packet over any bytes.
#[derive(Clone, Copy, Debug)]
pub struct Packet<T>(T);

impl<T: AsRef<[u8]>> Packet<T> {
    /// After `Ok`, no getter panics. Nothing but the size is looked at.
    ///
    /// # Errors
    /// [`Error::Short`] below 18 bytes, or below what the stated length needs.
    pub fn new_checked(bytes: T) -> Result<Self, Error> {
        head::check_size(bytes.as_ref(), DATA)?;
        let packet = Self(bytes);
        head::check_size(packet.0.as_ref(), DATA + packet.length())?;
        Ok(packet)
    }

    fn length(&self) -> usize {
        u16_at(&self.0.as_ref()[field::LENGTH]).into()
    }

    /// Number of the packet; 0 where the sender does not count.
    pub fn sequence(&self) -> u8 {
        self.0.as_ref()[field::SEQUENCE]
    }

    /// The sender's physical port, for people.
    pub fn physical(&self) -> u8 {
        self.0.as_ref()[field::PHYSICAL]
    }

    /// Where the slots go; above 32,767 in a bad packet.
    pub fn port_address(&self) -> u16 {
        let bytes = self.0.as_ref();
        u16::from_be_bytes([bytes[field::NET], bytes[field::SUB_UNI]])
    }

    /// As many slots as stated.
    pub fn slots(&self) -> &[u8] {
        &self.0.as_ref()[DATA..][..self.length()]
    }
}

/// All of an ArtDmx packet but its slots. If it can be built, it can be sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Header {
    /// Number of the packet.
    pub sequence: Sequence,
    /// The sender's physical port, for people.
    pub physical: u8,
    /// Where the slots go.
    pub address: PortAddress,
}

/// An ArtDmx packet as it is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dmx<'a> {
    /// All but the slots.
    pub header: Header,
    /// 1 to 512 slots; as received an even number, 2 or more.
    pub slots: &'a [u8],
}

impl<'a> Dmx<'a> {
    /// Judges a packet.
    ///
    /// # Errors
    /// What is wrong first, in the order of the bytes. An odd number of slots is refused.
    pub fn parse(packet: &Packet<&'a [u8]>) -> Result<Self, Error> {
        head::check(packet.0, OP_CODE)?;
        let header = Header {
            sequence: Sequence::new(packet.sequence()).unwrap_or_default(),
            physical: packet.physical(),
            address: PortAddress::new(packet.port_address())?,
        };
        let slots = packet.length();
        if !slots.is_multiple_of(2) {
            return Err(Error::Slots(slots));
        }
        check_slots(slots)?;
        Ok(Self { header, slots: &packet.0[DATA..][..slots] })
    }

    /// Writes the packet, an odd number of slots padded with one 0, and gives its size.
    ///
    /// # Errors
    /// [`Error::Slots`] outside 1 to 512; [`Error::Buffer`] where `to` is too small.
    pub fn emit(&self, to: &mut [u8]) -> Result<usize, Error> {
        check_slots(self.slots.len())?;
        let (end, size) = (DATA + self.slots.len(), DATA + padded(self.slots.len()));
        head::check_buffer(to, size)?;
        emit_header(&self.header, self.slots.len(), to)?;
        to[DATA..end].copy_from_slice(self.slots);
        to[end..size].fill(0);
        Ok(size)
    }
}

/// Writes the header of a packet of `slots` slots, rounded up to even: the first 18 bytes of `to`,
/// every one of them. Where `slots` is odd, the caller writes a 0 after the last.
///
/// # Errors
/// [`Error::Slots`] outside 1 to 512; [`Error::Buffer`] where `to` has fewer than 18 bytes.
pub fn emit_header(header: &Header, slots: usize, to: &mut [u8]) -> Result<(), Error> {
    check_slots(slots)?;
    head::check_buffer(to, DATA)?;
    head::emit(to, OP_CODE);
    set_sequence(to, header.sequence);
    to[field::PHYSICAL] = header.physical;
    to[field::SUB_UNI] = header.address.sub_uni();
    to[field::NET] = header.address.net();
    // At most 512.
    to[field::LENGTH].copy_from_slice(&(padded(slots) as u16).to_be_bytes());
    Ok(())
}

/// Renumbers a packet whose header is written.
///
/// # Panics
/// Where `packet` is shorter than a header.
pub fn set_sequence(packet: &mut [u8], sequence: Sequence) {
    packet[field::SEQUENCE] = sequence.get();
}

fn check_slots(slots: usize) -> Result<(), Error> {
    if (1..=SLOTS).contains(&slots) { Ok(()) } else { Err(Error::Slots(slots)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::artnet::golden;
    use proptest::prelude::*;

    fn parse(bytes: &[u8]) -> Result<Dmx<'_>, Error> {
        Dmx::parse(&Packet::new_checked(bytes)?)
    }

    fn dmx() -> Dmx<'static> {
        let header = Header {
            sequence: Sequence::new(3).unwrap(),
            physical: 0,
            address: PortAddress::new(0x0123).unwrap(),
        };
        Dmx { header, slots: &[0xff, 0x00, 0x80, 0x01, 0x02, 0x03] }
    }

    #[test]
    fn there_and_back() {
        let mut bytes = [0xa5; 25];
        assert_eq!(dmx().emit(&mut bytes), Ok(24));
        assert_eq!(bytes[..24], golden::DMX);
        assert_eq!(bytes[24], 0xa5);
        assert_eq!(parse(&golden::DMX), Ok(dmx()));
        // Bytes beyond the stated length are left alone.
        assert_eq!(parse(&bytes), Ok(dmx()));
        set_sequence(&mut bytes, Sequence::FIRST);
        assert_eq!(parse(&bytes).unwrap().header.sequence, Sequence::FIRST);
    }

    #[test]
    fn the_view_reads_what_stands_there() {
        let packet = Packet::new_checked(golden::DMX).unwrap();
        assert_eq!((packet.sequence(), packet.physical(), packet.port_address()), (3, 0, 0x0123));
        assert_eq!(packet.slots(), [0xff, 0x00, 0x80, 0x01, 0x02, 0x03]);
    }

    #[test]
    fn an_odd_number_of_slots_is_padded() {
        let mut bytes = [0xa5; 24];
        let odd = Dmx { slots: &[9, 8, 7], ..dmx() };
        assert_eq!(odd.emit(&mut bytes), Ok(22));
        assert_eq!(bytes[16..23], [0, 4, 9, 8, 7, 0, 0xa5]);
        assert_eq!(parse(&bytes[..22]).unwrap().slots, [9, 8, 7, 0]);
    }

    #[test]
    fn every_part_of_a_packet_is_refused() {
        for size in 0..golden::DMX.len() {
            let wanted = if size < 18 { 18 } else { 24 };
            assert_eq!(parse(&golden::DMX[..size]), Err(Error::Short { wanted, found: size }));
        }
    }

    #[test]
    fn every_broken_field_is_named() {
        let broken = |at: usize, byte: u8| {
            let mut packet = golden::DMX;
            packet[at] = byte;
            parse(&packet).unwrap_err()
        };
        assert_eq!(broken(0, b'a'), Error::Identifier);
        assert_eq!(broken(7, 1), Error::Identifier);
        assert_eq!(broken(9, 0x52), Error::OpCode(0x5200));
        assert_eq!(broken(8, 1), Error::OpCode(0x5001));
        assert_eq!(broken(11, 13), Error::Version(13));
        assert_eq!(broken(15, 0x80), Error::PortAddress(0x8023));
        assert_eq!(broken(17, 5), Error::Slots(5));
        assert_eq!(broken(17, 0), Error::Slots(0));
        let mut long = [0; 18 + 514];
        long[..18].copy_from_slice(&golden::DMX[..18]);
        long[16..18].copy_from_slice(&[2, 2]);
        assert_eq!(parse(&long), Err(Error::Slots(514)));
        let mut newer = golden::DMX;
        newer[11] = 15;
        assert_eq!(parse(&newer), Ok(dmx()));
    }

    /// Every wrong byte of every field, save a later version, which is taken as this one.
    #[test]
    fn every_wrong_byte_shows() {
        for at in 0..golden::DMX.len() {
            for wrong in 1..=u8::MAX {
                let mut packet = golden::DMX;
                packet[at] ^= wrong;
                let later = head::field::VERSION.contains(&at) && packet[10..12] > [0, 14][..];
                assert_eq!(parse(&packet) == Ok(dmx()), later, "{at} {wrong}");
            }
        }
    }

    #[test]
    fn what_cannot_be_sent_is_refused() {
        for slots in [0, 513] {
            let wrong = Dmx { slots: &[0; 513][..slots], ..dmx() };
            assert_eq!(wrong.emit(&mut [0; 600]), Err(Error::Slots(slots)));
            assert_eq!(emit_header(&wrong.header, slots, &mut [0; 600]), Err(Error::Slots(slots)));
        }
        assert_eq!(dmx().emit(&mut [0; 23]), Err(Error::Buffer { wanted: 24, found: 23 }));
        let small = emit_header(&dmx().header, 6, &mut [0; 17]);
        assert_eq!(small, Err(Error::Buffer { wanted: 18, found: 17 }));
    }

    proptest! {
        #[test]
        fn what_is_sent_arrives(
            sequence: u8,
            physical: u8,
            address in 0..=32_767u16,
            slots in prop::collection::vec(any::<u8>(), 1..=512),
            dirt: u8,
        ) {
            let sequence = Sequence::new(sequence).unwrap();
            let header = Header { sequence, physical, address: PortAddress::new(address).unwrap() };
            let mut bytes = [dirt; DATA + 512];
            let size = Dmx { header, slots: &slots }.emit(&mut bytes).unwrap();
            let back = parse(&bytes[..size]).unwrap();
            prop_assert_eq!(back.header, header);
            prop_assert_eq!(&back.slots[..slots.len()], &slots[..]);
            prop_assert!(back.slots[slots.len()..].iter().all(|&pad| pad == 0));
            prop_assert_eq!(back.slots.len(), slots.len().next_multiple_of(2));
        }

        #[test]
        fn no_bytes_panic(
            bytes in prop::collection::vec(any::<u8>(), 0..600),
            start in 0..=17usize,
        ) {
            let bytes: Vec<u8> = golden::DMX[..start].iter().copied().chain(bytes).collect();
            if let Ok(packet) = Packet::new_checked(&bytes[..]) {
                let _ = (packet.sequence(), packet.physical(), packet.port_address());
                prop_assert!(packet.slots().len() + DATA <= bytes.len());
                let _ = Dmx::parse(&packet);
            }
        }
    }
}
