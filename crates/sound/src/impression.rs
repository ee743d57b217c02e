//! What was heard, put into shares of what has been heard lately: for whoever draws it.

use glowloom_units::{Decibels, DecibelsPerSecond, Seconds};

use crate::analyser::{Analyser, Heard};

/// How much louder the loudest is than what shows as nothing.
const SPAN: Decibels = Decibels(40.0);

/// How slowly one gets used to a quieter room.
const FORGETS: DecibelsPerSecond = DecibelsPerSecond(1.0);

/// Even the loudest is held to be silence where it is below this, dB against a sine of full scale, and is
/// taken in full only when it is `SURE` above it: hiss stays dark.
const LEAST: Decibels = Decibels(-65.0);
const SURE: Decibels = Decibels(15.0);

/// What one notices of a sound, in shares of 0 to 1, whether the room is loud or quiet.
#[derive(Clone, Debug)]
pub struct Impression {
    bands: Vec<f32>,
    level: f32,
    beats: u64,
    loudest_band: Decibels,
    loudest: Decibels,
    step: Seconds,
}

impl Impression {
    /// Silence, of as many bands as will be heard. Takes memory now and never again.
    #[must_use]
    pub fn of(analyser: &Analyser) -> Self {
        Self {
            bands: vec![0.0; analyser.bands().len()],
            level: 0.0,
            beats: 0,
            loudest_band: LEAST,
            loudest: LEAST,
            step: analyser.rate().length(analyser.hop() as u64),
        }
    }

    /// Silence, of so many bands: for what is drawn before anything is heard.
    #[must_use]
    pub fn silence(bands: usize) -> Self {
        let (quiet, step) = (LEAST, Seconds(0.01));
        Self {
            bands: vec![0.0; bands],
            level: 0.0,
            beats: 0,
            loudest_band: quiet,
            loudest: quiet,
            step,
        }
    }

    /// Takes in what was heard in one hop.
    pub fn take(&mut self, heard: &Heard<'_>) {
        let fallen = Decibels(FORGETS.0 * self.step.0);
        let loudest_now =
            heard.levels.iter().fold(LEAST, |loudest, band| loudest.max(band.level()));
        self.loudest_band = loudest_now.max(self.loudest_band - fallen);
        self.loudest = heard.level.max(self.loudest - fallen).max(LEAST);
        for (share, band) in self.bands.iter_mut().zip(heard.levels) {
            *share = share_of(band.level(), self.loudest_band);
        }
        self.level = share_of(heard.level, self.loudest);
        self.beats += u64::from(heard.beat.is_some());
    }

    /// Of each band, from low to high: 0 as good as silent, 1 as loud as the loudest of late.
    #[must_use]
    pub fn bands(&self) -> &[f32] {
        &self.bands
    }

    /// Of all of it, as loud as it seems.
    #[must_use]
    pub fn level(&self) -> f32 {
        self.level
    }

    /// How many beats there have been.
    #[must_use]
    pub fn beats(&self) -> u64 {
        self.beats
    }

    /// Sets the shares, and counts a beat: for trying out pictures without a sound.
    pub fn set(&mut self, band: impl Fn(usize) -> f32, level: f32, beat: bool) {
        for (n, share) in self.bands.iter_mut().enumerate() {
            *share = band(n).clamp(0.0, 1.0);
        }
        self.level = level.clamp(0.0, 1.0);
        self.beats += u64::from(beat);
    }
}

fn share_of(level: Decibels, loudest: Decibels) -> f32 {
    let sure = ((loudest - LEAST) / SURE).clamp(0.0, 1.0);
    (sure * (1.0 - (loudest - level) / SPAN).clamp(0.0, 1.0)) as f32
}
