//! Fractional-octave bands: IEC 61260-1, base ten.

use glowloom_units::Hertz;

/// An octave of the base ten: 10^(3/10), a little less than 2.
fn octave() -> f64 {
    10f64.powf(0.3)
}

/// How many bands an octave is parted into, 1 to 24.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BandsPerOctave(u8);

impl BandsPerOctave {
    /// Whole octaves.
    pub const ONE: Self = Self(1);
    /// Half octaves.
    pub const TWO: Self = Self(2);
    /// Thirds of an octave, as most sound level meters show them.
    pub const THREE: Self = Self(3);

    /// `None` unless it is 1 to 24.
    #[must_use]
    pub fn new(count: u8) -> Option<Self> {
        (1..=24).contains(&count).then_some(Self(count))
    }

    /// The count.
    #[must_use]
    pub fn get(self) -> u8 {
        self.0
    }
}

/// One band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Its exact mid-band frequency.
    pub middle: Hertz,
    /// Its lower edge.
    pub low: Hertz,
    /// Its upper edge: the lower one of the next.
    pub high: Hertz,
}

impl Band {
    /// The band of this number; number 0 lies at 1 kHz where octaves have an odd number of parts, else just
    /// above it (IEC 61260-1:2014, 5.4 and 5.5, by way of texts that quote it).
    #[must_use]
    pub fn numbered(number: i32, parts: BandsPerOctave) -> Self {
        let (number, count) = (f64::from(number), f64::from(parts.0));
        let octaves =
            if parts.0 % 2 == 1 { number / count } else { (2.0 * number + 1.0) / (2.0 * count) };
        let middle = 1000.0 * octave().powf(octaves);
        let half = octave().powf(0.5 / count);
        Self { middle: Hertz(middle), low: Hertz(middle / half), high: Hertz(middle * half) }
    }
}

/// All bands whose middles lie from one frequency to another, both included, from low to high. None where
/// a frequency is not above 0 or is not finite.
#[must_use]
pub fn bands(parts: BandsPerOctave, from: Hertz, to: Hertz) -> Vec<Band> {
    let sensible = |f: Hertz| f.0.is_finite() && f.0 >= 1.0;
    if !sensible(from) || !sensible(to) {
        return Vec::new();
    }
    // What is asked for as 25,119 Hz is the band at 25,118.86.
    const NEAR: f64 = 1e-4;
    let number =
        |f: Hertz| ((f.0 / 1000.0).log10() / octave().log10() * f64::from(parts.0)).floor() as i32;
    (number(from) - 1..=number(to) + 1)
        .map(|number| Band::numbered(number, parts))
        .filter(|band| band.middle.0 >= from.0 * (1.0 - NEAR))
        .filter(|band| band.middle.0 <= to.0 * (1.0 + NEAR))
        .collect()
}

/// Which part of each bin of a spectrum falls into which band: as much of it as the band covers, for a bin
/// stands for the frequencies half a bin to either side.
#[derive(Clone, Debug)]
pub(crate) struct Sharing {
    bands: Vec<Share>,
    weights: Vec<f32>,
}

#[derive(Clone, Copy, Debug)]
struct Share {
    first_bin: usize,
    first_weight: usize,
    count: usize,
}

impl Sharing {
    /// For a spectrum of `bins` bins `width` apart, the first of which is at 0 Hz.
    pub(crate) fn new(bands: &[Band], bins: usize, width: Hertz) -> Self {
        let mut sharing = Self { bands: Vec::with_capacity(bands.len()), weights: Vec::new() };
        for band in bands {
            let (low, high) = (band.low / width + 0.5, band.high / width + 0.5);
            let first_bin = (low.floor() as usize).min(bins);
            let end = (high.ceil() as usize).min(bins);
            let first_weight = sharing.weights.len();
            for bin in first_bin..end {
                let (from, to) = (low.max(bin as f64), high.min(bin as f64 + 1.0));
                sharing.weights.push((to - from).max(0.0) as f32);
            }
            let count = sharing.weights.len() - first_weight;
            sharing.bands.push(Share { first_bin, first_weight, count });
        }
        sharing
    }

    /// Adds up the powers of the bins of each band. Writes as many bands as `into` holds.
    pub(crate) fn add_up(&self, powers: &[f32], into: &mut [f32]) {
        for (share, into) in self.bands.iter().zip(into) {
            let weights = self.weights.iter().skip(share.first_weight).take(share.count);
            let powers = powers.iter().skip(share.first_bin);
            *into = weights.zip(powers).map(|(weight, power)| weight * power).sum();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Exact middles and edges of third octaves, IEC 61260-1, five figures.
    #[test]
    fn thirds_of_an_octave_are_the_standards() {
        let found = bands(BandsPerOctave::THREE, Hertz(19.9), Hertz(20_000.0));
        assert_eq!(found.len(), 31);
        for (band, middle, low, high) in [
            (0, 19.953, 17.783, 22.387),
            (7, 100.00, 89.125, 112.20),
            (14, 501.19, 446.68, 562.34),
            (17, 1000.0, 891.25, 1122.0),
            (25, 6309.6, 5623.4, 7079.5),
            (30, 19_953.0, 17_783.0, 22_387.0),
        ] {
            let Band { middle: m, low: l, high: h } = found[band];
            for (found, wanted) in [(m, middle), (l, low), (h, high)] {
                assert!((found.0 / wanted - 1.0).abs() < 5e-5, "{band}: {found:?}, not {wanted}");
            }
        }
    }

    /// With an even number of parts no middle is at 1 kHz: an edge is.
    #[test]
    fn even_parts_have_an_edge_at_one_kilohertz() {
        let half = BandsPerOctave::TWO;
        assert!((Band::numbered(0, half).low.0 - 1000.0).abs() < 1e-9);
        assert!((Band::numbered(0, half).middle.0 - 1188.502).abs() < 0.001);
        assert!((Band::numbered(0, BandsPerOctave::ONE).middle.0 - 1000.0).abs() < 1e-9);
    }

    #[test]
    fn bands_touch() {
        for count in 1..=24 {
            let parts = BandsPerOctave::new(count).unwrap();
            let found = bands(parts, Hertz(20.0), Hertz(20_000.0));
            assert!(found.len() >= usize::from(count) * 9);
            for pair in found.windows(2) {
                assert!((pair[0].high.0 / pair[1].low.0 - 1.0).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn nonsense_has_no_bands() {
        for wrong in [0.0, -5.0, f64::NAN, f64::INFINITY] {
            assert!(bands(BandsPerOctave::THREE, Hertz(wrong), Hertz(100.0)).is_empty());
            assert!(bands(BandsPerOctave::THREE, Hertz(100.0), Hertz(wrong)).is_empty());
        }
        assert_eq!(BandsPerOctave::new(0), None);
        assert_eq!(BandsPerOctave::new(25), None);
    }

    /// Bands that touch share out every bin between the outermost edges, once.
    #[test]
    fn no_power_is_lost_between_bands() {
        let found = bands(BandsPerOctave::THREE, Hertz(100.0), Hertz(10_000.0));
        let sharing = Sharing::new(&found, 1025, Hertz(48_000.0 / 2048.0));
        let mut into = vec![0.0; found.len()];
        sharing.add_up(&[1.0; 1025], &mut into);
        let width = (found[found.len() - 1].high - found[0].low) / Hertz(48_000.0 / 2048.0);
        let sum: f32 = into.iter().sum();
        assert!((f64::from(sum) / width - 1.0).abs() < 1e-5, "{sum} of {width}");
    }
}
