//! How long a frame takes on its way down a data line.

use glowloom_design::catalogue::strip::Signal;
use glowloom_design::wall::Strip;
use glowloom_units::Seconds;

/// Zero bits ahead of a clocked frame, and the step that its tail is rounded up to: whole bytes of
/// the shift register that sends them, four at a time (common practice, no source).
const CLOCKED_START_BITS: u64 = 32;

/// Bits that leave the pin for one frame of that many pixels, spare ones included.
///
/// One-wire: the pixels' bits. Clocked: 32 zero bits, the pixels' bits, the chip's own tail bits,
/// and half a clock for each pixel, rounded up to 32 (agreeing secondary sources on the APA102).
#[must_use]
pub fn bits(strip: &Strip, pixels: u32) -> u64 {
    let pixels = u64::from(pixels);
    let light = pixels * u64::from(strip.bits_per_pixel);
    match strip.signal {
        Signal::OneWire => light,
        Signal::Clocked { tail_bits } => {
            let clocks = pixels.div_ceil(2).next_multiple_of(CLOCKED_START_BITS);
            CLOCKED_START_BITS + light + u64::from(tail_bits) + clocks
        }
    }
}

/// The time from the start of one frame to that of the next, on a line of that many pixels.
#[must_use]
pub fn frame_seconds(strip: &Strip, pixels: u32) -> Seconds {
    #[expect(clippy::cast_precision_loss, reason = "a line has fewer than 2^53 bits")]
    let bits = bits(strip, pixels) as f64;
    strip.bit_seconds * bits + strip.reset_seconds
}
