//! The last stage: linear light to the bytes that the panels' LEDs are driven with.
//!
//! LEDs are dimmed by switching them on and off, so their light is in proportion to the byte: the
//! bytes are linear light scaled to the ceiling, without any curve.

use crate::frame::LinearFrame;
use crate::srgb::FULL;

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

    /// How far red, green, blue and white are on for a pixel of linear light, 0 to 1 of all that the
    /// brightness allows, before rounding to bytes; white 0 where there is none.
    #[must_use]
    pub fn levels(self, [red, green, blue]: [u16; 3]) -> [f64; 4] {
        let white = match self {
            Self::Rgb => 0,
            Self::Rgbw => red.min(green).min(blue),
        };
        let share = |value: u16| f64::from(value) / f64::from(FULL);
        [share(red - white), share(green - white), share(blue - white), share(white)]
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

    /// So much of it, 0 to 1.
    #[must_use]
    pub(crate) fn scaled(self, share: f32) -> Self {
        Self(self.0 * share)
    }

    /// The brightness one step of `most` nearer to `target`, or `target` if that is not further.
    #[must_use]
    pub(crate) fn towards(self, target: Self, most: f32) -> Self {
        Self(self.0 + (target.0 - self.0).clamp(-most, most))
    }
}

/// How linear light becomes bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Finish {
    /// What the LEDs are made of.
    pub channels: Channels,
    /// No byte is ever above this; full light at full brightness is exactly this.
    pub ceiling: u8,
}

impl Finish {
    /// Writes every pixel of `frame` to `bytes`, row-major, rounded to nearest. Writes as many
    /// pixels as both hold.
    pub(crate) fn write(self, brightness: Brightness, frame: &LinearFrame, bytes: &mut [u8]) {
        let gain = self.gain(brightness);
        let byte = |value: u16| round(level(value, gain)).min(self.ceiling);
        match self.channels {
            Channels::Rgb => {
                for (byte_out, &value) in bytes.iter_mut().zip(frame.values()) {
                    *byte_out = byte(value);
                }
            }
            Channels::Rgbw => {
                let (pixels, _) = frame.values().as_chunks::<3>();
                let (out, _) = bytes.as_chunks_mut::<4>();
                for (out, &[red, green, blue]) in out.iter_mut().zip(pixels) {
                    let white = red.min(green).min(blue);
                    *out = [red - white, green - white, blue - white, white].map(byte);
                }
            }
        }
    }

    /// What full light is multiplied by, in [`level`]'s measure: at most 65,281.
    fn gain(self, brightness: Brightness) -> u16 {
        let full = f64::from(brightness.0) * f64::from(self.ceiling) * 256.0;
        (full * 65_536.0 / f64::from(FULL)).round() as u16
    }
}

/// One channel's level in 256ths of a byte step: the high byte is what can be sent, the low byte is
/// what rounding leaves over.
#[inline(always)]
fn level(value: u16, gain: u16) -> u16 {
    ((u32::from(value) * u32::from(gain)) >> 16) as u16
}

/// A level as the nearest byte. At most 255.0 comes in, so that half a step can be added.
#[inline(always)]
fn round(level: u16) -> u8 {
    ((level + 0x80) >> 8) as u8
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bytes(channels: Channels, ceiling: u8, share: f32, pixel: [u16; 3]) -> Vec<u8> {
        let mut frame = LinearFrame::new(1, 1);
        frame.values_mut().copy_from_slice(&pixel);
        let mut bytes = vec![0xA5; channels.count()];
        Finish { channels, ceiling }.write(Brightness::new(share).unwrap(), &frame, &mut bytes);
        bytes
    }

    /// The column "rounded to 8 bit" of the sRGB check values (see `srgb`).
    /// The levels are the bytes before they were rounded.
    #[test]
    fn levels_are_the_bytes_unrounded() {
        for channels in [Channels::Rgb, Channels::Rgbw] {
            for pixel in [[0, 0, 0], [65_535; 3], [65_535, 1000, 30_000], [5, 40_000, 40_000]] {
                let written = bytes(channels, 255, 1.0, pixel);
                for (byte, level) in written.iter().zip(channels.levels(pixel)) {
                    assert!((f64::from(*byte) - 255.0 * level).abs() <= 0.51, "{pixel:?}");
                }
            }
        }
    }

    #[test]
    fn check_values_at_full_brightness() {
        for (code, byte) in
            [(0, 0), (1, 0), (10, 1), (11, 1), (64, 13), (127, 54), (128, 55), (188, 128)]
                .into_iter()
                .chain([(192, 134), (255, 255)])
        {
            let value = crate::srgb::linear(code);
            assert_eq!(bytes(Channels::Rgb, 255, 1.0, [value; 3]), [byte; 3], "code {code}");
        }
    }

    /// Codes 1 to 6 are all below half a step of an 8-bit channel.
    #[test]
    fn the_darkest_codes_are_dark() {
        for code in 1..=6 {
            assert_eq!(bytes(Channels::Rgb, 255, 1.0, [crate::srgb::linear(code); 3]), [0; 3]);
        }
        assert_eq!(bytes(Channels::Rgb, 255, 1.0, [crate::srgb::linear(7); 3]), [1; 3]);
    }

    #[test]
    fn white_takes_over_what_is_common() {
        let [red, green, blue] = [65535, 32896, 13107];
        assert_eq!(bytes(Channels::Rgbw, 255, 1.0, [red, green, blue]), [204, 77, 0, 51]);
        assert_eq!(bytes(Channels::Rgbw, 100, 1.0, [65535; 3]), [0, 0, 0, 100]);
    }

    #[test]
    fn a_brightness_is_a_share() {
        for share in [-0.1, 1.1, f32::NAN, f32::INFINITY] {
            assert_eq!(Brightness::new(share), None);
        }
        assert_eq!(bytes(Channels::Rgb, 255, 0.0, [65535; 3]), [0; 3]);
    }

    proptest! {
        /// Against the rule written plainly in f64: never more than one step away, never above the
        /// ceiling, and exactly the nearest byte unless the value lies within 1/128 of a step of
        /// the border between two.
        #[test]
        fn nearest_and_never_above_the_ceiling(
            value: u16, ceiling: u8, share in 0.0f32..=1.0, white: bool
        ) {
            let wanted = f64::from(value) / 65_535.0 * f64::from(share) * f64::from(ceiling);
            let channels = if white { Channels::Rgbw } else { Channels::Rgb };
            let found = bytes(channels, ceiling, share, [value; 3])[channels.count() - 1];
            prop_assert!(found <= ceiling);
            prop_assert!((f64::from(found) - wanted).abs() <= 0.5 + 1.0 / 128.0);
        }
    }
}
