//! Which of the three packets some bytes are.

use super::data::{self, Data};
use super::discovery::{self, Discovery};
use super::layer::{
    self, FRAMING_DATA, FRAMING_DISCOVERY, FRAMING_SYNC, ROOT_DATA, ROOT_EXTENDED, field, u32_at,
};
use super::sync::{self, Sync};
use super::{Error, Layer};

/// The three packets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Slots of a universe.
    Data,
    /// Show now.
    Sync,
    /// Universes of a sender.
    Discovery,
}

impl Kind {
    /// Looks no further than the two vectors that tell.
    ///
    /// # Errors
    /// [`Error::Short`] below 44 bytes, [`Error::Preamble`], [`Error::Identifier`], or
    /// [`Error::Vector`] of a packet that is none of the three.
    pub fn of(bytes: &[u8]) -> Result<Self, Error> {
        let wanted = field::FRAMING_VECTOR.end;
        if bytes.len() < wanted {
            return Err(Error::Short { wanted, found: bytes.len() });
        }
        layer::check_preamble(bytes)?;
        let root = u32_at(&bytes[field::ROOT_VECTOR]);
        let framing = u32_at(&bytes[field::FRAMING_VECTOR]);
        match (root, framing) {
            (ROOT_DATA, FRAMING_DATA) => Ok(Self::Data),
            (ROOT_EXTENDED, FRAMING_SYNC) => Ok(Self::Sync),
            (ROOT_EXTENDED, FRAMING_DISCOVERY) => Ok(Self::Discovery),
            (ROOT_DATA | ROOT_EXTENDED, found) => {
                Err(Error::Vector { layer: Layer::Framing, found })
            }
            (found, _) => Err(Error::Vector { layer: Layer::Root, found }),
        }
    }
}

/// Any packet as it is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Any<'a> {
    /// Slots of a universe.
    Data(Data<'a>),
    /// Show now.
    Sync(Sync),
    /// Universes of a sender.
    Discovery(Discovery<'a>),
}

impl<'a> Any<'a> {
    /// Reads and judges whatever was received.
    ///
    /// # Errors
    /// What is wrong first, in the order of the bytes.
    pub fn parse(bytes: &'a [u8]) -> Result<Self, Error> {
        Ok(match Kind::of(bytes)? {
            Kind::Data => Self::Data(Data::parse(&data::Packet::new_checked(bytes)?)?),
            Kind::Sync => Self::Sync(Sync::parse(&sync::Packet::new_checked(bytes)?)?),
            Kind::Discovery => {
                Self::Discovery(Discovery::parse(&discovery::Packet::new_checked(bytes)?)?)
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::e131::golden;
    use proptest::prelude::*;

    #[test]
    fn packets_are_told_apart() {
        assert_eq!(Any::parse(&golden::DATA), Ok(Any::Data(golden::data())));
        assert_eq!(Any::parse(&golden::SYNC), Ok(Any::Sync(golden::sync())));
        assert_eq!(Kind::of(&golden::DISCOVERY), Ok(Kind::Discovery));
        assert!(matches!(Any::parse(&golden::DISCOVERY), Ok(Any::Discovery(_))));
    }

    #[test]
    fn what_is_none_of_them_is_named() {
        let mut other = golden::SYNC;
        other[43] = 3;
        assert_eq!(Kind::of(&other), Err(Error::Vector { layer: Layer::Framing, found: 3 }));
        other[21] = 5;
        assert_eq!(Kind::of(&other), Err(Error::Vector { layer: Layer::Root, found: 5 }));
        other[4] = 0;
        assert_eq!(Kind::of(&other), Err(Error::Identifier));
        other[1] = 0;
        assert_eq!(Kind::of(&other), Err(Error::Preamble));
        assert_eq!(Kind::of(&other[..43]), Err(Error::Short { wanted: 44, found: 43 }));
    }

    proptest! {
        #[test]
        fn no_bytes_panic(
            bytes in prop::collection::vec(any::<u8>(), 0..200),
            which in 0..3usize,
            start in 0..=49usize,
        ) {
            let golden = [&golden::DATA[..], &golden::SYNC, &golden::DISCOVERY][which];
            let bytes: Vec<u8> = golden[..start].iter().copied().chain(bytes).collect();
            let parsed = Any::parse(&bytes);
            if let Err(error) = Kind::of(&bytes) {
                prop_assert_eq!(parsed, Err(error));
            }
        }
    }
}
