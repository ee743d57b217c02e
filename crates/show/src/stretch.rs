//! Pixels side by side that are scaled alike, from light to bytes.

use crate::dither::{Row, SIDE};

/// Pixels of one row and one area.
pub(crate) struct Stretch<'a, const N: usize> {
    light: &'a [[u16; 3]],
    bytes: &'a mut [[u8; N]],
    /// Of each channel, in 65,536ths.
    gains: [u32; 4],
    /// From the first of these pixels on.
    thresholds: &'a [[u16; N]; SIDE],
}

/// One channel's level in 256ths of a byte step: the high byte is what can be sent, the low byte is
/// what rounding leaves over.
#[inline(always)]
pub(crate) fn level(value: u16, gain: u32) -> u16 {
    ((u32::from(value) * gain) >> 16) as u16
}

impl<'a, const N: usize> Stretch<'a, N> {
    /// As many pixels as both have, the first of them in `column` of the picture.
    pub(crate) fn new(
        light: &'a [[u16; 3]],
        bytes: &'a mut [[u8; N]],
        gains: [u32; 4],
        thresholds: &'a Row<N>,
        column: usize,
    ) -> Self {
        let from = thresholds.split_at(column % SIDE).1;
        // A row holds the thresholds twice.
        let thresholds = from.first_chunk().unwrap_or(&[[0x80; N]; SIDE]);
        Self { light, bytes, gains, thresholds }
    }

    /// Any pixel to what its channels give, and that to bytes: `byte` is given the channel, its light,
    /// its gain and its threshold.
    #[inline(always)]
    pub(crate) fn write(
        self,
        lit: impl Fn([u16; 3]) -> [u16; 4],
        byte: impl Fn(usize, u16, u32, u16) -> u8,
    ) {
        for (light, bytes) in self.light.chunks(SIDE).zip(self.bytes.chunks_mut(SIDE)) {
            for ((light, bytes), thresholds) in light.iter().zip(bytes).zip(self.thresholds) {
                let lit = lit(*light);
                for (channel, to) in bytes.iter_mut().enumerate() {
                    let gain = self.gains[channel];
                    *to = byte(channel, lit[channel], gain, thresholds[channel]);
                }
            }
        }
    }
}

/// Values that are scaled side by side: sixteen pixels of three.
const LANES: usize = 3 * SIDE;

impl Stretch<'_, 3> {
    /// Red, green and blue as they are: sixteen pixels at a time, in 16 bits throughout.
    pub(crate) fn write_plain(self) {
        let [red, green, blue, _] = self.gains.map(|gain| gain as u16);
        let gains = [[red, green, blue]; SIDE];
        let gains: &[u16; LANES] = gains.as_flattened().first_chunk().unwrap_or(&[0; LANES]);
        let thresholds = self.thresholds.as_flattened().first_chunk().unwrap_or(&[0x80; LANES]);
        let light = self.light.as_flattened().as_chunks::<LANES>();
        let bytes = self.bytes.as_flattened_mut().as_chunks_mut::<LANES>();
        for (light, bytes) in light.0.iter().zip(bytes.0) {
            scale(light, bytes, gains, thresholds);
        }
        scale(light.1, bytes.1, gains, thresholds);
    }
}

#[inline(always)]
fn scale(light: &[u16], bytes: &mut [u8], gains: &[u16; LANES], thresholds: &[u16; LANES]) {
    for (((to, value), gain), threshold) in bytes.iter_mut().zip(light).zip(gains).zip(thresholds) {
        // At most 255.0 and 255 of 256ths.
        *to = ((level(*value, u32::from(*gain)) + threshold) >> 8) as u8;
    }
}
