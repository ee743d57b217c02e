//! Levels and bands of sounds that are known, how late they are, and what hearing costs in memory.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod tracks;

use glowloom_sound::{Analyser, Ballistics, Impression, Rate, a_weighting, decibels};
use glowloom_units::{Decibels, Hertz};
use tracks::{Chance, Drum, track};

fn tone(rate: Rate, frequency: f64, amplitude: f64, samples: usize) -> Vec<f32> {
    let turn = std::f64::consts::TAU * frequency / f64::from(rate.get());
    (0..samples).map(|n| (amplitude * (turn * n as f64).sin()) as f32).collect()
}

/// A tone lies in its band with the level that it has, and seems as loud as its weight says.
#[test]
fn tones_have_their_levels() {
    for rate in [48_000, 44_100, 22_050].map(|rate| Rate::new(rate).unwrap()) {
        let mut analyser = Analyser::new(rate, Ballistics::default());
        let bands = analyser.bands().to_vec();
        for (n, band) in bands.iter().enumerate().filter(|(_, band)| band.middle.0 > 400.0) {
            let sound = tone(rate, band.middle.0, 0.1, rate.get() as usize);
            let (mut found, mut loudness) = (vec![], Decibels(0.0));
            analyser.hear(&sound, |heard| {
                found = heard.powers.to_vec();
                loudness = heard.loudness;
            });
            let level = decibels(found[n]);
            assert!((level.0 + 20.0).abs() < 0.05, "{rate:?} {band:?}: {level:?}");
            let weighted = -20.0 + a_weighting(band.middle).0;
            assert!((loudness.0 - weighted).abs() < 0.1, "{band:?}: {loudness:?}, not {weighted}");
            // Hann's side lobes are far below by then.
            for (other, power) in found.iter().enumerate().filter(|(m, _)| m.abs_diff(n) > 1) {
                assert!(decibels(*power).0 < -70.0, "{band:?} shows in {:?}", bands[other]);
            }
        }
    }
}

/// Even noise has, in each band, the share of its power that the band has of all frequencies.
#[test]
fn noise_is_shared_out_by_width() {
    let rate = Rate::USUAL;
    let mut chance = Chance(5);
    let noise: Vec<f32> = (0..20 * rate.get()).map(|_| 0.3 * chance.next()).collect();
    let mut analyser = Analyser::new(rate, Ballistics::default());
    let mut sums = vec![0.0f64; analyser.bands().len()];
    let mut hops = 0;
    analyser.hear(&noise, |heard| {
        hops += 1;
        for (sum, power) in sums.iter_mut().zip(heard.powers) {
            *sum += f64::from(*power);
        }
    });
    for (band, sum) in analyser.bands().iter().zip(sums) {
        let wanted = 0.03 * (band.high - band.low).0 / 24_000.0;
        let apart = 10.0 * (sum / f64::from(hops) / wanted).log10();
        assert!(apart.abs() < 1.0, "{band:?}: {apart} dB");
    }
}

/// Half of a change of power shows within the latency stated, wherever in a hop it comes; and the mean over
/// all places is half a window and half a hop.
#[test]
fn levels_are_as_late_as_is_stated() {
    let rate = Rate::USUAL;
    let (mut most, mut sum) = (0, 0);
    let places: Vec<usize> = (0..64).map(|n| 10_000 + 8 * n).collect();
    for &place in &places {
        let mut sound = vec![0.0; place];
        sound.extend(tone(rate, 3000.0, 0.5, 8000));
        let mut analyser = Analyser::new(rate, Ballistics::default());
        let mut shown = None;
        analyser.hear(&sound, |heard| {
            // Half of 1/8.
            if shown.is_none() && heard.powers.iter().sum::<f32>() >= 0.0625 {
                shown = Some(heard.until as usize);
            }
        });
        let late = shown.unwrap() - place;
        most = most.max(late);
        sum += late;
    }
    let latency = Analyser::new(rate, Ballistics::default()).latency();
    let mean = sum / places.len();
    assert!(most <= latency.level as usize, "{most} samples, stated {latency:?}");
    assert!(mean.abs_diff(1024 + 256) <= 16, "{mean}");
}

/// Blocks of any size give the same.
#[test]
fn the_size_of_blocks_does_not_matter() {
    let sound = track(Rate::USUAL, Drum::Hiss, 100.0, 3, -60.0).samples;
    let heard_in = |size: usize| {
        let mut analyser = Analyser::new(Rate::USUAL, Ballistics::default());
        let mut all = Vec::new();
        for block in sound.chunks(size) {
            analyser.hear(block, |heard| {
                all.push((heard.until, heard.level, heard.beat, heard.powers.to_vec()));
            });
        }
        all
    };
    let whole = heard_in(sound.len());
    assert!(whole.len() > 100);
    assert!(whole == heard_in(1));
    assert!(whole == heard_in(513));
}

/// What is no number is silence, and does not last.
#[test]
fn broken_samples_do_no_harm() {
    let mut analyser = Analyser::new(Rate::USUAL, Ballistics::default());
    analyser.hear(&[f32::NAN, f32::INFINITY, -f32::INFINITY, 1e30].repeat(2000), |heard| {
        assert!(heard.level.0.is_finite() && heard.powers.iter().all(|power| power.is_finite()));
    });
    let mut last = Decibels(0.0);
    analyser.hear(&[0.0; 48_000 * 5], |heard| last = heard.level);
    assert!(last.0 <= -119.9, "{last:?}");
}

/// Hearing takes no memory once it has begun.
#[test]
fn hearing_takes_no_memory() {
    let sound = track(Rate::USUAL, Drum::Chord, 120.0, 4, -50.0).samples;
    let mut analyser = Analyser::new(Rate::USUAL, Ballistics::default());
    let mut impression = Impression::of(&analyser);
    let counted = allocation_counter::measure(|| {
        for block in sound.chunks(800) {
            analyser.hear(block, |heard| impression.take(&heard));
        }
    });
    assert_eq!(counted.count_total, 0);
    assert!(impression.beats() >= 4);
}

/// Loud or quiet, the same sound makes the same impression, and hiss makes none.
#[test]
fn impressions_do_not_depend_on_the_volume() {
    let impression_at = |volume: f32| {
        let mut analyser = Analyser::new(Rate::USUAL, Ballistics::default());
        let mut impression = Impression::of(&analyser);
        let sound: Vec<f32> =
            tone(Rate::USUAL, 1000.0, 0.9, 48_000).iter().map(|s| s * volume).collect();
        analyser.hear(&sound, |heard| impression.take(&heard));
        impression
    };
    let (loud, quiet) = (impression_at(1.0), impression_at(0.02));
    assert!(loud.level() > 0.95 && quiet.level() > 0.95);
    for (a, b) in loud.bands().iter().zip(quiet.bands()) {
        assert!((a - b).abs() < 0.05, "{a} {b}");
    }
    let hiss = impression_at(0.0003);
    assert!(hiss.bands().iter().all(|band| *band < 0.01), "{:?}", hiss.bands());
    let band = loud.bands().iter().position(|band| *band > 0.99).unwrap();
    let analyser = Analyser::new(Rate::USUAL, Ballistics::default());
    assert!((analyser.bands()[band].middle - Hertz(1000.0)).abs().0 < 1.0);
}
