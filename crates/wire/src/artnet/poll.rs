//! ArtPoll: who is there? A sender asks every 2.5 to 3 s (the protocol's site).

use super::Error;
use super::head;

/// The kind of this packet.
pub const OP_CODE: u16 = 0x2000;

/// Bytes of the packet as sent; longer ones are taken.
pub const SIZE: usize = 14;

/// Where each field of an ArtPoll packet lies.
pub mod field {
    pub use super::super::head::field::*;

    /// How to answer.
    pub const FLAGS: usize = 12;
    /// The lowest priority of diagnostic messages wanted.
    pub const PRIORITY: usize = 13;
}

/// An ArtPoll packet over any bytes.
#[derive(Clone, Copy, Debug)]
pub struct Packet<T>(T);

impl<T: AsRef<[u8]>> Packet<T> {
    /// After `Ok`, no getter panics. Nothing but the size is looked at.
    ///
    /// # Errors
    /// [`Error::Short`] below 14 bytes.
    pub fn new_checked(bytes: T) -> Result<Self, Error> {
        head::check_size(bytes.as_ref(), SIZE)?;
        Ok(Self(bytes))
    }

    /// How to answer.
    pub fn flags(&self) -> u8 {
        self.0.as_ref()[field::FLAGS]
    }

    /// The lowest priority of diagnostic messages wanted.
    pub fn priority(&self) -> u8 {
        self.0.as_ref()[field::PRIORITY]
    }
}

/// An ArtPoll packet as it is meant.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Poll {
    /// How to answer: bit 1 reply on change, 2 diagnostics, 3 diagnostics by unicast, 4 no visible
    /// light, 5 targeted.
    pub flags: u8,
    /// The lowest priority of diagnostic messages wanted.
    pub priority: u8,
}

impl Poll {
    /// Reply whenever something changes, not only when asked.
    pub const ON_CHANGE: u8 = 1 << 1;

    /// Judges a packet.
    ///
    /// # Errors
    /// What is wrong first, in the order of the bytes.
    pub fn parse<T: AsRef<[u8]>>(packet: &Packet<T>) -> Result<Self, Error> {
        head::check(packet.0.as_ref(), OP_CODE)?;
        Ok(Self { flags: packet.flags(), priority: packet.priority() })
    }

    /// Writes the packet and gives its size, 14.
    ///
    /// # Errors
    /// [`Error::Buffer`] where `to` has fewer than 14 bytes.
    pub fn emit(self, to: &mut [u8]) -> Result<usize, Error> {
        head::check_buffer(to, SIZE)?;
        head::emit(to, OP_CODE);
        to[field::FLAGS] = self.flags;
        to[field::PRIORITY] = self.priority;
        Ok(SIZE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::artnet::golden;
    use proptest::prelude::*;

    fn parse(bytes: &[u8]) -> Result<Poll, Error> {
        Poll::parse(&Packet::new_checked(bytes)?)
    }

    #[test]
    fn there_and_back() {
        let poll = Poll { flags: Poll::ON_CHANGE, priority: 0 };
        let mut bytes = [0xa5; 15];
        assert_eq!(poll.emit(&mut bytes), Ok(14));
        assert_eq!(bytes[..14], golden::POLL);
        assert_eq!(bytes[14], 0xa5);
        assert_eq!(parse(&golden::POLL), Ok(poll));
        assert_eq!(parse(&bytes), Ok(poll));
        for size in 0..SIZE {
            let short = Error::Short { wanted: 14, found: size };
            assert_eq!(parse(&golden::POLL[..size]), Err(short));
        }
        assert_eq!(poll.emit(&mut [0; 13]), Err(Error::Buffer { wanted: 14, found: 13 }));
    }

    proptest! {
        #[test]
        fn what_is_sent_arrives(flags: u8, priority: u8, dirt: u8) {
            let poll = Poll { flags, priority };
            let mut bytes = [dirt; SIZE];
            poll.emit(&mut bytes).unwrap();
            prop_assert_eq!(parse(&bytes), Ok(poll));
        }
    }
}
