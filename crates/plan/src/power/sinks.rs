//! What a pixel draws, by its voltage and by what it shows.
//!
//! Each colour draws its full current down to its knee and falls away in a straight line below it,
//! and so does the idle current: I(V) = sum of level x brightness x channel_amps x s(V / knee) +
//! idle_amps x s(V / idle knee), s(x) = min(1, max(0, x)). A stand-in: real parts differ below the
//! knee, so voltages there are estimates. Levels are linear light, the average over a flicker.

use glowloom_design::wall::Strip;
use glowloom_units::{Amps, Volts};

/// A knee below this counts as this, V: a current that jumps has no one solution.
const LEAST_KNEE: f64 = 0.1;

/// How the LEDs of a strip draw current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Law {
    channel_amps: f64,
    idle_amps: f64,
    channels: usize,
    /// Red, green, blue, white, idle.
    knees: [f64; 5],
}

impl Law {
    /// As the wall file and the catalogue have it.
    #[must_use]
    pub fn of(strip: &Strip) -> Self {
        let [red, green, blue, white] = strip.knee_volts;
        Self {
            channel_amps: strip.channel_amps.0,
            idle_amps: strip.idle_amps.0,
            channels: strip.channels(),
            knees: [red, green, blue, white, strip.idle_knee_volts].map(|v| v.0.max(LEAST_KNEE)),
        }
    }

    /// The same with another current for one colour, full on.
    #[must_use]
    pub fn with_channel_amps(self, amps: Amps) -> Self {
        Self { channel_amps: amps.0, ..self }
    }

    /// One colour, full on.
    #[must_use]
    pub fn channel_amps(&self) -> Amps {
        Amps(self.channel_amps)
    }

    /// One pixel, dark.
    #[must_use]
    pub fn idle_amps(&self) -> Amps {
        Amps(self.idle_amps)
    }

    /// Colours of a pixel: 3 or 4.
    #[must_use]
    pub fn channels(&self) -> usize {
        self.channels
    }

    /// One pixel with all colours at a brightness of 0 to 1, no knee reached.
    #[must_use]
    pub fn nominal_amps(&self, brightness: f64) -> Amps {
        let channels = if self.channels == 4 { 4.0 } else { 3.0 };
        Amps(self.channel_amps * channels * brightness + self.idle_amps)
    }

    /// From this voltage up nothing falls away.
    #[must_use]
    pub fn top_knee(&self) -> Volts {
        let colours = self.knees[..self.channels].iter().copied();
        Volts(colours.fold(self.knees[4], f64::max))
    }

    /// Red, green, blue and, on strips that have it, white light at a voltage, as a share of what
    /// it would be with volts enough. Where they differ, white is no longer white.
    #[must_use]
    pub fn light(&self, at: Volts) -> [f64; 4] {
        let share = |c: usize| if c < self.channels { share(at.0 / self.knees[c]) } else { 0.0 };
        [share(0), share(1), share(2), share(3)]
    }
}

/// `s` of the law.
fn share(x: f64) -> f64 {
    x.clamp(0.0, 1.0)
}

/// Levels for another number of pixels than the panel has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WrongLength {
    /// How many levels were given.
    pub found: usize,
    /// How many pixels the panel has.
    pub wanted: usize,
}

impl std::fmt::Display for WrongLength {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "levels for {} pixels, but the panel has {}", self.found, self.wanted)
    }
}

impl std::error::Error for WrongLength {}

/// What every pixel of a panel would draw with volts enough.
#[derive(Clone, Debug, PartialEq)]
pub struct Sinks {
    law: Law,
    inverse_knees: [f64; 5],
    top: f64,
    brightness: f64,
    /// By pixel, full on; one entry where all are alike.
    amps: Vec<[f64; 4]>,
}

/// A level of 0 to 1: what lies outside counts as the nearer end, what is not a number as 0.
fn level(x: f64) -> f64 {
    if x.is_nan() { 0.0 } else { x.clamp(0.0, 1.0) }
}

impl Sinks {
    /// Every pixel with the same levels of red, green, blue, white, each 0 to 1 in linear light,
    /// and all under one brightness. What lies outside 0 to 1 counts as the nearer end.
    #[must_use]
    pub fn even(law: &Law, levels: [f64; 4], brightness: f64) -> Self {
        Self::by_pixel(law, vec![levels], brightness)
    }

    /// The first `lit` of `pixels` with the same levels, the rest dark.
    #[must_use]
    pub fn first(law: &Law, lit: usize, pixels: usize, levels: [f64; 4], brightness: f64) -> Self {
        if lit >= pixels {
            return Self::even(law, levels, brightness);
        }
        let all = (0..pixels).map(|pixel| if pixel < lit { levels } else { [0.0; 4] });
        Self::by_pixel(law, all.collect(), brightness)
    }

    /// All colours on.
    #[must_use]
    pub fn white(law: &Law, brightness: f64) -> Self {
        Self::even(law, [1.0; 4], brightness)
    }

    /// Levels by pixel, in path order.
    ///
    /// # Errors
    /// Where there are not as many levels as `pixels`.
    pub fn each(
        law: &Law,
        pixels: usize,
        levels: &[[f64; 4]],
        brightness: f64,
    ) -> Result<Self, WrongLength> {
        if levels.len() != pixels || pixels == 0 {
            return Err(WrongLength { found: levels.len(), wanted: pixels });
        }
        Ok(Self::by_pixel(law, levels.to_vec(), brightness))
    }

    /// Levels of as many pixels as the panel has.
    pub(crate) fn by_pixel(law: &Law, mut amps: Vec<[f64; 4]>, brightness: f64) -> Self {
        let law = *law;
        for pixel in &mut amps {
            for (channel, x) in pixel.iter_mut().enumerate() {
                *x = if channel < law.channels { level(*x) * law.channel_amps } else { 0.0 };
            }
        }
        let inverse_knees = law.knees.map(|knee| 1.0 / knee);
        // Without a white channel its knee counts for nothing.
        let top = law.top_knee().0;
        Self { law, inverse_knees, top, brightness: level(brightness), amps }
    }

    /// Puts all under another brightness of 0 to 1.
    pub fn set_brightness(&mut self, brightness: f64) {
        self.brightness = level(brightness);
    }

    /// What all are under.
    #[must_use]
    pub fn brightness(&self) -> f64 {
        self.brightness
    }

    /// How the LEDs draw current.
    #[must_use]
    pub fn law(&self) -> &Law {
        &self.law
    }

    fn full_on(&self, pixel: usize) -> &[f64; 4] {
        match self.amps.as_slice() {
            [even] => even,
            each => &each[pixel],
        }
    }

    /// Current and its slope over the voltage, A and S, at a voltage between a pixel's rails.
    /// Below 0 V nothing flows.
    #[inline]
    pub(super) fn current(&self, pixel: usize, volts: f64) -> (f64, f64) {
        let full_on = self.full_on(pixel);
        if volts >= self.top {
            return (self.brightness * full_on.iter().sum::<f64>() + self.law.idle_amps, 0.0);
        }
        if volts < 0.0 {
            return (0.0, 0.0);
        }
        let (mut current, mut slope) = (0.0, 0.0);
        for channel in 0..5 {
            let amps = match full_on.get(channel) {
                Some(amps) => amps * self.brightness,
                None => self.law.idle_amps,
            };
            let x = volts * self.inverse_knees[channel];
            if x >= 1.0 {
                current += amps;
            } else {
                current += amps * x;
                slope += amps * self.inverse_knees[channel];
            }
        }
        (current, slope)
    }

    /// The steepest slope that any pixel can have, S.
    pub(super) fn steepest(&self) -> f64 {
        let slope = |pixel: &[f64; 4]| -> f64 {
            pixel.iter().zip(&self.inverse_knees).map(|(amps, inverse)| amps * inverse).sum()
        };
        let colours = self.amps.iter().map(slope).fold(0.0, f64::max);
        colours * self.brightness + self.law.idle_amps * self.inverse_knees[4]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn law(channels: usize) -> Law {
        Law { channel_amps: 0.020, idle_amps: 0.001, channels, knees: [2.6, 3.8, 3.8, 3.0, 3.5] }
    }

    /// Worked by hand from the law.
    #[test]
    fn currents_fall_away_below_their_knees() {
        let white = Sinks::white(&law(3), 1.0);
        let close = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1e-15, "{found}");
        close(white.current(0, 5.0).0, 0.061);
        close(white.current(7, 3.8).0, 0.061);
        close(white.current(0, 1.9).0, 0.020 * 1.9 / 2.6 + 0.020 + 0.001 * 1.9 / 3.5);
        close(white.current(0, 3.0).0, 0.020 + 0.040 * 3.0 / 3.8 + 0.001 * 3.0 / 3.5);
        close(white.current(0, 3.0).1, 0.040 / 3.8 + 0.001 / 3.5);
        assert_eq!(white.current(0, 0.0).0, 0.0);
        assert!(white.current(0, 0.0).1 > 0.0, "the first branch starts at 0 V");
        assert_eq!(white.current(0, -1.0), (0.0, 0.0));
        // Brightness scales colours, never the idle current.
        let dim = Sinks::white(&law(3), 0.25);
        close(dim.current(0, 5.0).0, 0.015 + 0.001);
        close(dim.current(0, 2.8).0, 0.005 + 0.010 * 2.8 / 3.8 + 0.001 * 2.8 / 3.5);
    }

    #[test]
    fn a_fourth_channel_counts_where_there_is_one() {
        let four = Sinks::even(&law(4), [0.0, 0.0, 0.0, 1.0], 1.0);
        assert!((four.current(0, 5.0).0 - 0.021).abs() < 1e-15);
        assert!((four.current(0, 1.5).0 - 0.020 * 0.5 - 0.001 * 1.5 / 3.5).abs() < 1e-15);
        let three = Sinks::even(&law(3), [0.0, 0.0, 0.0, 1.0], 1.0);
        assert_eq!(three.current(0, 5.0).0, 0.001);
        assert_eq!(law(3).light(Volts(1.9)), [1.9 / 2.6, 0.5, 0.5, 0.0]);
        assert_eq!(law(4).light(Volts(9.0)), [1.0; 4]);
    }

    #[test]
    fn levels_are_taken_as_they_can_be() {
        let odd = Sinks::even(&law(3), [7.0, -1.0, f64::NAN, 0.0], 3.0);
        assert!((odd.current(0, 5.0).0 - 0.021).abs() < 1e-15);
        let wrong = Sinks::each(&law(3), 3, &[[0.0; 4]; 2], 1.0);
        assert_eq!(wrong, Err(WrongLength { found: 2, wanted: 3 }));
    }
}
