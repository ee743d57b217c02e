//! Where a meter goes, and what it should show: a few places on each panel, each with a band that comes
//! from how little is known of the strip before it is measured.

use glowloom_design::wall::{Edge, Lit, Strip};
use glowloom_units::{Amps, OhmsPerMetre, Volts};

use super::network::Network;
use super::sinks::Sinks;
use super::solution::Solution;
use super::solve::{Solver, Unsolved};

/// Most places that a panel has.
const MOST_POINTS: usize = 12;
/// Of a catalogue's rail resistance: strips of one name are seen from 0.04 to 0.2 ohm/m where it says
/// 0.10 (from memory; soft).
const RAIL: [f64; 2] = [0.4, 2.0];
/// Of a catalogue's current for one colour: 8 to 22 mA were measured where it says 20 (quoted from
/// others' measurements; soft).
const CHANNEL: [f64; 2] = [0.4, 1.1];

/// Rail resistances that a band is made from.
const RAIL_STEPS: u32 = 7;

/// How far two soft inputs may lie from what the wall file says: least, most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Softness {
    /// One rail of the strip, one way.
    pub rail: [OhmsPerMetre; 2],
    /// One colour, full on.
    pub channel: [Amps; 2],
}

impl Softness {
    /// Of a strip that nobody has measured.
    #[must_use]
    pub fn unmeasured(strip: &Strip) -> Self {
        Self {
            rail: RAIL.map(|factor| strip.rail_ohms_per_metre * factor),
            channel: CHANNEL.map(|factor| strip.channel_amps * factor),
        }
    }

    /// The network as it may be. Less current never lowers a voltage, so that its two ends are enough;
    /// how feeds share it out may turn somewhere between the rail's.
    pub(super) fn variants(&self, network: &Network) -> Vec<Network> {
        let [low, high] = self.rail;
        let rails = (0..RAIL_STEPS).map(|i| {
            let share = f64::from(i) / f64::from(RAIL_STEPS - 1);
            // Evenly by ratio, or by difference where the least is none.
            if low.0 > 0.0 { low * (high / low).powf(share) } else { low + (high - low) * share }
        });
        let with = |rail: OhmsPerMetre| {
            self.channel.map(|amps| network.with_strip(rail, network.law().with_channel_amps(amps)))
        };
        rails.flat_map(with).collect()
    }
}

/// A place that a meter's tips can reach. Strips count from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// Between the plus and minus pads of a strip end.
    Pad {
        /// The strip.
        strip: u32,
        /// Which end of it.
        edge: Edge,
    },
    /// Between plus and minus at a pixel: the cut marks on either side of it differ from that by half
    /// a step.
    Pixel {
        /// The strip.
        strip: u32,
        /// From 0, as the strip's data runs.
        pixel: u32,
    },
    /// At the cut mark behind a pixel, or the pads behind the last.
    Mark {
        /// The strip.
        strip: u32,
        /// The pixel before the mark, from 0 as the strip's data runs.
        pixel: u32,
    },
}

impl Place {
    /// The voltage there; `None` where the network has no such place.
    #[must_use]
    pub fn volts(self, solution: &Solution) -> Option<Volts> {
        let network = solution.network();
        let (strip, pixel) = match self {
            Self::Pad { strip, .. } => (strip, 0),
            Self::Pixel { strip, pixel } | Self::Mark { strip, pixel } => (strip, pixel),
        };
        let there = (1..=network.strips()).contains(&(strip as usize))
            && (pixel as usize) < network.strip_pixels();
        there.then(|| self.on(solution))
    }

    /// The voltage at a place that there is.
    fn on(self, solution: &Solution) -> Volts {
        match self {
            Self::Pad { strip, edge } => solution.volts_at(strip, edge),
            Self::Pixel { strip, pixel } => {
                let first = (strip as usize - 1) * solution.network().strip_pixels();
                solution.volts(first + pixel as usize)
            }
            Self::Mark { strip, pixel } => {
                let network = solution.network();
                let start = network.start_edge(strip as usize - 1);
                if pixel as usize + 1 == network.strip_pixels() {
                    return solution.volts_at(strip, start.opposite());
                }
                // Nothing is drawn between two pixels, and the mark lies midway.
                let at = |pixel| Self::Pixel { strip, pixel }.on(solution);
                (at(pixel) + at(pixel + 1)) / 2.0
            }
        }
    }
}

/// Why a place was chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// The feed that carries most of its supply's.
    StrongestFeed,
    /// The feed that carries least of its supply's.
    WeakestFeed,
    /// The strip end with the lowest voltage of its supply's.
    LowestEnd,
    /// The pixel with the lowest voltage of its supply's.
    LowestPixel,
    /// The end of the path.
    LastEnd,
}

/// What a meter should show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected<T> {
    /// With the strip as the wall file has it.
    pub shown: T,
    /// With the strip as it may be.
    pub least: T,
    /// With the strip as it may be.
    pub most: T,
}

impl<T: Copy + PartialOrd> Expected<T> {
    pub(super) fn new(shown: T) -> Self {
        Self { shown, least: shown, most: shown }
    }

    pub(super) fn widen(&mut self, to: T) {
        if to < self.least {
            self.least = to;
        }
        if to > self.most {
            self.most = to;
        }
    }
}

/// A place with what is expected there.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Where.
    pub place: Place,
    /// Why there.
    pub why: Why,
    /// At each brightness that was asked for.
    pub volts: Vec<Expected<Volts>>,
    /// Where a feed lands: in its plus wire, at each brightness. Elsewhere none.
    pub amps: Vec<Expected<Amps>>,
}

/// What to measure on a panel that shows a white picture under some brightnesses.
#[derive(Clone, Debug, PartialEq)]
pub struct Measurements {
    /// By place, none twice; at most twelve.
    pub points: Vec<Point>,
    /// Of the whole panel, receiver left out, at each brightness.
    pub amps: Vec<Expected<Amps>>,
}

/// A white picture: on a strip of four colours its white alone.
fn white(network: &Network, brightness: f64) -> Sinks {
    let law = network.law();
    Sinks::even(law, Lit::White.levels(law.channels()), brightness)
}

/// In the plus wire of the feed that lands at a place; `None` where none does.
fn feed_amps(place: Place, solution: &Solution) -> Option<Amps> {
    let Place::Pad { strip, edge } = place else { return None };
    let mut feeds = solution.network().taps().iter().zip(solution.feeds());
    let found = feeds.find(|(tap, _)| (tap.strip, tap.edge) == (strip, edge));
    found.map(|(_, feed)| feed.plus)
}

/// Where to measure on a panel, and what to expect of a white picture under each brightness, 0 to 1. The
/// places are those of the first brightness. A strip within `soft` is within the bands to a millivolt.
///
/// # Errors
/// [`Unsolved`] where one of the networks is.
pub fn measurements(
    network: &Network,
    soft: &Softness,
    brightness: &[f64],
) -> Result<Measurements, Unsolved> {
    let variants = soft.variants(network);
    let mut found = Measurements { points: Vec::new(), amps: Vec::new() };
    for brightness in brightness {
        let solution = Solver::new(network).solve(&white(network, *brightness))?;
        if found.amps.is_empty() {
            let point = |(place, why)| Point { place, why, volts: Vec::new(), amps: Vec::new() };
            found.points = chosen(&solution).into_iter().map(point).collect();
        }
        let mut amps = Expected::new(solution.amps());
        let mut volts: Vec<Expected<Volts>> =
            found.points.iter().map(|point| Expected::new(point.place.on(&solution))).collect();
        let fed = |point: &Point| feed_amps(point.place, &solution).map(Expected::new);
        let mut fed: Vec<Option<Expected<Amps>>> = found.points.iter().map(fed).collect();
        for variant in &variants {
            let solution = Solver::new(variant).solve(&white(variant, *brightness))?;
            amps.widen(solution.amps());
            for ((volts, fed), point) in volts.iter_mut().zip(&mut fed).zip(&found.points) {
                volts.widen(point.place.on(&solution));
                if let (Some(fed), Some(amps)) = (fed, feed_amps(point.place, &solution)) {
                    fed.widen(amps);
                }
            }
        }
        found.amps.push(amps);
        for ((point, volts), fed) in found.points.iter_mut().zip(volts).zip(fed) {
            point.volts.push(volts);
            point.amps.extend(fed);
        }
    }
    Ok(found)
}

/// The places of a solved panel that say most.
fn chosen(solution: &Solution) -> Vec<(Place, Why)> {
    let network = solution.network();
    let narrow = |i: usize| u32::try_from(i).unwrap_or(u32::MAX);
    let mut places: Vec<(Place, Why)> = Vec::new();
    let mut add = |place: Option<Place>, why: Why| {
        let Some(place) = place else { return };
        if places.len() < MOST_POINTS && places.iter().all(|(known, _)| *known != place) {
            places.push((place, why));
        }
    };
    let feeds: Vec<_> = network.taps().iter().zip(solution.feeds()).collect();
    let pad = |i: usize| Place::Pad { strip: feeds[i].0.strip, edge: feeds[i].0.edge };
    for supply in 0..network.supplies() {
        let of = || (0..feeds.len()).filter(|i| feeds[*i].1.supply == supply);
        let amps = |i: &usize| feeds[*i].1.plus.0;
        let by_amps = |a: &usize, b: &usize| amps(a).total_cmp(&amps(b));
        add(of().max_by(by_amps).map(pad), Why::StrongestFeed);
        add(of().min_by(by_amps).map(pad), Why::WeakestFeed);
        let strips = (0..network.strips())
            .filter(|strip| network.is_live(*strip) && network.zone(*strip) == supply);
        let lowest = |places: &mut dyn Iterator<Item = Place>| {
            let volts = |place: &Place| place.on(solution).0;
            places.min_by(|a, b| volts(a).total_cmp(&volts(b)))
        };
        let ends = |strip: usize| {
            [Edge::Near, Edge::Far].map(|edge| Place::Pad { strip: narrow(strip + 1), edge })
        };
        add(lowest(&mut strips.clone().flat_map(ends)), Why::LowestEnd);
        let pixels = |strip: usize| {
            let of = move |pixel| Place::Pixel { strip: narrow(strip + 1), pixel: narrow(pixel) };
            (0..network.strip_pixels()).map(of)
        };
        add(lowest(&mut strips.flat_map(pixels)), Why::LowestPixel);
    }
    let last = network.strips() - 1;
    let edge = network.start_edge(last).opposite();
    if network.is_live(last) {
        add(Some(Place::Pad { strip: narrow(last + 1), edge }), Why::LastEnd);
    }
    places
}
