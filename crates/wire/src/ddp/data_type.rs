//! What the bytes of a packet mean.

use crate::ColourBits;
use crate::patch::Channels;

/// What the bytes of a packet mean: bits C R TTT SSS (the specification). C marks a type of one's
/// own; TTT is 0 undefined, 1 RGB, 2 HSL, 3 RGBW, 4 grey; SSS is the bits of an element, 3 for
/// eight and 4 for sixteen.
///
/// The specification's sample sends 1 and many senders 0 for 8-bit RGB, so on receipt TTT alone
/// decides, and undefined is RGB.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DataType(pub u8);

impl DataType {
    /// Red, green, blue, a byte each.
    pub const RGB: Self = Self(0x0b);
    /// Red, green, blue, white, a byte each.
    pub const RGBW: Self = Self(0x1b);
    /// Red, green, blue in two bytes: our own type, for serial links.
    pub const RGB_565: Self = Self(0x8c);
    /// The same and white in a third byte: our own type, for serial links.
    pub const RGB_565_W: Self = Self(0x9c);

    /// The type to send pixels by.
    #[must_use]
    pub const fn of(channels: Channels, bits: ColourBits) -> Self {
        match (channels, bits) {
            (Channels::Three, ColourBits::TwentyFour) => Self::RGB,
            (Channels::Four, ColourBits::TwentyFour) => Self::RGBW,
            (Channels::Three, ColourBits::Sixteen) => Self::RGB_565,
            (Channels::Four, ColourBits::Sixteen) => Self::RGB_565_W,
        }
    }

    /// The pixels that it stands for; `None` for those that no panel takes.
    #[must_use]
    pub const fn pixels(self) -> Option<(Channels, ColourBits)> {
        let channels = match (self.0 >> 3) & 0b111 {
            0 | 1 => Channels::Three,
            3 => Channels::Four,
            _ => return None,
        };
        let own = matches!(self, Self::RGB_565 | Self::RGB_565_W);
        Some((channels, if own { ColourBits::Sixteen } else { ColourBits::TwentyFour }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_sent_is_understood() {
        for channels in [Channels::Three, Channels::Four] {
            for bits in [ColourBits::TwentyFour, ColourBits::Sixteen] {
                assert_eq!(DataType::of(channels, bits).pixels(), Some((channels, bits)));
            }
        }
    }

    /// Types that receivers in use accept, and their meaning by the specification's bit fields.
    #[test]
    fn loose_senders_are_understood() {
        let rgb = Some((Channels::Three, ColourBits::TwentyFour));
        let rgbw = Some((Channels::Four, ColourBits::TwentyFour));
        assert_eq!([0x00, 0x01, 0x0b].map(|byte| DataType(byte).pixels()), [rgb; 3]);
        assert_eq!([0x1a, 0x1b].map(|byte| DataType(byte).pixels()), [rgbw; 2]);
        assert_eq!([0x13, 0x23, 0x3b].map(|byte| DataType(byte).pixels()), [None; 3]);
    }
}
