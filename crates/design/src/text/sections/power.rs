//! `[power]`: supplies, feeds, wires, limits, mains.

use glowloom_units::{Amps, Gauge, Hertz, Metres, Ohms, OhmsPerMetre, Volts};

use super::{amps, share, some_share, volts};
use crate::text::Written;
use crate::text::keys::{keys, section};
use crate::text::values::Value;
use crate::wall::{Edge, MainsColours};

/// Where a panel is fed.
#[derive(Clone, Debug)]
pub enum Feeds {
    /// This many, spread evenly over the near edge.
    Count(u32),
    /// These.
    List(Vec<Written<Feed>>),
}

section! {
    /// One feed of a list.
    Feed {
        /// From 1.
        strip: u32 = |v| v.count(1..=65_535),
        /// `"near"` or `"far"`: the end of the strip at that edge.
        edge: Edge = |v| v.choice(&[("near", Edge::Near), ("far", Edge::Far)]),
        /// Its own wire in place of `feed_wire`.
        wire: Wire = wire,
    }
}

section! {
    /// A wire.
    Wire {
        /// `"16 AWG"` or `"1.5 mm2"`.
        gauge: Gauge = |v| v.measured(|g: Gauge| g.area_mm2(), 1e-6..=1000.0),
        /// In place of the gauge, one way.
        ohms_per_metre: OhmsPerMetre = |v| v.number(0.0..=1000.0).map(OhmsPerMetre),
        /// What it may carry, A; absent: from the table of wire sizes.
        amps: Amps = amps,
        /// One way.
        length: Metres = |v| v.measured(|m: Metres| m.0, 0.0..=1000.0),
    }
}

/// `supply`: a catalogue key, or its figures.
#[derive(Clone, Debug)]
pub enum Supply {
    /// Catalogue key.
    Key(String),
    /// The figures themselves.
    Figures(SupplyFigures),
}

section! {
    /// The figures of a supply that no catalogue holds.
    SupplyFigures {
        /// Rated output, V.
        volts: Volts = volts,
        /// Rated output, A.
        amps: Amps = amps,
    }
}

section! {
    /// `[power]`
    Power {
        /// Catalogue key, such as `"5v-60a"`, or `{ volts = 5, amps = 60 }`.
        supply: Supply = supply,
        /// Each feeds its own zone of strips.
        supplies_per_panel: u32 = |v| v.count(1..=65_535),
        /// What the supply is set to, V; absent: the strip's volts.
        trim_volts: Volts = volts,
        /// This many, spread evenly over the near edge; or a list of `{ strip, edge, wire }`.
        feeds: Feeds = feeds,
        /// `{ gauge, length }`, one way; `ohms_per_metre` in place of the gauge; `amps` its limit.
        feed_wire: Wire = wire,
        /// The same, between two strips.
        jumper_wire: Wire = wire,
        /// Each soldered or screwed end of each conductor, ohm.
        connection_ohms: Ohms = |v| v.number(0.0..=1000.0).map(Ohms),
        /// Lowest voltage wanted at any pixel, V.
        least_volts: Volts = volts,
        /// Ceiling of every channel, 0 to 1; scales colours, never idle current.
        brightness_limit: f64 = share,
        /// Share of full white for typical figures (common practice, no source).
        typical_level: f64 = share,
        /// Inside the supply, ohm.
        supply_ohms: Ohms = |v| v.number(0.0..=1000.0).map(Ohms),
        /// Of the supply; soft.
        efficiency: f64 = some_share,
        /// Of the supply at the mains; soft, 0.95 where it is corrected.
        power_factor: f64 = some_share,
        /// Of a supply's rating, at most.
        supply_load: f64 = some_share,
        /// Of the circuit, at most.
        circuit_load: f64 = some_share,
        /// Of a fuse's rating, at most.
        fuse_load: f64 = some_share,
        /// Ratings that can be bought, A, rising.
        fuses: Vec<Written<Amps>> = |v| v.list(1..=100, |v| v.quantity(Amps, |a: Amps| a.0, 0.001..=10_000.0)),
        /// The circuit that the wall is plugged into.
        mains: Mains = |v| v.inline("a table, such as { volts = 230, colours = \"iec\" }", Mains::read),
    }
}

section! {
    /// The circuit that the wall is plugged into.
    Mains {
        /// Nominal, V.
        volts: Volts = |v| v.quantity(Volts, |x: Volts| x.0, 1.0..=1000.0),
        /// Nominal, Hz.
        hertz: Hertz = |v| v.quantity(Hertz, |x: Hertz| x.0, 1.0..=1000.0),
        /// Of the circuit's breaker, A.
        circuit_amps: Amps = |v| v.quantity(Amps, |x: Amps| x.0, 0.1..=10_000.0),
        /// `"iec"`: brown line, blue neutral, green-and-yellow earth; `"us"`: black line, white neutral, green ground.
        colours: MainsColours = |v| v.choice(&[("iec", MainsColours::Iec), ("us", MainsColours::Us)]),
        /// Length of the cord from the plug to each supply.
        cord: Metres = |v| v.measured(|m: Metres| m.0, 0.0..=1000.0),
    }
}

pub(super) fn wire(v: Value<'_, '_, '_>) -> Option<Wire> {
    v.inline("a table, such as { gauge = \"16 AWG\", length = \"1 m\" }", Wire::read)
}

pub(super) fn feeds(mut v: Value<'_, '_, '_>) -> Option<Feeds> {
    if v.is_integer() {
        return v.count(0..=65_535).map(Feeds::Count);
    }
    if v.is_list() {
        let one = "a table, such as { strip = 1, edge = \"near\" }";
        return v.list(0..=131_070, |v| v.inline(one, Feed::read)).map(Feeds::List);
    }
    v.wrong_type("how many, or a list of { strip = 1, edge = \"near\" }");
    None
}

fn supply(v: Value<'_, '_, '_>) -> Option<Supply> {
    if v.is_text() {
        return v.text().map(Supply::Key);
    }
    v.inline("a catalogue key, or { volts = 5, amps = 60 }", SupplyFigures::read)
        .map(Supply::Figures)
}
