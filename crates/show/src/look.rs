//! How pictures are wanted to look, whatever they are shown on: how colourful, and how white.
//!
//! It is part of the picture: the flash guard judges what has been through it.

use glowloom_units::Chromaticity;

use crate::frame::LinearFrame;
use crate::matrix::{Matrix, Mixer, adapted, inverse, lamps, product, within_full};

/// Relative luminance of full red, green and blue (Rec. 709, read in the text of WCAG).
const LUMINANCE: [f64; 3] = [0.2126, 0.7152, 0.0722];

/// How pictures are wanted to look.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Look {
    /// `None`: as they are.
    mixer: Option<Mixer>,
}

impl Look {
    /// Pictures as they are.
    pub const AS_IT_IS: Self = Self { mixer: None };
    /// The highest saturation.
    pub const MOST_SATURATED: f64 = 2.0;

    /// Colours `saturation` times as far from grey as they were, at the same luminance in linear light:
    /// 0 grey, 1 as they are, at most [`Self::MOST_SATURATED`]; and `white` where pictures have sRGB's
    /// own white, all other colours adapted to it as eyes are (Bradford transform).
    ///
    /// Another white takes some light, so that white still fits. What saturation drives below 0 or
    /// above full is held there.
    ///
    /// `None` for a saturation outside that range, or a white outside the colours that sRGB can show.
    #[must_use]
    pub fn new(saturation: f64, white: Chromaticity) -> Option<Self> {
        if !(0.0..=Self::MOST_SATURATED).contains(&saturation) {
            return None;
        }
        if (saturation, white) == (1.0, Chromaticity::D65) {
            return Some(Self::AS_IT_IS);
        }
        let matrix = product(&whitened(white)?, &saturated(saturation));
        Some(Self { mixer: Some(Mixer::new(&matrix)) })
    }

    /// One pixel of linear light as it is wanted.
    #[must_use]
    pub fn of(&self, light: [u16; 3]) -> [u16; 3] {
        self.mixer.map_or(light, |mixer| mixer.mix(light))
    }

    pub(crate) fn apply(&self, frame: &mut LinearFrame) {
        let Some(mixer) = self.mixer else { return };
        for pixel in frame.values_mut().as_chunks_mut::<3>().0 {
            *pixel = mixer.mix(*pixel);
        }
    }
}

fn saturated(saturation: f64) -> Matrix {
    [0, 1, 2].map(|r| {
        [0, 1, 2].map(|c| (1.0 - saturation) * LUMINANCE[c] + if r == c { saturation } else { 0.0 })
    })
}

fn whitened(white: Chromaticity) -> Option<Matrix> {
    let srgb = lamps(Chromaticity::SRGB, Chromaticity::D65)?;
    // A white that the three cannot mix.
    lamps(Chromaticity::SRGB, white)?;
    let seen = product(&adapted(Chromaticity::D65, white)?, &srgb);
    let matrix = product(&inverse(&srgb)?, &seen);
    if white == Chromaticity::D65 { Some(matrix) } else { Some(within_full(matrix)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matrix::{transformed, xyz};

    fn light(of: [f64; 3]) -> [u16; 3] {
        of.map(|share| (share * 65_535.0).round() as u16)
    }

    #[test]
    fn as_it_is_changes_nothing() {
        let look = Look::new(1.0, Chromaticity::D65).unwrap();
        assert_eq!(look, Look::AS_IT_IS);
        assert_eq!(look.of([1, 2, 65_535]), [1, 2, 65_535]);
    }

    #[test]
    fn grey_has_the_luminance_of_the_colour() {
        let grey = Look::new(0.0, Chromaticity::D65).unwrap();
        for (colour, luminance) in
            [([1.0, 0.0, 0.0], 0.2126), ([0.0, 1.0, 0.0], 0.7152), ([0.5; 3], 0.5)]
        {
            let want = light([luminance; 3]);
            let found = grey.of(light(colour));
            assert!(found.iter().zip(want).all(|(a, b)| a.abs_diff(b) <= 1), "{found:?} {want:?}");
        }
    }

    #[test]
    fn saturation_keeps_luminance_and_grey() {
        let look = Look::new(1.5, Chromaticity::D65).unwrap();
        assert!(look.of([30_000; 3]).iter().all(|value| value.abs_diff(30_000) <= 1));
        let [r, g, b] = look.of(light([0.4, 0.3, 0.35]));
        let luminance = 0.2126 * f64::from(r) + 0.7152 * f64::from(g) + 0.0722 * f64::from(b);
        let before = (0.2126 * 0.4 + 0.7152 * 0.3 + 0.0722 * 0.35) * 65_535.0;
        assert!((luminance - before).abs() < 2.0);
        assert!(r > light([0.4; 3])[0] && g < light([0.3; 3])[0]);
    }

    #[test]
    fn white_goes_where_it_is_wanted() {
        // Illuminant A (second-hand: libraries that quote CIE 15).
        let warm = Chromaticity::new(0.4476, 0.4074).unwrap();
        let look = Look::new(1.0, warm).unwrap();
        let white = look.of([65_535; 3]);
        assert_eq!(white.iter().max(), Some(&65_535), "full is still reached");
        let srgb = lamps(Chromaticity::SRGB, Chromaticity::D65).unwrap();
        let [x, y, z] = transformed(&srgb, white.map(f64::from));
        let sum = x + y + z;
        assert!((x / sum - warm.x()).abs() < 1e-4 && (y / sum - warm.y()).abs() < 1e-4);
        assert!(xyz(warm)[2] < 1.0);
    }

    #[test]
    fn nonsense_is_refused() {
        for saturation in [-0.1, 2.1, f64::NAN] {
            assert_eq!(Look::new(saturation, Chromaticity::D65), None);
        }
        assert_eq!(Look::new(1.0, Chromaticity::new(0.7, 0.29).unwrap()), None);
    }
}
