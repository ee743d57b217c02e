//! What the bytes that drive the panels' LEDs are held to: their channels, their ceiling, and how much
//! of that is wanted.

/// What the LEDs of the wall are made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Channels {
    /// Red, green, blue: three bytes to a pixel.
    #[default]
    Rgb,
    /// Red, green, blue, white: four bytes to a pixel. White takes over what the three colours have
    /// in common (common practice, no source): the smallest of the three, taken out of each.
    Rgbw,
}

impl Channels {
    /// Bytes to a pixel.
    #[must_use]
    pub fn count(self) -> usize {
        match self {
            Self::Rgb => 3,
            Self::Rgbw => 4,
        }
    }
}

/// A share of the ceiling, 0 (dark) to 1 (all that the ceiling allows).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Brightness(f32);

impl Brightness {
    /// Nothing is lit.
    pub const DARK: Self = Self(0.0);
    /// All that the ceiling allows.
    pub const FULL: Self = Self(1.0);

    /// A brightness of `share`; `None` unless it is 0 to 1.
    #[must_use]
    pub fn new(share: f32) -> Option<Self> {
        (0.0..=1.0).contains(&share).then_some(Self(share))
    }

    /// The share, 0 to 1.
    #[must_use]
    pub fn share(self) -> f32 {
        self.0
    }

    /// The brightness one step of `most` nearer to `target`, or `target` if that is not further.
    #[must_use]
    pub(crate) fn towards(self, target: Self, most: f32) -> Self {
        Self(self.0 + (target.0 - self.0).clamp(-most, most))
    }
}

/// How linear light becomes bytes.
///
/// LEDs are dimmed by switching them on and off, so their light is in proportion to the byte: the bytes
/// are linear light scaled to the ceiling, without any curve, unless
/// [`Emitters`](crate::Emitters) say otherwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Finish {
    /// What the LEDs are made of.
    pub channels: Channels,
    /// No byte is ever above this; full light at full brightness is exactly this.
    pub ceiling: u8,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_brightness_is_a_share() {
        for share in [-0.1, 1.1, f32::NAN, f32::INFINITY] {
            assert_eq!(Brightness::new(share), None);
        }
        assert_eq!(Brightness::new(0.25).map(Brightness::share), Some(0.25));
    }
}
