//! Made-up tracks whose beats are known to the sample.

#![allow(dead_code, reason = "each test uses some")]

use glowloom_sound::{Analyser, Ballistics, Rate};

/// Chance that is the same each time: a linear congruential generator (constants from memory, Knuth's).
pub struct Chance(pub u64);

impl Chance {
    /// -1 to 1, evenly.
    pub fn next(&mut self) -> f32 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 40) as f32 / (1u64 << 23) as f32 - 1.0
    }
}

/// What beats.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Drum {
    /// A low tone that falls and fades.
    Low,
    /// A burst of noise that fades.
    Hiss,
    /// A click of a millisecond.
    Click,
    /// A chord that comes in within 10 ms and fades slowly.
    Chord,
}

impl Drum {
    pub const ALL: [Self; 4] = [Self::Low, Self::Hiss, Self::Click, Self::Chord];

    fn add(self, rate: Rate, at: usize, into: &mut [f32], chance: &mut Chance) {
        let turn = std::f32::consts::TAU;
        for (n, sample) in into.iter_mut().skip(at).enumerate() {
            let t = n as f32 / rate.get() as f32;
            if t > 0.6 {
                break;
            }
            *sample += match self {
                Self::Low => {
                    let phase = 55.0 * t + 60.0 * 0.03 * (1.0 - (-t / 0.03).exp());
                    0.5 * (-t / 0.12).exp() * (turn * phase).sin()
                }
                Self::Hiss => 0.2 * (-t / 0.05).exp() * chance.next(),
                Self::Click => 0.5 * f32::from(u8::from(t < 0.001)) * chance.next(),
                Self::Chord => {
                    let tones = [220.0, 277.18, 329.63, 880.0];
                    let sum: f32 = tones.iter().map(|f| (turn * f * t).sin()).sum();
                    // Away within 0.6 s, for an end that is cut off is a click.
                    let fade = (-t / 0.35).exp() * (1.0 - t / 0.6);
                    0.08 * (t / 0.01).min(1.0) * fade * sum
                }
            };
        }
    }
}

/// So many beats at a tempo, from 1 s on, over noise of a mean square in dB against full scale.
pub fn track(rate: Rate, drum: Drum, beats_a_minute: f32, count: usize, noise: f32) -> Track {
    let mut chance = Chance(7);
    let samples_a_beat = 60.0 * rate.get() as f32 / beats_a_minute;
    let beats: Vec<usize> =
        (0..count).map(|n| rate.get() as usize + (n as f32 * samples_a_beat) as usize).collect();
    let length = beats.last().map_or(0, |last| last + rate.get() as usize);
    // The mean square of even noise of amplitude 1 is 1/3.
    let amplitude = 10f32.powf(noise / 20.0) * 1.5f32.sqrt();
    let mut samples: Vec<f32> = (0..length).map(|_| amplitude * chance.next()).collect();
    for &beat in &beats {
        drum.add(rate, beat, &mut samples, &mut chance);
    }
    Track { samples, beats }
}

pub struct Track {
    pub samples: Vec<f32>,
    pub beats: Vec<usize>,
}

/// A beat as it was found: which sample it is said to be at, and which had been heard when it was said.
#[derive(Clone, Copy, Debug)]
pub struct Found {
    pub at: u64,
    pub said: u64,
}

pub fn found(rate: Rate, samples: &[f32]) -> Vec<Found> {
    let mut analyser = Analyser::new(rate, Ballistics::default());
    let mut all = Vec::new();
    for block in samples.chunks(331) {
        analyser.hear(block, |heard| {
            all.extend(heard.beat.map(|beat| Found { at: beat.at, said: heard.until }));
        });
    }
    all
}
