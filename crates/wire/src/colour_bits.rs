//! How many bits a colour takes, and the two-byte form of one.
//!
//! Two bytes hold red, green and blue in 5, 6 and 5 bits, high byte first. Packing rounds so that
//! what a receiver unpacks is never brighter than what was packed: a ceiling holds across the line.

/// How many bits a pixel's red, green and blue take together on a serial link.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ColourBits {
    /// A byte each.
    TwentyFour,
    /// Two bytes for all three: red 5, green 6, blue 5 bits.
    Sixteen,
}

/// Red, green and blue in two bytes, each rounded down.
#[must_use]
pub const fn pack(colour: [u8; 3]) -> [u8; 2] {
    let [red, green, blue] = colour;
    let bits = (narrow(red, 5) << 11) | (narrow(green, 6) << 5) | narrow(blue, 5);
    bits.to_be_bytes()
}

/// Red, green and blue as a receiver shows them: the bits again, from the top, fill the byte.
#[must_use]
pub const fn unpack(bytes: [u8; 2]) -> [u8; 3] {
    let bits = u16::from_be_bytes(bytes);
    [widen(bits >> 11, 5), widen((bits >> 5) & 0x3f, 6), widen(bits & 0x1f, 5)]
}

/// The greatest number of so many bits that does not widen above the byte.
const fn narrow(byte: u8, bits: u32) -> u16 {
    let top = byte as u16 >> (8 - bits);
    if widen(top, bits) > byte { top - 1 } else { top }
}

/// A byte from a number of 5 or 6 bits; its low bits are the number's top bits again.
const fn widen(number: u16, bits: u32) -> u8 {
    ((number << (8 - bits)) | (number >> (2 * bits - 8))) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bits_lie_as_5_6_5() {
        assert_eq!(pack([255, 0, 0]), [0xf8, 0x00]);
        assert_eq!(pack([0, 255, 0]), [0x07, 0xe0]);
        assert_eq!(pack([0, 0, 255]), [0x00, 0x1f]);
        assert_eq!(unpack([0xff, 0xff]), [255; 3]);
        assert_eq!(unpack([0x80, 0x00]), [0x84, 0, 0]);
    }

    #[test]
    fn unpacked_is_never_brighter_and_never_a_step_darker() {
        for byte in 0..=u8::MAX {
            let [red, green, blue] = unpack(pack([byte; 3]));
            // Neighbours lie 8 or 9 apart, with six bits 4 or 5.
            for (shown, step) in [(red, 9), (green, 5), (blue, 9)] {
                assert!(shown <= byte && byte - shown < step, "{byte} became {shown}");
            }
        }
    }

    #[test]
    fn what_was_shown_packs_to_itself() {
        for bits in 0..=u16::MAX {
            assert_eq!(pack(unpack(bits.to_be_bytes())), bits.to_be_bytes());
        }
    }
}
