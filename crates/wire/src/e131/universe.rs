//! The number of a universe.

use std::fmt;
use std::net::Ipv4Addr;

use super::Error;

/// The number of a universe that carries data or synchronization: 1 to 63,999 (E1.31-2018, 9.1.1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Universe(u16);

impl Universe {
    /// The lowest universe.
    pub const FIRST: Self = Self(1);
    /// The highest universe.
    pub const LAST: Self = Self(63_999);

    /// A universe by its number.
    ///
    /// # Errors
    /// [`Error::Universe`] outside 1 to 63,999.
    pub const fn new(number: u16) -> Result<Self, Error> {
        if number >= Self::FIRST.0 && number <= Self::LAST.0 {
            Ok(Self(number))
        } else {
            Err(Error::Universe(number))
        }
    }

    /// Its number, 1 to 63,999.
    #[must_use]
    pub const fn get(self) -> u16 {
        self.0
    }

    /// The IPv4 group of this universe: 239.255.high.low (E1.31-2018, 9.3.1). Synchronization
    /// packets go to the group of their address.
    #[must_use]
    pub const fn multicast(self) -> Ipv4Addr {
        multicast(self.0)
    }
}

/// The group of any number, the one for discovery included.
pub(super) const fn multicast(number: u16) -> Ipv4Addr {
    let [high, low] = number.to_be_bytes();
    Ipv4Addr::new(239, 255, high, low)
}

impl TryFrom<u16> for Universe {
    type Error = Error;

    fn try_from(number: u16) -> Result<Self, Error> {
        Self::new(number)
    }
}

impl fmt::Display for Universe {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_end_at_63999() {
        for number in 0..=u16::MAX {
            let good = number != 0 && number < 64_000;
            let wanted = if good { Ok(number) } else { Err(Error::Universe(number)) };
            assert_eq!(Universe::new(number).map(Universe::get), wanted);
        }
    }

    /// E1.31-2018, 9.3.1, as quoted by open implementations.
    #[test]
    fn each_universe_has_a_group() {
        let cases = [(1, [0, 1]), (255, [0, 255]), (256, [1, 0]), (7000, [27, 88])];
        for (number, [high, low]) in cases.into_iter().chain([(63_999, [249, 255])]) {
            let group = Universe::new(number).unwrap().multicast();
            assert_eq!(group, Ipv4Addr::new(239, 255, high, low));
        }
    }
}
