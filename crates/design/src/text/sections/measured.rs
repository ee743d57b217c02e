//! `[[measured]]`: what a meter read, on a panel or on the bench.

use glowloom_units::{Amps, Volts};

use super::{amps, share, volts};
use crate::text::Written;
use crate::text::keys::{keys, section};
use crate::wall::{Edge, Lit};

section! {
    /// `[[measured]]`
    Measured {
        /// Name of the panel that was read.
        panel: String = |v| v.text(),
        /// Which strip, from 1; absent beside `amps`: the whole panel.
        strip: u32 = |v| v.count(1..=65_535),
        /// `"near"` or `"far"`: between the pads at that end of the strip, or in its feed.
        edge: Edge = |v| v.choice(&[("near", Edge::Near), ("far", Edge::Far)]),
        /// In place of `edge`: at that pixel of the strip, from 0 where the data comes in.
        pixel: u32 = |v| v.count(0..=65_534),
        /// Between plus and minus there, V.
        volts: Volts = volts,
        /// In the plus wire of the feed there; without `strip` into the whole panel, its receiver left out; on the bench into the roll, A.
        amps: Amps = amps,
        /// `"white"`, `"red"`, `"green"`, `"blue"`, `"black"`, or `"all"`: every colour at once, which a white picture does not give on a strip of four; absent: `"white"`.
        showing: Lit = |v| v.choice(LIT),
        /// That it was shown with, 0 to 1; absent: `brightness_limit`, on the bench 1.
        brightness: f64 = share,
        /// At the terminals of the panel's supply meanwhile, V; absent: `trim_volts`.
        volts_at_supply: Volts = volts,
        /// How far `volts` may be off either way, V; absent: 0.5 % and 0.01 V (common practice, no source).
        volts_error: Volts = |v| v.quantity(Volts, |x: Volts| x.0, LEAST_ERROR..=100.0),
        /// How far `amps` may be off either way, A; absent: 2 % and 0.05 A (common practice, no source).
        amps_error: Amps = |v| v.quantity(Amps, |x: Amps| x.0, LEAST_ERROR..=10_000.0),
        /// `true`: a roll on the bench, before anything is built.
        bench: bool = |v| v.flag(),
        /// On the bench: how many pixels are lit, from the start of the roll.
        pixels: u32 = |v| v.count(1..=MOST_ON_BENCH),
        /// On the bench: how many hang on behind them, dark; absent: none.
        dark_pixels: u32 = |v| v.count(0..=MOST_ON_BENCH),
        /// On the bench: between the pads where the roll is fed, V.
        volts_at_start: Volts = volts,
        /// On the bench: at the mark behind the last lit pixel, V.
        volts_at_end: Volts = volts,
    }
}

/// What a meter can tell, V or A.
const LEAST_ERROR: f64 = 0.000_01;

/// More than any roll.
const MOST_ON_BENCH: u32 = 10_000;

const LIT: &[(&str, Lit)] = &[
    ("white", Lit::White),
    ("red", Lit::Red),
    ("green", Lit::Green),
    ("blue", Lit::Blue),
    ("black", Lit::Black),
    ("all", Lit::All),
];

impl Measured {
    /// Keys that say something of a panel alone, those of them that are written, with their place.
    pub(crate) fn of_panel(&self) -> impl Iterator<Item = (&'static str, std::ops::Range<usize>)> {
        [
            ("panel", place(self.panel.as_ref())),
            ("strip", place(self.strip.as_ref())),
            ("edge", place(self.edge.as_ref())),
            ("pixel", place(self.pixel.as_ref())),
            ("volts", place(self.volts.as_ref())),
            ("volts_at_supply", place(self.volts_at_supply.as_ref())),
        ]
        .into_iter()
        .filter_map(|(key, span)| Some((key, span?)))
    }

    /// The same of the bench alone.
    pub(crate) fn of_bench(&self) -> impl Iterator<Item = (&'static str, std::ops::Range<usize>)> {
        [
            ("pixels", place(self.pixels.as_ref())),
            ("dark_pixels", place(self.dark_pixels.as_ref())),
            ("volts_at_start", place(self.volts_at_start.as_ref())),
            ("volts_at_end", place(self.volts_at_end.as_ref())),
        ]
        .into_iter()
        .filter_map(|(key, span)| Some((key, span?)))
    }
}

fn place<T>(written: Option<&Written<T>>) -> Option<std::ops::Range<usize>> {
    written.map(|written| written.span.clone())
}
