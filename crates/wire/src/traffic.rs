//! How much goes over a link.

use std::iter::Sum;
use std::ops::{Add, Mul};

/// Packets and their bytes: UDP payloads; on a serial line whole packets with the ENDs of SLIP,
/// but without what escaping adds, since that depends on the picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Traffic {
    /// Packets.
    pub packets: usize,
    /// Bytes in all of them.
    pub bytes: usize,
}

impl Add for Traffic {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { packets: self.packets + other.packets, bytes: self.bytes + other.bytes }
    }
}

/// So many times as much.
impl Mul<usize> for Traffic {
    type Output = Self;

    fn mul(self, times: usize) -> Self {
        Self { packets: self.packets * times, bytes: self.bytes * times }
    }
}

impl Sum for Traffic {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::default(), Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn adds_up() {
        let [one, two] = [(1, 49), (3, 700)].map(|(packets, bytes)| Traffic { packets, bytes });
        assert_eq!([one, two].into_iter().sum::<Traffic>(), Traffic { packets: 4, bytes: 749 });
        assert_eq!(one * 3, Traffic { packets: 3, bytes: 147 });
    }
}
