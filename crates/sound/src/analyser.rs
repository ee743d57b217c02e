//! Sound in blocks of any size to figures, hop by hop.

use std::fmt;

use glowloom_units::{Decibels, Hertz, Seconds};

use crate::bands::{self, Band, BandsPerOctave, Sharing};
use crate::level::{Ballistics, Follower, decibels};
use crate::onset::Onsets;
use crate::spectrum::Spectrum;
use crate::weighting::a_weighting;

/// Samples a second that a sound has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rate(u32);

impl Rate {
    /// What most devices give: 48,000 a second.
    pub const USUAL: Self = Self(48_000);

    /// # Errors
    /// Unless it is 8,000 to 192,000 a second.
    pub fn new(samples_a_second: u32) -> Result<Self, SoundError> {
        if !(8_000..=192_000).contains(&samples_a_second) {
            return Err(SoundError::Rate(samples_a_second));
        }
        Ok(Self(samples_a_second))
    }

    /// Samples a second.
    #[must_use]
    pub fn get(self) -> u32 {
        self.0
    }

    /// How long so many samples last.
    #[must_use]
    pub fn length(self, samples: u64) -> Seconds {
        Seconds(samples as f64 / f64::from(self.0))
    }

    /// The same in milliseconds.
    #[must_use]
    pub fn milliseconds(self, samples: u64) -> f64 {
        self.length(samples).0 * 1000.0
    }

    /// Samples of a window: the power of two that is nearest to 43 ms, 2,048 at 48,000 a second. Long enough
    /// to part tones 60 Hz from each other, short enough to place a beat.
    fn window(self) -> usize {
        1 << (f64::from(self.0) * 2048.0 / 48_000.0).log2().round() as u32
    }
}

/// Why a sound cannot be worked on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SoundError {
    /// Its samples come at a rate that is not supported.
    Rate(u32),
}

impl fmt::Display for SoundError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Rate(rate) => {
                write!(f, "the sound has {rate} samples a second; 8000 to 192000 can be worked on")
            }
        }
    }
}

impl std::error::Error for SoundError {}

/// A moment at which something begins to sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beat {
    /// Which sample it began at, as near as can be told: to within a hop or two.
    pub at: u64,
    /// By how much the bands rose, mean of all.
    pub strength: Decibels,
}

/// What was heard until a moment.
#[derive(Clone, Copy, Debug)]
pub struct Heard<'a> {
    /// How many samples had been heard by then.
    pub until: u64,
    /// Mean square in each band, under the window that ends here.
    pub powers: &'a [f32],
    /// Level of each band, dB against a sine of full scale, as fast as the ballistics allow.
    pub levels: &'a [Follower],
    /// A-weighted level of all, under the window that ends here, dB against a sine of full scale.
    pub loudness: Decibels,
    /// The same, as fast as the ballistics allow.
    pub level: Decibels,
    /// A beat that was found now.
    pub beat: Option<Beat>,
}

/// How long after a sound the figures tell of it, at the latest, in samples; not what a device, a pipe or a
/// screen takes besides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Latency {
    /// Until half of a change of power is in the levels: half a window, and the wait for the next hop.
    pub level: u32,
    /// Until a beat is told: three quarters of a window where it is hard to hear, and the wait for the next hop.
    pub beat: u32,
}

/// Works on one sound. Takes memory when made, and none afterwards.
pub struct Analyser {
    rate: Rate,
    bands: Vec<Band>,
    spectrum: Spectrum,
    hop: usize,
    /// The samples of a window, the newest last; and how many of a hop are still wanted.
    lately: Vec<f32>,
    wanted: usize,
    until: u64,
    sharing: Sharing,
    powers: Vec<f32>,
    levels: Vec<Follower>,
    weights: Vec<f32>,
    level: Follower,
    wide: Sharing,
    wide_powers: Vec<f32>,
    onsets: Onsets,
}

impl Analyser {
    /// For a sound of this rate, in thirds of an octave from 50 Hz to 12.5 kHz, as far as the rate reaches.
    #[must_use]
    pub fn new(rate: Rate, ballistics: Ballistics) -> Self {
        let bands = bands::bands(BandsPerOctave::THREE, Hertz(50.0), Hertz(12_600.0));
        Self::with_bands(rate, ballistics, bands)
    }

    /// For a sound of this rate, in bands of one's own. Those that reach above half the rate are left out.
    #[must_use]
    pub fn with_bands(rate: Rate, ballistics: Ballistics, mut own: Vec<Band>) -> Self {
        let samples = rate.window();
        let hop = samples / 4;
        let width = Hertz(f64::from(rate.0) / samples as f64);
        let within = |band: &Band| band.high.0 <= f64::from(rate.0) / 2.0;
        own.retain(within);
        let bins = samples / 2 + 1;
        let step = rate.length(hop as u64);
        let mut wide = bands::bands(BandsPerOctave::TWO, Hertz(55.0), Hertz(12_600.0));
        wide.retain(within);
        let weight = |bin: usize| 10f64.powf(a_weighting(width * bin as f64).0 / 10.0) as f32;
        Self {
            rate,
            spectrum: Spectrum::new(samples),
            hop,
            lately: vec![0.0; samples],
            wanted: hop,
            until: 0,
            sharing: Sharing::new(&own, bins, width),
            powers: vec![0.0; own.len()],
            levels: vec![Follower::new(ballistics, step); own.len()],
            weights: (0..bins).map(weight).collect(),
            level: Follower::new(ballistics, step),
            wide: Sharing::new(&wide, bins, width),
            wide_powers: vec![0.0; wide.len()],
            onsets: Onsets::new(wide.len(), (1.0 / step.0) as f32),
            bands: own,
        }
    }

    /// The rate of the sound.
    #[must_use]
    pub fn rate(&self) -> Rate {
        self.rate
    }

    /// The bands, from low to high. Where one is narrower than four bins of the window (a third of an octave
    /// below 400 Hz), part of a tone in it shows in its neighbours.
    #[must_use]
    pub fn bands(&self) -> &[Band] {
        &self.bands
    }

    /// Samples of a window.
    #[must_use]
    pub fn window(&self) -> usize {
        self.spectrum.samples()
    }

    /// Samples from one window to the next: a quarter of one.
    #[must_use]
    pub fn hop(&self) -> usize {
        self.hop
    }

    /// How late the figures are at most.
    #[must_use]
    pub fn latency(&self) -> Latency {
        let (window, hop) = (self.spectrum.samples() as u32, self.hop as u32);
        Latency { level: window / 2 + hop, beat: window * 3 / 4 + hop }
    }

    /// Hears a block of samples, 1 for full scale, and calls `each` for every hop that it completes. What is
    /// not a number counts as silence.
    pub fn hear(&mut self, mut samples: &[f32], mut each: impl FnMut(Heard<'_>)) {
        while !samples.is_empty() {
            let (now, rest) = samples.split_at(self.wanted.min(samples.len()));
            samples = rest;
            let from = self.lately.len() - self.wanted;
            for (to, sample) in self.lately.iter_mut().skip(from).zip(now) {
                *to = if sample.is_finite() { sample.clamp(-8.0, 8.0) } else { 0.0 };
            }
            self.wanted -= now.len();
            self.until += now.len() as u64;
            if self.wanted == 0 {
                self.complete(&mut each);
                self.lately.copy_within(self.hop.., 0);
                self.wanted = self.hop;
            }
        }
    }

    fn complete(&mut self, each: &mut impl FnMut(Heard<'_>)) {
        let powers = self.spectrum.of(&self.lately);
        self.sharing.add_up(powers, &mut self.powers);
        self.wide.add_up(powers, &mut self.wide_powers);
        let weighted: f32 = powers.iter().zip(&self.weights).map(|(p, w)| p * w).sum();
        for (level, power) in self.levels.iter_mut().zip(&self.powers) {
            level.follow(decibels(*power));
        }
        let loudness = decibels(weighted);
        let level = self.level.follow(loudness);
        let beat = self.onsets.hear(&self.wide_powers).map(|strength| Beat {
            // A sound that begins is heard once the window's foot has slid over it.
            at: self.until.saturating_sub(self.lately.len() as u64 * 3 / 8),
            strength: Decibels(f64::from(strength)),
        });
        each(Heard {
            until: self.until,
            powers: &self.powers,
            levels: &self.levels,
            loudness,
            level,
            beat,
        });
    }
}
