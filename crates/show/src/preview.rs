//! How the bytes of the panels look on a screen.

use crate::finish::Channels;
use crate::png::{EncodeError, encode_linear_rgb8};
use crate::srgb;

/// Turns device bytes, which are linear light, into what a screen shows.
#[derive(Clone, Debug)]
pub struct Preview {
    channels: Channels,
    codes: [u8; 256],
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
        Self { channels, codes }
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
        let pixels: Vec<u8> = self.lights(bytes).flatten().collect();
        encode_linear_rgb8(columns, rows, &pixels)
    }

    fn lights<'b>(&self, bytes: &'b [u8]) -> impl Iterator<Item = [u8; 3]> + 'b {
        bytes.chunks_exact(self.channels.count()).map(|pixel| match *pixel {
            [r, g, b, w] => [r, g, b].map(|colour| colour.saturating_add(w)),
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

    #[test]
    fn white_adds_to_the_colours() {
        let preview = Preview::new(Channels::Rgbw, 255);
        let mut colours = Vec::new();
        preview.colours(&[0, 0, 0, 255, 255, 0, 0, 0], &mut colours);
        assert_eq!(colours, [[255, 255, 255], [255, 0, 0]]);
    }
}
