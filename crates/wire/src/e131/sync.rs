//! The synchronization packet: show now what you hold (E1.31-2018, Table 4-2).

use super::layer::{self, FRAMING_SYNC, ROOT_EXTENDED, u16_at};
use super::{Cid, Error, Universe};

/// Bytes of every synchronization packet.
pub const SIZE: usize = 49;

/// Where each field of a synchronization packet lies.
pub mod field {
    use std::ops::Range;

    pub use super::super::layer::field::*;

    /// Number of the packet.
    pub const SEQUENCE: usize = 44;
    /// The universe that names what is synchronized.
    pub const SYNC_ADDRESS: Range<usize> = 45..47;
    /// Two bytes sent as zero, not looked at on receipt (from memory).
    pub const RESERVED: Range<usize> = 47..49;
}

/// A synchronization packet over any bytes.
#[derive(Clone, Copy, Debug)]
pub struct Packet<T>(T);

impl<T: AsRef<[u8]>> Packet<T> {
    /// After `Ok`, no getter panics. Nothing but the size is looked at.
    ///
    /// # Errors
    /// [`Error::Short`] below 49 bytes, or below what the root layer states.
    pub fn new_checked(bytes: T) -> Result<Self, Error> {
        layer::check_size(bytes.as_ref(), SIZE)?;
        Ok(Self(bytes))
    }

    /// The sender's identity.
    pub fn cid(&self) -> Cid {
        layer::cid(self.0.as_ref())
    }

    /// Number of the packet.
    pub fn sequence(&self) -> u8 {
        self.0.as_ref()[field::SEQUENCE]
    }

    /// What is synchronized; outside 1 to 63,999 in a bad packet.
    pub fn sync_address(&self) -> u16 {
        u16_at(&self.0.as_ref()[field::SYNC_ADDRESS])
    }
}

/// A synchronization packet as it is meant. If it can be built, it can be sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sync {
    /// The sender's identity.
    pub cid: Cid,
    /// Number of the packet, one more than the last to this address; after 255 comes 0.
    pub sequence: u8,
    /// Which data to show: that of packets with this address.
    pub address: Universe,
}

impl Sync {
    /// Judges a packet.
    ///
    /// # Errors
    /// What is wrong first, in the order of the bytes.
    pub fn parse<T: AsRef<[u8]>>(packet: &Packet<T>) -> Result<Self, Error> {
        layer::check_root(packet.0.as_ref(), ROOT_EXTENDED, FRAMING_SYNC)?;
        // The lengths above tie the packet to its end; what follows ties it to its only size.
        layer::check_whole(packet.0.as_ref(), SIZE)?;
        let address = packet.sync_address();
        Ok(Self {
            cid: packet.cid(),
            sequence: packet.sequence(),
            address: Universe::new(address).map_err(|_| Error::SyncAddress(address))?,
        })
    }

    /// Writes the packet and gives its size, 49.
    ///
    /// # Errors
    /// [`Error::Buffer`] where `to` has fewer than 49 bytes.
    pub fn emit(&self, to: &mut [u8]) -> Result<usize, Error> {
        layer::check_buffer(to, SIZE)?;
        layer::emit_root(to, SIZE, ROOT_EXTENDED, FRAMING_SYNC, self.cid);
        set_sequence(to, self.sequence);
        to[field::SYNC_ADDRESS].copy_from_slice(&self.address.get().to_be_bytes());
        to[field::RESERVED].fill(0);
        Ok(SIZE)
    }
}

/// Renumbers a packet that is written.
///
/// # Panics
/// Where `packet` is shorter than 45 bytes.
pub fn set_sequence(packet: &mut [u8], sequence: u8) {
    packet[field::SEQUENCE] = sequence;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::e131::{Layer, golden};
    use proptest::prelude::*;

    fn parse(bytes: &[u8]) -> Result<Sync, Error> {
        Sync::parse(&Packet::new_checked(bytes)?)
    }

    #[test]
    fn there_and_back() {
        let mut bytes = [0xa5; SIZE + 1];
        assert_eq!(golden::sync().emit(&mut bytes), Ok(SIZE));
        assert_eq!(bytes[..SIZE], golden::SYNC);
        assert_eq!(bytes[SIZE], 0xa5);
        assert_eq!(parse(&golden::SYNC), Ok(golden::sync()));
        set_sequence(&mut bytes, 6);
        assert_eq!(parse(&bytes[..SIZE]), Ok(Sync { sequence: 6, ..golden::sync() }));
    }

    #[test]
    fn every_part_of_a_packet_is_refused() {
        for size in 0..SIZE {
            let wanted = Error::Short { wanted: SIZE, found: size };
            assert_eq!(parse(&golden::SYNC[..size]), Err(wanted));
        }
        assert_eq!(golden::sync().emit(&mut [0; 48]), Err(Error::Buffer { wanted: 49, found: 48 }));
    }

    #[test]
    fn every_wrong_byte_shows() {
        for at in 0..field::RESERVED.start {
            for wrong in 1..=u8::MAX {
                let mut packet = golden::SYNC;
                packet[at] ^= wrong;
                assert_ne!(parse(&packet), Ok(golden::sync()), "{at} {wrong}");
            }
        }
    }

    #[test]
    fn every_broken_field_is_named() {
        let broken = |at: usize, bytes: &[u8]| {
            let mut packet = golden::SYNC;
            packet[at..at + bytes.len()].copy_from_slice(bytes);
            parse(&packet).unwrap_err()
        };
        assert_eq!(broken(45, &[0, 0]), Error::SyncAddress(0));
        assert_eq!(broken(45, &[0xfa, 0xd6]), Error::SyncAddress(64_214));
        assert_eq!(broken(18, &[0, 0, 0, 4]), Error::Vector { layer: Layer::Root, found: 4 });
        assert_eq!(broken(40, &[0, 0, 0, 2]), Error::Vector { layer: Layer::Framing, found: 2 });
        assert_eq!(
            broken(39, &[0x0c]),
            Error::Length { layer: Layer::Framing, stated: 12, found: 11 }
        );
        // One byte more, and both lengths say so.
        let mut long = [0; SIZE + 1];
        golden::sync().emit(&mut long).unwrap();
        (long[17], long[39]) = (0x22, 0x0c);
        assert_eq!(parse(&long), Err(Error::Long { wanted: 49, found: 50 }));
    }

    proptest! {
        #[test]
        fn what_is_sent_arrives(
            cid: [u8; 16], sequence: u8, address in 1..=63_999u16, dirt: u8,
        ) {
            let sync = Sync { cid: Cid(cid), sequence, address: Universe::new(address).unwrap() };
            let mut bytes = [dirt; SIZE];
            sync.emit(&mut bytes).unwrap();
            prop_assert_eq!(parse(&bytes), Ok(sync));
        }

        #[test]
        fn no_bytes_panic(
            bytes in prop::collection::vec(any::<u8>(), 0..70),
            start in 0..=SIZE,
        ) {
            let bytes: Vec<u8> = golden::SYNC[..start].iter().copied().chain(bytes).collect();
            if let Ok(packet) = Packet::new_checked(&bytes[..]) {
                let _ = (packet.cid(), packet.sequence(), packet.sync_address());
                let _ = Sync::parse(&packet);
            }
        }
    }
}
