//! How much of its light each panel keeps, so that panels from different rolls look alike.

/// How much of its light each colour of a panel keeps: red, green, blue and white, 0 to 1 each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance([f32; 4]);

impl Balance {
    /// All of it.
    pub const EVEN: Self = Self([1.0; 4]);

    /// `None` unless each share is 0 to 1.
    #[must_use]
    pub fn new(shares: [f32; 4]) -> Option<Self> {
        shares.iter().all(|share| (0.0..=1.0).contains(share)).then_some(Self(shares))
    }

    /// Red, green, blue and white; white means nothing on strips of three colours.
    #[must_use]
    pub fn shares(self) -> [f32; 4] {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_is_0_to_1() {
        assert_eq!(Balance::new([1.0; 4]), Some(Balance::EVEN));
        for wrong in [-0.1, 1.1, f32::NAN] {
            assert_eq!(Balance::new([1.0, wrong, 1.0, 1.0]), None);
        }
    }
}
