//! How the bytes of the panels look on a screen.

use crate::emitters::Emitters;
use crate::finish::Channels;
use crate::png::{EncodeError, encode_linear_rgb8};
use crate::srgb;

/// Turns device bytes, which are linear light, into what a screen shows.
#[derive(Clone, Debug)]
pub struct Preview {
    channels: Channels,
    codes: [u8; 256],
    /// Light of each byte, 255 of full.
    lights: [u8; 256],
    /// Of a white LED, in red, green and blue.
    white: [f32; 3],
}

impl Preview {
    /// For a wall of these channels whose bytes are never above `ceiling`: that is shown as full
    /// light, as eyes in the room would see it.
    #[must_use]
    pub fn new(channels: Channels, ceiling: u8) -> Self {
        let full = u32::from(ceiling.max(1));
        let codes = std::array::from_fn(|byte| {
            let light = u32::try_from(byte).unwrap_or(u32::MAX).min(full) * u32::from(srgb::FULL);
            srgb::code(u16::try_from(light / full).unwrap_or(srgb::FULL))
        });
        let lights = std::array::from_fn(|byte| u8::try_from(byte).unwrap_or(u8::MAX));
        Self { channels, codes, lights, white: [1.0; 3] }
    }

    /// The same for a strip whose light is not in proportion to the byte, or whose white is not as
    /// bright as its three colours. Its colours are shown as if they were the screen's own.
    #[must_use]
    pub fn with_strip(self, ceiling: u8, emitters: &Emitters) -> Self {
        let curve = |share: f64| share.powf(emitters.gamma());
        let full = f64::from(ceiling.max(1));
        let codes = std::array::from_fn(|byte| {
            let light = curve((byte as f64 / full).min(1.0));
            srgb::code((light * f64::from(srgb::FULL)).round() as u16)
        });
        let lights = std::array::from_fn(|byte| (curve(byte as f64 / 255.0) * 255.0).round() as u8);
        let codes = if emitters.gamma() == 1.0 { self.codes } else { codes };
        Self { codes, lights, white: emitters.white_light(), ..self }
    }

    /// The colour of each pixel as sRGB. White adds to each of the three colours.
    pub fn colours(&self, bytes: &[u8], into: &mut Vec<[u8; 3]>) {
        into.clear();
        into.extend(
            self.lights(bytes).map(|light| light.map(|byte| self.codes[usize::from(byte)])),
        );
    }

    /// A PNG of these device bytes as they are, told in the file to be linear light, so that a
    /// viewer that heeds PNG's gamma shows them as they look. White adds to each of the colours.
    ///
    /// # Errors
    /// When `bytes` are not `columns` x `rows` pixels.
    pub fn png(&self, columns: u32, rows: u32, bytes: &[u8]) -> Result<Vec<u8>, EncodeError> {
        let of = |byte: u8| self.lights[usize::from(byte)];
        let pixels: Vec<u8> = self.lights(bytes).flatten().map(of).collect();
        encode_linear_rgb8(columns, rows, &pixels)
    }

    /// Red, green and blue of each pixel, white added.
    fn lights<'b>(&self, bytes: &'b [u8]) -> impl Iterator<Item = [u8; 3]> + 'b {
        let white = self.white;
        let with = move |colour: u8, white: u8, share: f32| {
            // A cast holds what is above 255 there.
            (f32::from(colour) + f32::from(white) * share).round() as u8
        };
        bytes.chunks_exact(self.channels.count()).map(move |pixel| match *pixel {
            [r, g, b, w] => [with(r, w, white[0]), with(g, w, white[1]), with(b, w, white[2])],
            [r, g, b] => [r, g, b],
            _ => [0; 3],
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ceiling_is_full_light() {
        let preview = Preview::new(Channels::Rgb, 153);
        let mut colours = Vec::new();
        preview.colours(&[153, 0, 77, 255, 1, 2], &mut colours);
        assert_eq!(colours[0][0], 255);
        assert_eq!(colours[0][1], 0);
        // Half of the light is code 188 (IEC 61966-2-1).
        assert!((187..=189).contains(&colours[0][2]), "{colours:?}");
        assert_eq!(colours[1][0], 255);
    }

    /// Half of the light again, on a strip that needs another byte for it.
    #[test]
    fn a_curve_and_a_white_are_those_of_the_strip() {
        let strip = Emitters::PLAIN.with_gamma(2.0).unwrap();
        let preview = Preview::new(Channels::Rgb, 200).with_strip(200, &strip);
        let mut colours = Vec::new();
        preview.colours(&[141, 200, 0], &mut colours);
        assert!((187..=189).contains(&colours[0][0]), "{colours:?}");
        assert_eq!(colours[0][1..], [255, 0]);
        let strip = Emitters::PLAIN.with_white_light([0.5, 2.0, 1.0]).unwrap();
        let preview = Preview::new(Channels::Rgbw, 255).with_strip(255, &strip);
        preview.colours(&[0, 0, 0, 110], &mut colours);
        let alike = Preview::new(Channels::Rgb, 255);
        let mut wanted = Vec::new();
        alike.colours(&[55, 220, 110], &mut wanted);
        assert_eq!(colours, wanted);
    }

    #[test]
    fn white_adds_to_the_colours() {
        let preview = Preview::new(Channels::Rgbw, 255);
        let mut colours = Vec::new();
        preview.colours(&[0, 0, 0, 255, 255, 0, 0, 0], &mut colours);
        assert_eq!(colours, [[255, 255, 255], [255, 0, 0]]);
    }
}
