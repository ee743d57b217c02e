//! What the strip's own light is like, and what has to be sent for a colour to come out as it is meant.
//!
//! All of it undoes what the strip does otherwise than the picture means: with it on, the light in the
//! room is that of the picture which the flash guard judged.

use glowloom_units::Chromaticity;

use crate::matrix::{Mixer, inverse, lamps, product, within_full};
use crate::srgb::FULL;

/// What the strip's own light is like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Emitters {
    /// From sRGB's red, green and blue to the strip's; `None` where they are the same.
    mixer: Option<Mixer>,
    gamma: f64,
    white: WhiteLight,
}

/// The light of a white LED full on, in full red, green and blue.
#[derive(Clone, Copy, Debug, PartialEq)]
struct WhiteLight {
    of: [f32; 3],
    /// 1 over each.
    per: [f32; 3],
}

impl WhiteLight {
    const EVEN: Self = Self { of: [1.0; 3], per: [1.0; 3] };
}

impl Emitters {
    /// sRGB's own colours, light in proportion to the byte, and a white LED as bright as the three
    /// colours together and of the same white (common practice, no source).
    pub const PLAIN: Self = Self { mixer: None, gamma: 1.0, white: WhiteLight::EVEN };
    /// The highest [`Self::with_gamma`].
    pub const MOST_GAMMA: f64 = 4.0;
    /// The least and the most of [`Self::with_white_light`].
    pub const WHITE_LIGHT: std::ops::RangeInclusive<f64> = 0.05..=20.0;

    /// A strip whose red, green and blue have these chromaticities and make `white` when all three are
    /// full on. Colours that it cannot show are held at the edge, colour by colour; the rest is dimmed
    /// alike until every colour of sRGB fits.
    ///
    /// `None` where the three do not mix that white.
    #[must_use]
    pub fn new(primaries: [Chromaticity; 3], white: Chromaticity) -> Option<Self> {
        if (primaries, white) == (Chromaticity::SRGB, Chromaticity::D65) {
            return Some(Self::PLAIN);
        }
        let own = inverse(&lamps(primaries, white)?)?;
        let matrix = within_full(product(&own, &lamps(Chromaticity::SRGB, Chromaticity::D65)?));
        Some(Self { mixer: Some(Mixer::new(&matrix)), ..Self::PLAIN })
    }

    /// The same for chips whose light is (byte / 255) to the power of `gamma`. `None` unless it is 1
    /// to [`Self::MOST_GAMMA`]: below 1 a byte would draw more than its share, which the supply guard
    /// does not reckon with.
    #[must_use]
    pub fn with_gamma(self, gamma: f64) -> Option<Self> {
        (1.0..=Self::MOST_GAMMA).contains(&gamma).then_some(Self { gamma, ..self })
    }

    /// The same with a white LED that full on gives as much light as so much of full red, green and
    /// blue: `[1, 1, 1]` as much as the three full on, `[2, 1.6, 0.9]` brighter and warmer. `None`
    /// outside [`Self::WHITE_LIGHT`].
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        reason = "24 bits are more than the 16 that come out"
    )]
    pub fn with_white_light(self, light: [f64; 3]) -> Option<Self> {
        let fits = light.iter().all(|part| Self::WHITE_LIGHT.contains(part));
        let of = light.map(|part| part as f32);
        fits.then_some(Self { white: WhiteLight { of, per: of.map(f32::recip) }, ..self })
    }

    pub(crate) fn gamma(&self) -> f64 {
        self.gamma
    }

    pub(crate) fn white_light(&self) -> [f32; 3] {
        self.white.of
    }

    pub(crate) fn mixer(&self) -> Option<Mixer> {
        self.mixer
    }

    /// Whether colours are taken over by white one for one.
    pub(crate) fn is_white_even(&self) -> bool {
        self.white == WhiteLight::EVEN
    }

    /// Light that is left to red, green and blue, and that of white, 0 to full: as much white as the
    /// colour holds, taken out of the three.
    #[inline(always)]
    pub(crate) fn with_white(&self, [red, green, blue]: [u16; 3]) -> [u16; 4] {
        if self.is_white_even() {
            let white = red.min(green).min(blue);
            return [red - white, green - white, blue - white, white];
        }
        let WhiteLight { of, per } = self.white;
        let light = [f32::from(red), f32::from(green), f32::from(blue)];
        let most = (light[0] * per[0]).min(light[1] * per[1]).min(light[2] * per[2]);
        // White is rounded first, so that the colours make up for it.
        let white = crate::matrix::nearest(most);
        let taken = f32::from(white);
        let left = |k: usize| crate::matrix::nearest(light[k] - taken * of[k]);
        [left(0), left(1), left(2), white]
    }

    /// How far red, green, blue and white are driven for a pixel of linear light, 0 to 1 of what the
    /// brightness allows, before rounding to bytes; white 0 where there is none.
    #[must_use]
    pub fn levels(&self, channels: crate::Channels, light: [u16; 3]) -> [f64; 4] {
        let light = self.mixer.map_or(light, |mixer| mixer.mix(light));
        let lit = match channels {
            crate::Channels::Rgb => [light[0], light[1], light[2], 0],
            crate::Channels::Rgbw => self.with_white(light),
        };
        lit.map(|value| (f64::from(value) / f64::from(FULL)).powf(1.0 / self.gamma))
    }
}

impl Default for Emitters {
    fn default() -> Self {
        Self::PLAIN
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Channels;

    fn at(x: f64, y: f64) -> Chromaticity {
        Chromaticity::new(x, y).unwrap()
    }

    /// Colours of a common strip (from memory: wavelengths near 622, 524 and 467 nm).
    fn wide() -> Emitters {
        let white = at(0.28, 0.29);
        Emitters::new([at(0.69, 0.31), at(0.17, 0.70), at(0.13, 0.075)], white).unwrap()
    }

    #[test]
    fn srgb_is_plain() {
        assert_eq!(Emitters::new(Chromaticity::SRGB, Chromaticity::D65), Some(Emitters::PLAIN));
    }

    /// What the strip makes of what is sent is what the picture means, but for one common dimming.
    #[test]
    fn a_wide_strip_shows_the_colours_meant() {
        let (primaries, white) =
            ([at(0.69, 0.31), at(0.17, 0.70), at(0.13, 0.075)], at(0.28, 0.29));
        let strip = lamps(primaries, white).unwrap();
        let srgb = lamps(Chromaticity::SRGB, Chromaticity::D65).unwrap();
        let seen = |light: [f64; 3], lamps| crate::matrix::transformed(lamps, light);
        let mut dimming = Vec::new();
        for colour in [[1.0, 1.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.2, 0.5, 0.9]] {
            let sent = wide().levels(Channels::Rgb, colour.map(|c: f64| (c * 65_535.0) as u16));
            let (meant, shown) = (seen(colour, &srgb), seen([sent[0], sent[1], sent[2]], &strip));
            dimming.extend(meant.iter().zip(shown).map(|(meant, shown)| shown / meant));
        }
        let (least, most) = (
            dimming.iter().copied().fold(f64::MAX, f64::min),
            dimming.iter().copied().fold(0.0, f64::max),
        );
        assert!(most / least < 1.002 && most <= 1.0, "{least} to {most}");
    }

    #[test]
    fn white_takes_over_what_it_can_and_light_stays() {
        let warm = Emitters::PLAIN.with_white_light([2.0, 1.6, 0.9]).unwrap();
        for pixel in [[65_535; 3], [60_000, 30_000, 50_000], [9, 1, 65_535], [0, 5, 5]] {
            let [r, g, b, w] = warm.with_white(pixel);
            for ((left, of), had) in [r, g, b].into_iter().zip([2.0, 1.6, 0.9]).zip(pixel) {
                let light = f64::from(left) + f64::from(w) * of;
                assert!((light - f64::from(had)).abs() <= 1.5, "{pixel:?}: {light} for {had}");
            }
            assert!(r.min(g).min(b) <= 1, "{pixel:?}: some white is left in the colours");
        }
        // A weak white cannot give it all.
        let weak = Emitters::PLAIN.with_white_light([0.25; 3]).unwrap();
        let [r, g, b, w] = weak.with_white([65_535; 3]);
        assert_eq!(w, 65_535);
        assert!([r, g, b].iter().all(|left| left.abs_diff(49_151) <= 1));
    }

    #[test]
    fn gamma_drives_darker_light_further() {
        let curved = Emitters::PLAIN.with_gamma(2.0).unwrap();
        let [quarter, ..] = curved.levels(Channels::Rgb, [16_384, 0, 65_535]);
        assert!((quarter - 0.5).abs() < 1e-4);
        for wrong in [0.99, 4.1, f64::NAN] {
            assert_eq!(Emitters::PLAIN.with_gamma(wrong), None);
        }
        assert_eq!(Emitters::PLAIN.with_white_light([1.0, 0.0, 1.0]), None);
    }
}
