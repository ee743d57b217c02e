//! Where a meter goes, and what it should show: a few places on each panel, each with a band that comes
//! from how little is known of the strip before it is measured.

use glowloom_design::Wall;
use glowloom_design::wall::{Edge, Strip};
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
    fn variants(&self, network: &Network) -> Vec<Network> {
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
}

impl Place {
    /// The voltage there; `None` where the network has no such place.
    #[must_use]
    pub fn volts(self, solution: &Solution) -> Option<Volts> {
        let network = solution.network();
        let (strip, pixel) = match self {
            Self::Pad { strip, .. } => (strip, 0),
            Self::Pixel { strip, pixel } => (strip, pixel),
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
    fn new(shown: T) -> Self {
        Self { shown, least: shown, most: shown }
    }

    fn widen(&mut self, to: T) {
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
}

/// What to measure on a panel at full white of some brightnesses.
#[derive(Clone, Debug, PartialEq)]
pub struct Measurements {
    /// By place, none twice; at most twelve.
    pub points: Vec<Point>,
    /// Of the whole panel, receiver left out, at each brightness.
    pub amps: Vec<Expected<Amps>>,
}

/// Where to measure on a panel, and what to expect at full white of each brightness, 0 to 1. The places
/// are those of the first brightness. A strip within `soft` is within the bands to a millivolt.
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
        let white = |network: &Network| Sinks::white(network.law(), *brightness);
        let solution = Solver::new(network).solve(&white(network))?;
        if found.amps.is_empty() {
            let point = |(place, why)| Point { place, why, volts: Vec::new() };
            found.points = chosen(&solution).into_iter().map(point).collect();
        }
        let mut amps = Expected::new(solution.amps());
        let mut volts: Vec<Expected<Volts>> =
            found.points.iter().map(|point| Expected::new(point.place.on(&solution))).collect();
        for variant in &variants {
            let solution = Solver::new(variant).solve(&white(variant))?;
            amps.widen(solution.amps());
            for (volts, point) in volts.iter_mut().zip(&found.points) {
                volts.widen(point.place.on(&solution));
            }
        }
        found.amps.push(amps);
        for (point, volts) in found.points.iter_mut().zip(volts) {
            point.volts.push(volts);
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
    let edge = if network.start_edge(last) == Edge::Near { Edge::Far } else { Edge::Near };
    if network.is_live(last) {
        add(Some(Place::Pad { strip: narrow(last + 1), edge }), Why::LastEnd);
    }
    places
}

/// A length of the roll on the bench before anything is built: so many pixels white, fed at the start.
#[derive(Clone, Debug, PartialEq)]
pub struct Bench {
    /// How many pixels to light.
    pub pixels: u32,
    /// What the supply is set to at the strip's start.
    pub volts_at_start: Volts,
    /// At the other end.
    pub volts_at_end: Expected<Volts>,
    /// Into the strip.
    pub amps: Expected<Amps>,
}

/// How many pixels of a roll to light on the bench: so many that the drop is plain to see, and so few
/// that no pixel falls below a knee and the rail is not overloaded, even with the worst strip of that
/// name. 1 at least.
#[must_use]
pub fn bench_pixels(wall: &Wall, soft: &Softness) -> u32 {
    let network = Network::bench(wall, 1, wall.power.trim_volts);
    let law = network.law().with_channel_amps(soft.channel[1]);
    let pixel = law.nominal_amps(1.0);
    // Both rails; the drop along a strip that is fed at one end is r i n^2 / 2 for each.
    let step = soft.rail[1] * wall.pitch() * 2.0;
    let room = (wall.power.trim_volts - law.top_knee()).max(Volts(0.0));
    let by_drop = (2.0 * room.0 / (step.0 * pixel.0)).sqrt();
    let by_rail = wall.strip.rail_amps / pixel;
    let most = by_drop.min(by_rail).floor();
    let roll = f64::from(wall.strip.roll_pixels);
    // Not a number where nothing drops and nothing is drawn: then the whole roll.
    let most = if most.is_nan() { roll } else { most.clamp(1.0, roll) };
    (1..=wall.strip.roll_pixels).take_while(|n| f64::from(*n) <= most).last().unwrap_or(1)
}

/// What a meter should show on the bench.
///
/// # Errors
/// [`Unsolved`] where the strip's network is.
pub fn bench(wall: &Wall, soft: &Softness, pixels: u32) -> Result<Bench, Unsolved> {
    let volts_at_start = wall.power.trim_volts;
    let network = Network::bench(wall, pixels, volts_at_start);
    let white = |network: &Network| -> Result<(Volts, Amps), Unsolved> {
        let solution = Solver::new(network).solve(&Sinks::white(network.law(), 1.0))?;
        Ok((solution.volts_at(1, Edge::Far), solution.amps()))
    };
    let (volts, amps) = white(&network)?;
    let (mut volts_at_end, mut amps) = (Expected::new(volts), Expected::new(amps));
    for variant in soft.variants(&network) {
        let (volts, drawn) = white(&variant)?;
        volts_at_end.widen(volts);
        amps.widen(drawn);
    }
    Ok(Bench { pixels, volts_at_start, volts_at_end, amps })
}
