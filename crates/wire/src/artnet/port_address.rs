//! The 15-bit number that Art-Net has for a universe.

use std::fmt;

use super::Error;

/// Net, sub-net and universe in one number: net * 256 + sub-net * 16 + universe, 0 to 32,767 (the
/// protocol's site).
///
/// Nothing standard ties this number to the universes of ANSI E1.31. Here a Port-Address is the
/// universe's number, as far as it goes. Number 0 is legal but discouraged (from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PortAddress(u16);

impl PortAddress {
    /// The highest Port-Address.
    pub const LAST: Self = Self(0x7fff);

    /// By its number.
    ///
    /// # Errors
    /// [`Error::PortAddress`] above 32,767.
    pub const fn new(number: u16) -> Result<Self, Error> {
        if number <= Self::LAST.0 { Ok(Self(number)) } else { Err(Error::PortAddress(number)) }
    }

    /// The whole number, 0 to 32,767.
    #[must_use]
    pub const fn get(self) -> u16 {
        self.0
    }

    /// The net, 0 to 127: the byte `Net` of a packet.
    #[must_use]
    pub const fn net(self) -> u8 {
        self.0.to_be_bytes()[0]
    }

    /// Sub-net in the high four bits, universe in the low: the byte `SubUni` of a packet.
    #[must_use]
    pub const fn sub_uni(self) -> u8 {
        self.0.to_be_bytes()[1]
    }
}

impl fmt::Display for PortAddress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// (0,1,0) and (127,15,15) by the site's formula; (1,2,3) from a node manual's table.
    #[test]
    fn net_sub_net_and_universe_make_the_number() {
        for (number, net, sub_uni) in [(16, 0, 0x10), (291, 1, 0x23), (32_767, 127, 0xff)] {
            let address = PortAddress::new(number).unwrap();
            assert_eq!((address.net(), address.sub_uni()), (net, sub_uni));
            assert_eq!(address.get(), number);
        }
        assert_eq!(PortAddress::new(0x8000), Err(Error::PortAddress(0x8000)));
    }
}
