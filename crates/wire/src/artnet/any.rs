//! Which packet some bytes are.

use super::Error;
use super::dmx::{self, Dmx};
use super::head::{self, field};
use super::poll::{self, Poll};
use super::reply::{self, Reply};
use super::sync::{self, Sync};

/// The packets that are known here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Slots of a Port-Address.
    Dmx,
    /// Show now.
    Sync,
    /// Who is there?
    Poll,
    /// Here I am.
    Reply,
}

impl Kind {
    /// Looks no further than identifier and kind.
    ///
    /// # Errors
    /// [`Error::Short`] below ten bytes, [`Error::Identifier`], or [`Error::OpCode`] of a packet
    /// that is none of the four: there are many, and a receiver of pictures passes them by.
    pub fn of(bytes: &[u8]) -> Result<Self, Error> {
        head::check_size(bytes, field::OP_CODE.end)?;
        match head::op_code(bytes)? {
            dmx::OP_CODE => Ok(Self::Dmx),
            sync::OP_CODE => Ok(Self::Sync),
            poll::OP_CODE => Ok(Self::Poll),
            reply::OP_CODE => Ok(Self::Reply),
            other => Err(Error::OpCode(other)),
        }
    }
}

/// Any packet as it is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Any<'a> {
    /// Slots of a Port-Address.
    Dmx(Dmx<'a>),
    /// Show now.
    Sync(Sync),
    /// Who is there?
    Poll(Poll),
    /// Here I am.
    Reply(Reply),
}

impl<'a> Any<'a> {
    /// Reads and judges whatever was received.
    ///
    /// # Errors
    /// What is wrong first, in the order of the bytes.
    pub fn parse(bytes: &'a [u8]) -> Result<Self, Error> {
        Ok(match Kind::of(bytes)? {
            Kind::Dmx => Self::Dmx(Dmx::parse(&dmx::Packet::new_checked(bytes)?)?),
            Kind::Sync => Self::Sync(Sync::parse(&sync::Packet::new_checked(bytes)?)?),
            Kind::Poll => Self::Poll(Poll::parse(&poll::Packet::new_checked(bytes)?)?),
            Kind::Reply => Self::Reply(Reply::parse(&reply::Packet::new_checked(bytes)?)?),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::artnet::golden;
    use proptest::prelude::*;

    #[test]
    fn packets_are_told_apart() {
        assert!(matches!(Any::parse(&golden::DMX), Ok(Any::Dmx(_))));
        assert_eq!(Any::parse(&golden::SYNC), Ok(Any::Sync(Sync)));
        let poll = Poll { flags: Poll::ON_CHANGE, priority: 0 };
        assert_eq!(Any::parse(&golden::POLL), Ok(Any::Poll(poll)));
        let mut reply = golden::POLL;
        reply[9] = 0x21;
        assert_eq!(Kind::of(&reply), Ok(Kind::Reply));
        reply[9] = 0x22;
        assert_eq!(Kind::of(&reply), Err(Error::OpCode(0x2200)));
        assert_eq!(Kind::of(&reply[..9]), Err(Error::Short { wanted: 10, found: 9 }));
    }

    proptest! {
        #[test]
        fn no_bytes_panic(
            bytes in prop::collection::vec(any::<u8>(), 0..40),
            which in 0..3usize,
            start in 0..=14usize,
        ) {
            let golden = [&golden::DMX[..], &golden::SYNC, &golden::POLL][which];
            let bytes: Vec<u8> = golden[..start].iter().copied().chain(bytes).collect();
            let parsed = Any::parse(&bytes);
            if let Err(error) = Kind::of(&bytes) {
                prop_assert_eq!(parsed, Err(error));
            }
        }
    }
}
