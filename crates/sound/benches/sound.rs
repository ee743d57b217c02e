//! What a second of sound costs, beside a plain way to write it; and how late its figures are, in samples.
//!
//! The plain way: the same window and hops, each bin as the sum that it stands for, its sines and cosines from a
//! table, bands added up without weights. Every round runs both in turn, so that a machine that changes its speed
//! changes it for both; what counts is the median of the ratios within rounds.

use std::hint::black_box;
use std::io::{self, Write};
use std::time::Instant;

use glowloom_sound::{Analyser, Ballistics, Impression, Rate, decibels};

const ROUNDS: usize = 9;
/// Of sound, for ours; the plain way is given a part of it.
const SECONDS: usize = 10;
/// What is wanted: the plain way over ours at least.
const PLAIN_OVER_OURS: f64 = 200.0;

fn main() -> io::Result<()> {
    let rate = Rate::USUAL;
    let sound = music(rate, SECONDS);
    let second = &sound[..rate.get() as usize];
    let mut plain = Plain::new(Analyser::new(rate, Ballistics::default()).window());
    let (mut ours, mut theirs, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        let start = Instant::now();
        let mut analyser = Analyser::new(rate, Ballistics::default());
        let mut impression = Impression::of(&analyser);
        // As frames of a wall come: 30 a second.
        for block in sound.chunks(1600) {
            analyser.hear(block, |heard| impression.take(&heard));
        }
        black_box(&impression);
        let one = start.elapsed().as_secs_f64() / SECONDS as f64;
        let start = Instant::now();
        black_box(plain.hear(second));
        let other = start.elapsed().as_secs_f64();
        ours.push(one);
        theirs.push(other);
        ratios.push(other / one);
    }
    let (one, other, ratio) = (median(&mut ours), median(&mut theirs), median(&mut ratios));
    let out = &mut io::stdout().lock();
    writeln!(
        out,
        "a second of sound: {:.3} ms ours, {:.1} ms the plain way: {ratio:.0} times, wanted {PLAIN_OVER_OURS}",
        one * 1e3,
        other * 1e3
    )?;
    writeln!(out, "share of one core: {:.4} %", one * 100.0)?;
    tell_lateness(out)?;
    if ratio < PLAIN_OVER_OURS {
        return Err(io::Error::other("slower than wanted"));
    }
    Ok(())
}

/// How late half of a step of power shows, and beats are told: measured, beside what is stated.
fn tell_lateness(out: &mut impl Write) -> io::Result<()> {
    for rate in [48_000, 44_100, 16_000].map(Rate::new) {
        let rate = rate.map_err(io::Error::other)?;
        let (mut levels, mut beats) = (Vec::new(), Vec::new());
        for place in (0..50).map(|n| rate.get() as usize + 37 * n) {
            let (level, beat) = late(rate, place);
            levels.extend(level);
            beats.extend(beat);
        }
        let stated = Analyser::new(rate, Ballistics::default()).latency();
        let told = |samples: &mut Vec<f64>, stated: u32| {
            let most = samples.iter().fold(0.0f64, |a, b| a.max(*b));
            let ms = rate.milliseconds(most as u64);
            format!(
                "median {}, at most {most} samples ({ms:.1} ms), stated {stated}",
                median(samples)
            )
        };
        let (level, beat) = (told(&mut levels, stated.level), told(&mut beats, stated.beat));
        writeln!(out, "{} a second: levels {level}", rate.get())?;
        writeln!(out, "{} a second: beats {beat}", rate.get())?;
    }
    Ok(())
}

/// Samples from the beginning of a tone until half of its power shows, and until a beat is told.
fn late(rate: Rate, place: usize) -> (Option<f64>, Option<f64>) {
    let mut analyser = Analyser::new(rate, Ballistics::default());
    let turn = std::f32::consts::TAU * 1000.0 / rate.get() as f32;
    let sound: Vec<f32> = (0..place + rate.get() as usize / 2)
        .map(|n| if n < place { 0.0 } else { 0.5 * (turn * n as f32).sin() })
        .collect();
    let (mut level, mut beat) = (None, None);
    analyser.hear(&sound, |heard| {
        let late = heard.until.saturating_sub(place as u64) as f64;
        if level.is_none() && heard.powers.iter().sum::<f32>() >= 0.0625 {
            level = Some(late);
        }
        if beat.is_none() && heard.beat.is_some() {
            beat = Some(late);
        }
    });
    (level, beat)
}

/// The sum that each bin stands for.
struct Plain {
    window: usize,
    hann: Vec<f32>,
    turn: Vec<(f32, f32)>,
}

impl Plain {
    fn new(window: usize) -> Self {
        let angle = |n: usize| std::f64::consts::TAU * n as f64 / window as f64;
        Self {
            window,
            hann: (0..window).map(|n| (0.5 - 0.5 * angle(n).cos()) as f32).collect(),
            turn: (0..window).map(|n| (angle(n).cos() as f32, angle(n).sin() as f32)).collect(),
        }
    }

    /// The level of all bins together, of every hop.
    fn hear(&mut self, sound: &[f32]) -> Vec<f64> {
        let mut levels = Vec::new();
        for stretch in sound.windows(self.window).step_by(self.window / 4) {
            let windowed: Vec<f32> = stretch.iter().zip(&self.hann).map(|(s, w)| s * w).collect();
            let mut powers = Vec::with_capacity(self.window / 2 + 1);
            for bin in 0..=self.window / 2 {
                let (mut re, mut im) = (0.0f32, 0.0f32);
                for (n, sample) in windowed.iter().enumerate() {
                    let (cos, sin) = self.turn[bin * n % self.window];
                    re += sample * cos;
                    im += sample * sin;
                }
                powers.push(re * re + im * im);
            }
            levels.push(decibels(powers.iter().sum()).0);
        }
        levels
    }
}

/// Tones and beats over a little noise.
fn music(rate: Rate, seconds: usize) -> Vec<f32> {
    let mut state = 0x9E37_79B9u32;
    (0..rate.get() as usize * seconds)
        .map(|n| {
            state ^= state << 13;
            state ^= state >> 17;
            state ^= state << 5;
            let noise = (state >> 8) as f32 / 8_388_608.0 - 1.0;
            let t = n as f32 / rate.get() as f32;
            let beat = t % 0.5;
            let tone = |f: f32| (std::f32::consts::TAU * f * t).sin();
            0.1 * (tone(220.0) + tone(330.0) + tone(880.0))
                + 0.4 * (-beat / 0.1).exp() * tone(60.0)
                + 0.01 * noise
        })
        .collect()
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or_default()
}
