//! ArtSync: show now what you hold. Sent after all ArtDmx packets of a frame.

use super::Error;
use super::head;

/// The kind of this packet.
pub const OP_CODE: u16 = 0x5200;

/// Bytes of the packet as sent; longer ones are taken.
pub const SIZE: usize = 14;

/// Where each field of an ArtSync packet lies.
pub mod field {
    use std::ops::Range;

    pub use super::super::head::field::*;

    /// Two bytes sent as zero, not looked at on receipt.
    pub const AUX: Range<usize> = 12..14;
}

/// An ArtSync packet over any bytes. It has no field of its own to get.
#[derive(Clone, Copy, Debug)]
pub struct Packet<T>(T);

impl<T: AsRef<[u8]>> Packet<T> {
    /// Nothing but the size is looked at.
    ///
    /// # Errors
    /// [`Error::Short`] below 14 bytes.
    pub fn new_checked(bytes: T) -> Result<Self, Error> {
        head::check_size(bytes.as_ref(), SIZE)?;
        Ok(Self(bytes))
    }
}

/// An ArtSync packet as it is meant: that it came is all that it says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sync;

impl Sync {
    /// Judges a packet.
    ///
    /// # Errors
    /// What is wrong first, in the order of the bytes.
    pub fn parse<T: AsRef<[u8]>>(packet: &Packet<T>) -> Result<Self, Error> {
        head::check(packet.0.as_ref(), OP_CODE)?;
        Ok(Self)
    }

    /// Writes the packet and gives its size, 14.
    ///
    /// # Errors
    /// [`Error::Buffer`] where `to` has fewer than 14 bytes.
    pub fn emit(self, to: &mut [u8]) -> Result<usize, Error> {
        head::check_buffer(to, SIZE)?;
        head::emit(to, OP_CODE);
        to[field::AUX].fill(0);
        Ok(SIZE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::artnet::golden;

    fn parse(bytes: &[u8]) -> Result<Sync, Error> {
        Sync::parse(&Packet::new_checked(bytes)?)
    }

    #[test]
    fn there_and_back() {
        let mut bytes = [0xa5; 15];
        assert_eq!(Sync.emit(&mut bytes), Ok(14));
        assert_eq!(bytes[..14], golden::SYNC);
        assert_eq!(bytes[14], 0xa5);
        assert_eq!(parse(&golden::SYNC), Ok(Sync));
        assert_eq!(parse(&bytes), Ok(Sync));
        for size in 0..SIZE {
            let short = Error::Short { wanted: 14, found: size };
            assert_eq!(parse(&golden::SYNC[..size]), Err(short));
        }
        assert_eq!(Sync.emit(&mut [0; 13]), Err(Error::Buffer { wanted: 14, found: 13 }));
    }

    #[test]
    fn every_wrong_byte_shows() {
        for at in 0..field::AUX.start {
            for wrong in 1..=u8::MAX {
                let mut packet = golden::SYNC;
                packet[at] ^= wrong;
                let later = field::VERSION.contains(&at) && packet[10..12] > [0, 14][..];
                assert_eq!(parse(&packet).is_ok(), later, "{at} {wrong}");
            }
        }
    }
}
