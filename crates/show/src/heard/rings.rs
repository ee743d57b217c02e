//! A still harbour, into which a drop falls with each beat.

use std::time::Duration;

use glowloom_sound::Impression;

use super::SoundPicture;
use crate::frame::LinearFrame;
use crate::made::ramp::{Ramp, mix, rgb, values};

/// Rings that are seen at once.
const RINGS: usize = 8;

/// How long a ring is seen, seconds.
const LASTS: f32 = 2.5;

/// How far it spreads in a second, in shares of the longer side.
const SPREADS: f32 = 0.35;

/// Dark water: with each beat a drop falls somewhere and rings spread from it; the water is the brighter
/// the louder the sound, and the greener the higher it is.
#[derive(Clone, Debug, Default)]
pub struct Rings {
    beats: u64,
    rings: [Option<Ring>; RINGS],
    next: usize,
}

#[derive(Clone, Copy, Debug)]
struct Ring {
    at: Duration,
    /// Where it fell, in shares of the width and height.
    place: [f32; 2],
}

impl SoundPicture for Rings {
    fn paint(&mut self, at: Duration, heard: &Impression, into: &mut LinearFrame) {
        if heard.beats() != self.beats {
            self.beats = heard.beats();
            self.rings[self.next] = Some(Ring { at, place: place(self.beats) });
            self.next = (self.next + 1) % RINGS;
        }
        let (columns, rows) = (into.columns() as usize, into.rows() as usize);
        let longest = columns.max(rows).max(1) as f32;
        let depths = Ramp::new([0x0A_10_38, 0x0C_3A_5C, 0x16_6E_6E, 0x3C_8C_5A]);
        let high = height(heard.bands());
        let water = depths.at(high).map(|value| value * (0.25 + 0.9 * heard.level().powi(2)));
        let drop = mix(rgb(0xBF_E8_F0), rgb(0xFF_F2_C8), high);
        let seen =
            self.rings.map(|ring| ring.and_then(|ring| ring.seen(at, longest, columns, rows)));
        for (row, out) in into.values_mut().chunks_exact_mut(columns.max(1) * 3).enumerate() {
            for (column, pixel) in out.as_chunks_mut::<3>().0.iter_mut().enumerate() {
                let here = [column as f32 + 0.5, row as f32 + 0.5];
                let lit: f32 = seen.iter().flatten().map(|ring| ring.at(here)).sum();
                *pixel = values(mix(water, drop, lit.min(1.0)));
            }
        }
    }
}

/// A ring as it is in one frame, in pixels.
#[derive(Clone, Copy)]
struct Seen {
    middle: [f32; 2],
    radius: f32,
    width: f32,
    strength: f32,
}

impl Ring {
    fn seen(self, now: Duration, longest: f32, columns: usize, rows: usize) -> Option<Seen> {
        let age = now.saturating_sub(self.at).as_secs_f32();
        if age >= LASTS {
            return None;
        }
        let left = 1.0 - age / LASTS;
        Some(Seen {
            middle: [self.place[0] * columns as f32, self.place[1] * rows as f32],
            radius: SPREADS * age * longest,
            width: (0.03 * longest).max(0.8),
            strength: 0.9 * left * left,
        })
    }
}

impl Seen {
    fn at(&self, [x, y]: [f32; 2]) -> f32 {
        let (dx, dy) = (x - self.middle[0], y - self.middle[1]);
        let off = ((dx * dx + dy * dy).sqrt() - self.radius) / self.width;
        // Further off there is nothing to see.
        if off.abs() > 3.0 { 0.0 } else { self.strength * (-off * off).exp() }
    }
}

/// Where the drop of a beat falls: scattered evenly, never close to the one before, and the same each time
/// (steps of the golden ratio and of the square root of 2).
fn place(beat: u64) -> [f32; 2] {
    let share = |step: f64| ((beat % 1_000_003) as f64 * step).fract() as f32;
    [0.1 + 0.8 * share(0.618_033_988_749_895), 0.15 + 0.7 * share(0.414_213_562_373_095)]
}

/// How high the sound is: the middle of gravity of its bands, 0 to 1.
fn height(bands: &[f32]) -> f32 {
    let (mut sum, mut moment) = (0.0, 0.0);
    for (n, share) in bands.iter().enumerate() {
        sum += share * share;
        moment += share * share * n as f32;
    }
    let last = bands.len().saturating_sub(1).max(1) as f32;
    if sum > 0.0 { moment / sum / last } else { 0.0 }
}
