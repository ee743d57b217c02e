//! How much of its light each pixel keeps, so that pixels far from a feed do not look dimmer than those near
//! one.

/// How much of its light each colour of a pixel keeps: red, green, blue and white, in 128ths. The steps are
/// finer than an eye tells apart side by side, and few enough that many pixels have the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Evened([u8; 4]);

impl Evened {
    /// All of it.
    pub const ALL: Self = Self([Self::FULL; 4]);

    const FULL: u8 = 128;

    /// The nearest steps to shares of 0 to 1; what lies outside counts as the nearer end, what is not a number
    /// as 0.
    #[must_use]
    pub fn nearest(shares: [f64; 4]) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 128")]
        let step = |share: f64| (share.clamp(0.0, 1.0) * f64::from(Self::FULL)).round() as u8;
        Self(shares.map(step))
    }

    /// Red, green, blue and white, 0 to 1 each; white means nothing on strips of three colours.
    #[must_use]
    pub fn shares(self) -> [f32; 4] {
        self.0.map(|step| f32::from(step) / f32::from(Self::FULL))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_rounded_to_steps() {
        assert_eq!(Evened::nearest([1.0; 4]), Evened::ALL);
        let found = Evened::nearest([0.5, 0.996, -3.0, f64::NAN]).shares();
        assert_eq!(found, [0.5, 127.0 / 128.0, 0.0, 0.0]);
        assert_eq!(Evened::nearest([7.0; 4]), Evened::ALL);
    }
}
