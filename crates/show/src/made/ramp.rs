//! Colours between colours.

use crate::srgb::linear;

/// A colour in linear light, 0 to 1 each.
pub(crate) type Rgb = [f32; 3];

/// An sRGB colour written as 0xRRGGBB, in linear light.
pub(crate) fn rgb(code: u32) -> Rgb {
    let [_, red, green, blue] = code.to_be_bytes();
    [red, green, blue].map(|byte| f32::from(linear(byte)) / 65_535.0)
}

/// `share` of the way from one colour to another, in linear light.
pub(crate) fn mix(from: Rgb, to: Rgb, share: f32) -> Rgb {
    std::array::from_fn(|k| from[k] + (to[k] - from[k]) * share)
}

/// A colour as a frame holds it.
pub(crate) fn values(colour: Rgb) -> [u16; 3] {
    colour.map(|value| (value.clamp(0.0, 1.0) * 65_535.0 + 0.5) as u16)
}

/// 0 below `from`, 1 above `to`, smooth between.
pub(crate) fn smooth(from: f32, to: f32, at: f32) -> f32 {
    let t = ((at - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// A row of colours to pick from, 0 to 1.
#[derive(Clone, Debug)]
pub(crate) struct Ramp<const N: usize>([Rgb; N]);

impl<const N: usize> Ramp<N> {
    /// Evenly spaced sRGB colours, each 0xRRGGBB.
    pub(crate) fn new(codes: [u32; N]) -> Self {
        Self(codes.map(rgb))
    }

    /// The colour at `share`, 0 to 1, in linear light.
    pub(crate) fn at(&self, share: f32) -> Rgb {
        let place = share.clamp(0.0, 1.0) * (N - 1) as f32;
        let below = (place as usize).min(N - 1);
        let above = (below + 1).min(N - 1);
        mix(self.0[below], self.0[above], place - below as f32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ramp_goes_through_its_colours() {
        let ramp = Ramp::new([0x00_00_00, 0xFF_00_00, 0xFF_FF_FF]);
        assert_eq!(ramp.at(0.0), [0.0; 3]);
        assert_eq!(ramp.at(0.5), [1.0, 0.0, 0.0]);
        assert_eq!(ramp.at(0.25), [0.5, 0.0, 0.0]);
        assert_eq!(ramp.at(2.0), [1.0; 3]);
    }

    #[test]
    fn smooth_rises_once() {
        assert_eq!(
            [0.0, 1.0, 1.5, 2.0, 3.0].map(|x| smooth(1.0, 2.0, x)),
            [0.0, 0.0, 0.5, 1.0, 1.0]
        );
    }
}
