//! The colour of letters and of what is behind them.

use crate::srgb;

/// A colour in linear light: red, green, blue, 0 to 65,535.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Light(pub [u16; 3]);

impl Light {
    /// No light.
    pub const BLACK: Self = Self([0; 3]);
    /// All of it.
    pub const WHITE: Self = Self([srgb::FULL; 3]);

    /// The light of a colour of 8-bit sRGB codes.
    #[must_use]
    pub fn of_codes(codes: [u8; 3]) -> Self {
        Self(codes.map(srgb::linear))
    }

    /// Between this (`share` 0) and another (`share` 1).
    pub(crate) fn towards(self, other: Self, share: f64) -> Self {
        let share = share.clamp(0.0, 1.0);
        let mix = |from: u16, to: u16| {
            let (from, to) = (f64::from(from), f64::from(to));
            (from + (to - from) * share).round() as u16
        };
        Self(std::array::from_fn(|n| mix(self.0[n], other.0[n])))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_way_is_half_of_the_light() {
        assert_eq!(Light::BLACK.towards(Light::WHITE, 0.5), Light([32_768; 3]));
        assert_eq!(Light::WHITE.towards(Light::BLACK, 7.0), Light::BLACK);
        // 188 is half of full light (IEC 61966-2-1, worked out by hand: 0.503).
        let [red, green, blue] = Light::of_codes([0, 188, 255]).0;
        assert_eq!((red, green / 100, blue), (0, 329, 65_535));
    }
}
