//! The bench test, told step by step.

use glowloom_design::Wall;
use glowloom_units::{Amps, Volts};
use serde::Serialize;

use super::points::At;
use super::words::{ordinal, volts};
use crate::findings::may_be_touched;
use crate::power::UnsolvedPanel;
use crate::power::bench::{bench, bench_pixels};
use crate::power::measure::{Expected, Softness};

/// One roll before anything is built: what to do, and what a meter should show.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BenchTest {
    /// How many pixels are lit, from the start.
    pub pixels: u32,
    /// How many hang on behind them, dark.
    pub dark_pixels: u32,
    /// To set at the roll's start.
    pub volts_at_start: Volts,
    /// At the mark behind the last lit pixel.
    pub volts_at_end: At<Volts>,
    /// Into the roll.
    pub amps: At<Amps>,
    /// For the plus lead; null where the wall's series has none so large.
    pub fuse_amps: Option<Amps>,
    /// In order; each a sentence or two.
    pub steps: Vec<String>,
    /// The entry of the wall file for what was read, its figures left open.
    pub entry: String,
}

pub(super) fn bench_test(wall: &Wall, soft: &Softness) -> Result<BenchTest, UnsolvedPanel> {
    let pixels = bench_pixels(wall, soft);
    let dark_pixels = wall.strip.roll_pixels.saturating_sub(pixels).min(MOST_DARK);
    let failed = |unsolved| UnsolvedPanel { panel: "on the bench".into(), unsolved };
    let expected = bench(wall, soft, pixels, dark_pixels).map_err(failed)?;
    let needed = expected.amps.most / wall.power.fuse_load;
    let fuse_amps = wall.power.fuses.iter().copied().find(|fuse| *fuse >= needed);
    let dark =
        if dark_pixels > 0 { format!("dark_pixels = {dark_pixels}\n") } else { String::new() };
    let mut test = BenchTest {
        pixels,
        dark_pixels,
        volts_at_start: expected.volts_at_start,
        volts_at_end: full(expected.volts_at_end),
        amps: full(expected.amps),
        fuse_amps,
        steps: Vec::new(),
        entry: format!(
            "[[measured]]\nbench = true\npixels = {pixels}\n{dark}volts_at_start = ...\n\
             volts_at_end = ...\namps = ...\n"
        ),
    };
    test.steps = steps(wall, &test);
    Ok(test)
}

/// As many as an entry of the file takes.
const MOST_DARK: u32 = 10_000;

fn full<T>(expected: Expected<T>) -> At<T> {
    let Expected { shown, least, most } = expected;
    At { brightness: 1.0, expected: shown, least, most }
}

fn steps(wall: &Wall, test: &BenchTest) -> Vec<String> {
    let BenchTest { pixels, dark_pixels, volts_at_start, volts_at_end, amps, .. } = test;
    let volts_at_start = volts(*volts_at_start);
    let fuse = match test.fuse_amps {
        Some(fuse) => format!("a fuse of {} A", fuse.0),
        None => format!("a fuse just above {}", amps.most),
    };
    let touch = if may_be_touched(&wall.power) {
        "although its output may be touched, it can weld and burn"
    } else {
        "its output is dangerous to touch, and can weld and burn"
    };
    let rest = match dark_pixels {
        0 => String::new(),
        n => format!(" and leave the other {n} dark"),
    };
    let mark = match dark_pixels {
        0 => "the pads at the end of the roll".to_owned(),
        _ => format!("the mark behind the {} pixel", ordinal(*pixels)),
    };
    vec![
        "Unroll the strip to its whole length, on something that does not burn. Never light it wound up: \
         it cannot give off its heat, and melts or burns."
            .into(),
        format!(
            "Take a supply with a current limit, set to {volts_at_start} and {}. If there is none, take \
             the panel's supply: {touch}, so {fuse} goes into the plus lead at the supply first. A fuse \
             there is good in any case.",
            amps.most
        ),
        format!(
            "Polarity before power: with the strip not yet joined, switch on, and read {volts_at_start} \
             at the free ends of the leads with the red tip on plus; a minus sign means that they are \
             swapped. The strip does not survive that, nor more than {}. Switch off.",
            volts(wall.strip.max_volts)
        ),
        "Read the resistance between plus and minus of the strip: close to 0 ohm there is a short; find \
         it first."
            .into(),
        "Join the leads to the start of the roll, where its arrows point away from, plus to plus and \
         minus to minus; feed no other place. Join minus of the board that gives the data to minus of \
         the strip. Keep the board off a computer's USB while the supply feeds it, unless the 5 V are \
         parted."
            .into(),
        format!(
            "Switch on and light the first {pixels} pixels white at full brightness{rest}. A wall file \
             of one panel with columns = {pixels}, rows = 1, strips = \"horizontal\" and brightness_limit = 1, and a white \
             picture shown with --brightness 1 do it."
        ),
        "Stay with it, and for no longer than reading takes. Switch off if anything smells, or is too \
         hot to keep a finger on."
            .into(),
        format!("Read the volts between the pads at the start: about {volts_at_start}."),
        format!(
            "Read the volts at {mark}: about {}, {} to {} for strips of that name.",
            volts(volts_at_end.expected),
            volts(volts_at_end.least),
            volts(volts_at_end.most),
        ),
        format!(
            "Read the amps in the plus lead: about {}, {} to {}. A meter in line, in its socket for \
             10 A, takes a share of the volts: read them with another while it is in. Take its lead out \
             of that socket before its tips go to volts again: there it is a short.",
            amps.expected, amps.least, amps.most
        ),
        "Switch off, and write what was read into the wall file.".into(),
    ]
}
