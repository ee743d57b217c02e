//! Lengths of solids, so small that none matters and so even that single precision holds them.

use std::ops::{Add, Mul, Sub};

use glowloom_units::{CubicMetres, Metres};

/// How many to a millimetre: a power of two, so that STL's 32-bit numbers and short decimals hold
/// every coordinate up to 512 mm without rounding.
const PER_MILLIMETRE: i64 = 32_768;

/// A length in 1/32,768 mm, about 30 nm. Sizes of solids are whole numbers of it: what is drawn,
/// what is written and what is computed agree to the last digit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Grains(pub i64);

impl Grains {
    /// The nearest to a length. Lengths of a wall file, 1000 m at most, are far within range.
    #[must_use]
    pub fn of(length: Metres) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "saturates far beyond any wall")]
        #[expect(clippy::cast_precision_loss, reason = "32,768")]
        Self((length.0 * 1000.0 * PER_MILLIMETRE as f64).round() as i64)
    }

    /// The nearest to half of a length: what has this on either side is symmetrical.
    #[must_use]
    pub fn half_of(length: Metres) -> Self {
        Self::of(length / 2.0)
    }

    /// In millimetres, exactly.
    #[must_use]
    pub fn millimetres(self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "below 2^53 for any wall")]
        let (grains, one) = (self.0 as f64, PER_MILLIMETRE as f64);
        grains / one
    }

    /// As a length.
    #[must_use]
    pub fn metres(self) -> Metres {
        Metres(self.millimetres() / 1000.0)
    }

    /// This long, that wide, that high.
    #[must_use]
    pub fn volume(self, wide: Self, high: Self) -> Volume {
        Volume(i128::from(self.0) * i128::from(wide.0) * i128::from(high.0))
    }
}

impl Add for Grains {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Grains {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Mul<u32> for Grains {
    type Output = Self;
    fn mul(self, times: u32) -> Self {
        Self(self.0 * i64::from(times))
    }
}

/// A volume in cubic grains, exactly.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Volume(pub i128);

impl Volume {
    /// As a volume.
    #[must_use]
    pub fn cubic_metres(self) -> CubicMetres {
        #[expect(clippy::cast_precision_loss, reason = "a relative 1e-16")]
        let (grains, one) = (self.0 as f64, PER_MILLIMETRE as f64);
        // Dividing by a power of two rounds nothing.
        CubicMetres(grains / (one * one * one) / 1e9)
    }
}

impl Add for Volume {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Volume {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Mul<u32> for Volume {
    type Output = Self;
    fn mul(self, times: u32) -> Self {
        Self(self.0 * i128::from(times))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_is_kept_to_a_fraction_of_a_micrometre() {
        for metres in [0.0004, 0.0002, 1.0 / 30.0, 0.2199, 0.5] {
            let back = Grains::of(Metres(metres)).metres();
            assert!((back.0 - metres).abs() <= 0.5e-3 / 32_768.0 + 1e-15, "{metres}");
        }
        assert_eq!(Grains::of(Metres(0.001)), Grains(32_768));
        assert_eq!(Grains::half_of(Metres(0.001)), Grains(16_384));
    }

    /// What the choice of this unit is for.
    #[test]
    fn single_precision_and_decimals_hold_every_coordinate() {
        for grains in (0..512 * PER_MILLIMETRE).step_by(1009) {
            let exact = Grains(grains).millimetres();
            #[expect(clippy::cast_possible_truncation, reason = "that is the question")]
            let single = exact as f32;
            assert_eq!(f64::from(single).to_bits(), exact.to_bits());
            assert_eq!(exact.to_string().parse::<f64>().unwrap().to_bits(), exact.to_bits());
        }
    }

    #[test]
    fn a_cubic_millimetre() {
        let one = Grains::of(Metres(0.001));
        assert_eq!(one.volume(one, one).cubic_metres(), CubicMetres(1e-9));
    }
}
