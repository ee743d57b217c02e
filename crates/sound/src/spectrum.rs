//! The spectrum of a stretch of sound under a window.

use std::sync::Arc;

use glowloom_units::Hertz;
use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};

use crate::bands::{Band, Sharing};

/// Works out spectra of stretches of one length; takes memory once, when made.
///
/// The window is Hann's, the periodic one. Powers are such that those of all bins together are the mean
/// square of the sound, for tones as for noise (Parseval's theorem over the window).
pub struct Spectrum {
    window: Vec<f32>,
    transform: Arc<dyn RealToComplex<f32>>,
    stretch: Vec<f32>,
    amplitudes: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
    powers: Vec<f32>,
}

impl Spectrum {
    /// For stretches of so many samples; at least 2.
    #[must_use]
    pub fn new(samples: usize) -> Self {
        let samples = samples.max(2);
        let transform = RealFftPlanner::new().plan_fft_forward(samples);
        Self {
            window: hann(samples),
            stretch: transform.make_input_vec(),
            amplitudes: transform.make_output_vec(),
            scratch: transform.make_scratch_vec(),
            powers: vec![0.0; samples / 2 + 1],
            transform,
        }
    }

    /// Samples of a stretch.
    #[must_use]
    pub fn samples(&self) -> usize {
        self.window.len()
    }

    /// The mean square of each bin, from 0 Hz to half the sampling rate. What is missing of `sound` counts
    /// as silence, what it has too much is left out.
    pub fn of(&mut self, sound: &[f32]) -> &[f32] {
        self.stretch.fill(0.0);
        for ((to, sample), weight) in self.stretch.iter_mut().zip(sound).zip(&self.window) {
            *to = sample * weight;
        }
        self.transform
            .process_with_scratch(&mut self.stretch, &mut self.amplitudes, &mut self.scratch)
            .expect("the buffers are those that the transform made");
        let samples = self.window.len();
        // The window's own mean square is 3/8.
        let scale = 2.0 / (samples as f32 * samples as f32 * 0.375);
        for (power, amplitude) in self.powers.iter_mut().zip(&self.amplitudes) {
            *power = amplitude.norm_sqr() * scale;
        }
        // These two bins have no twin among the negative frequencies.
        if let Some(power) = self.powers.first_mut() {
            *power *= 0.5;
        }
        if samples.is_multiple_of(2)
            && let Some(power) = self.powers.last_mut()
        {
            *power *= 0.5;
        }
        &self.powers
    }
}

/// Hann's window of so many samples, periodic: its first sample would follow its last.
fn hann(samples: usize) -> Vec<f32> {
    let turn = std::f64::consts::TAU / samples as f64;
    (0..samples).map(|n| (0.5 - 0.5 * (turn * n as f64).cos()) as f32).collect()
}

/// The mean square in each band, of a spectrum whose bins are `width` apart. For single spectra: an
/// [`Analyser`](crate::Analyser) keeps what this works out anew each time.
#[must_use]
pub fn band_powers(bands: &[Band], powers: &[f32], width: Hertz) -> Vec<f32> {
    let mut into = vec![0.0; bands.len()];
    Sharing::new(bands, powers.len(), width).add_up(powers, &mut into);
    into
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tone(frequency: f64, samples: usize) -> Vec<f32> {
        let turn = std::f64::consts::TAU * frequency;
        (0..samples).map(|n| (turn * n as f64).sin() as f32).collect()
    }

    /// Half a square for a tone of amplitude 1, wherever it lies between bins.
    #[test]
    fn powers_add_up_to_the_mean_square() {
        let mut spectrum = Spectrum::new(2048);
        for bin in [20.0, 20.5, 333.3, 1000.9] {
            let sum: f32 = spectrum.of(&tone(bin / 2048.0, 2048)).iter().sum();
            assert!((sum - 0.5).abs() < 1e-3, "{bin}: {sum}");
        }
        // 0 Hz and half the rate count once.
        assert!((spectrum.of(&[0.5; 2048]).iter().sum::<f32>() - 0.25).abs() < 1e-4);
        let fastest: Vec<f32> = (0..2048).map(|n| if n % 2 == 0 { 0.5 } else { -0.5 }).collect();
        assert!((spectrum.of(&fastest).iter().sum::<f32>() - 0.25).abs() < 1e-4);
    }

    #[test]
    fn a_tone_lies_within_two_bins_of_its_own() {
        let mut spectrum = Spectrum::new(1024);
        let powers = spectrum.of(&tone(100.0 / 1024.0, 1024)).to_vec();
        let near: f32 = powers[98..=102].iter().sum();
        let all: f32 = powers.iter().sum();
        assert!(near / all > 0.999_99);
        assert!((powers[100] / powers[101] - 4.0).abs() < 0.01, "Hann: half as high one bin off");
    }

    /// Against the sum that a transform stands for, written out.
    #[test]
    fn the_transform_is_the_sum_it_stands_for() {
        let samples = 60;
        let sound: Vec<f32> =
            (0..samples).map(|n| ((n * n * 7) % 23) as f32 / 23.0 - 0.4).collect();
        let mut spectrum = Spectrum::new(samples);
        let found = spectrum.of(&sound).to_vec();
        assert_eq!(found.len(), 31);
        for (bin, found) in found.iter().enumerate() {
            let turn = std::f64::consts::TAU * bin as f64 / samples as f64;
            let (mut re, mut im) = (0.0, 0.0);
            for (n, sample) in sound.iter().enumerate() {
                let windowed = f64::from(*sample)
                    * (0.5 - 0.5 * (std::f64::consts::TAU * n as f64 / samples as f64).cos());
                re += windowed * (turn * n as f64).cos();
                im -= windowed * (turn * n as f64).sin();
            }
            let both = if bin == 0 || bin == 30 { 1.0 } else { 2.0 };
            let wanted = both * (re * re + im * im) / (0.375 * (samples * samples) as f64);
            assert!((f64::from(*found) - wanted).abs() < 1e-6, "bin {bin}");
        }
    }

    #[test]
    fn too_little_sound_is_followed_by_silence() {
        let mut spectrum = Spectrum::new(64);
        assert!(spectrum.of(&[]).iter().all(|power| *power == 0.0));
        let longer = [1.0; 100];
        let (all, cut) = (spectrum.of(&longer).to_vec(), spectrum.of(&longer[..64]).to_vec());
        assert_eq!(all, cut);
    }
}
