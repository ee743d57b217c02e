//! The supply guard's rows: every limit of a panel as weights, one for each pixel, so that live output
//! can hold each frame to them by that frame's own currents.
//!
//! Above the knees sinks are constant, so that every current and every drop is a sum of the pixels'
//! currents, each with its weight. Below a knee a sink draws less than is assumed. Where the weights are
//! not negative, less is on the safe side: supplies, feeds, drops. Currents in jumpers and rails may
//! flow either way; if no pixel is ever let below a knee, the signed sum is exact, and otherwise
//! only the pixels that push one way are counted.
//!
//! A rail step of a strip carries no more than the larger of the strip's two ends, and a pixel between
//! two others drops no more than the lower of them and what their own step can sag. So a row
//! at every strip end and at a few pixels of every strip speaks for all steps and all pixels. A row
//! that no frame can break is left out.

use std::fmt;

use glowloom_design::Wall;
use glowloom_design::wall::Edge;
use glowloom_units::{Amps, Ohms};
use glowloom_wire::guard::GuardRow;

use super::figures::edge_key;
use super::ladder::Field;
use super::limits::{Binding, Limits};
use super::mains::mains_amps;
use super::network::{Network, at_least};
use super::solution::Rail;
use super::solve::Solver;
use super::wall::Networks;

/// Most that the pixels between two rows may sag below them, of what all may drop.
const SAG: f64 = 0.005;
/// Of pixels, at most so many rows a panel, but two a strip at least.
const MOST_PIXEL_ROWS: usize = 1024;
/// What may be left out at the ends of a row, of its limit; it is taken off the limit.
const CUT: f64 = 1e-4;
/// Narrow numbers and sums lose this much at most; it is taken off every limit.
const NARROW: f64 = 1e-6;

/// What a row guards. Strips and supplies count from 1, pixels from 0 along their strip's data.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)] // the fields are their names
pub enum Guarded {
    /// A supply's rating.
    Supply { supply: u32 },
    /// A feed's fuse and wire.
    Feed { strip: u32, edge: Edge, rail: Rail },
    /// The jumper after a strip, and what hangs on it.
    Jumper { strip: u32, rail: Rail },
    /// The end of a strip's own rail.
    Rail { strip: u32, edge: Edge, rail: Rail },
    /// The voltage of a pixel.
    Pixel { strip: u32, pixel: u32 },
}

impl fmt::Display for Guarded {
    /// In words for people.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Supply { supply } => write!(f, "supply {supply}"),
            Self::Feed { strip, edge, rail } => {
                write!(f, "feed at strip {strip}, {} edge, {rail}", edge_key(*edge))
            }
            Self::Jumper { strip, rail } => write!(f, "jumper after strip {strip}, {rail}"),
            Self::Rail { strip, edge, rail } => {
                write!(f, "strip {strip} at its {} edge, {rail}", edge_key(*edge))
            }
            Self::Pixel { strip, pixel } => write!(f, "volts of strip {strip}, pixel {pixel}"),
        }
    }
}

/// A limit as a sum. Each pixel's number is its red, green, blue and, if there is one, white added
/// up, each 0 to 1 in linear light as the strip gets it. Idle currents are in the limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What it guards.
    pub guards: Guarded,
    /// As it is handed on: weights over the pixels in path order, and what they may add up to.
    pub held: GuardRow,
}

impl Row {
    /// Whose limit it is.
    #[must_use]
    pub fn binding(&self) -> Binding {
        match self.guards {
            Guarded::Supply { .. } => Binding::Supply,
            Guarded::Feed { .. } => Binding::Fuse,
            Guarded::Jumper { .. } => Binding::Jumper,
            Guarded::Rail { .. } => Binding::Rail,
            Guarded::Pixel { .. } => Binding::LeastVolts,
        }
    }
}

/// The largest share of a frame that keeps to every row.
#[must_use]
pub fn gain(rows: &[Row], numbers: &[f32]) -> f64 {
    rows.iter().map(|row| row.held.share(numbers)).fold(1.0, f64::min)
}

/// What the numbers of all pixels of the wall may add up to, for its mains circuit.
#[must_use]
pub fn circuit(wall: &Wall, networks: &Networks) -> f64 {
    let limit = wall.power.mains.circuit_amps * wall.power.circuit_load;
    let idle: Amps = (0..wall.panels.len())
        .map(|panel| &networks.all()[networks.kind(panel)])
        .map(|network| network.law().idle_amps() * f64::from(count(network.live_pixels())))
        .sum();
    // Linear in what the strips draw: the room that is left, in amps of one colour full on.
    let dark = mains_amps(wall, idle);
    let one = mains_amps(wall, idle + wall.strip.channel_amps) - dark;
    if one.0 > 0.0 { ((limit - dark) / one).max(0.0) * (1.0 - NARROW) } else { f64::INFINITY }
}

/// The rows of a panel.
#[must_use]
pub fn rows(network: &Network, limits: &Limits) -> Vec<Row> {
    let mut solver = Solver::new(network);
    let idle = network.law().idle_amps().0;
    let dark = solver.drops(|_| idle).clone();
    let signed = limits.least_volts >= network.law().top_knee();
    let mut maker = Maker { network, limits, solver, dark, signed, rows: Vec::new() };
    maker.supplies();
    maker.feeds();
    maker.joints();
    maker.pixels();
    maker.rows
}

/// A figure that is linear in the potentials: its factor at each node that it takes in.
type Figure<'f> = &'f dyn Fn(&mut Field);

struct Maker<'n> {
    network: &'n Network,
    limits: &'n Limits,
    solver: Solver<'n>,
    /// What the idle currents do to every potential.
    dark: Field,
    signed: bool,
    rows: Vec<Row>,
}

impl Maker<'_> {
    /// Amps of a pixel by its number.
    fn channel(&self) -> f64 {
        self.network.law().channel_amps().0
    }

    /// The highest number of a pixel.
    fn brightest(&self) -> f64 {
        if self.network.law().channels() == 4 { 4.0 } else { 3.0 }
    }

    fn supplies(&mut self) {
        let network = self.network;
        for supply in 0..network.supplies() {
            let fed = |pixel: usize| {
                let strip = pixel / network.strip_pixels();
                network.is_live(strip) && network.zone(strip) == supply
            };
            // All that its pixels draw comes from it, whatever the voltage.
            let weights: Vec<f64> =
                (0..network.pixels()).map(|p| if fed(p) { self.channel() } else { 0.0 }).collect();
            let pixels: f64 = weights.iter().map(|w| if *w > 0.0 { 1.0 } else { 0.0 }).sum();
            let limit = self.limits.strips(supply).0 - pixels * network.law().idle_amps().0;
            self.keep(Guarded::Supply { supply: number(supply) }, weights, limit);
        }
    }

    fn feeds(&mut self) {
        let network = self.network;
        for tap in network.taps() {
            let strip = tap.strip as usize - 1;
            let (node, supply) = (network.pad(tap.strip, tap.edge), network.zone(strip));
            let apart = network.segment_of(strip).apart;
            let conductance = 1.0 / at_least(tap.ohms) * if apart { 1.0 } else { 0.5 };
            let mut guards = Guarded::Feed { strip: tap.strip, edge: tap.edge, rail: Rail::Plus };
            if let Some(limit) = self.limits.feed(tap) {
                self.one_way(guards, limit.0, &|to| {
                    to.supply[supply] += conductance;
                    to.plus[node] -= conductance;
                });
            }
            if let (true, Some(limit)) = (apart, tap.limit) {
                guards = Guarded::Feed { strip: tap.strip, edge: tap.edge, rail: Rail::Minus };
                self.one_way(guards, limit.0, &|to| to.minus[node] += conductance);
            }
        }
    }

    /// Every jumper, and both ends of every strip. Where no feed comes in between, an end of a strip
    /// carries what its jumper does and needs no row of its own.
    fn joints(&mut self) {
        let network = self.network;
        let stride = network.stride();
        for strip in 0..network.strips() {
            let rails: &[Rail] = if network.segment_of(strip).apart {
                &[Rail::Plus, Rail::Minus]
            } else {
                &[Rail::Plus]
            };
            for rail in rails {
                let start = strip * stride;
                let end = start + stride - 1;
                let goes_on = self.conductance(end, *rail) > 0.0;
                let own_start = network.tap[start] > 0.0;
                let own_end = network.tap[end] > 0.0;
                if own_start {
                    let guards = self.end(strip, start, *rail);
                    self.step(guards, start, *rail, self.limits.rail.0);
                }
                if own_end {
                    let guards = self.end(strip, end, *rail);
                    self.step(guards, end - 1, *rail, self.limits.rail.0);
                }
                if !goes_on {
                    continue;
                }
                // The rail's limit as well where either strip end carries the very same.
                let same = !own_end || network.tap[end + 1] <= 0.0;
                let jumper = self.limits.jumper.map_or(f64::INFINITY, |amps| amps.0);
                let limit = if same { jumper.min(self.limits.rail.0) } else { jumper };
                if limit.is_finite() {
                    let guards = Guarded::Jumper { strip: number(strip), rail: *rail };
                    self.step(guards, end, *rail, limit);
                }
            }
        }
    }

    fn end(&self, strip: usize, node: usize, rail: Rail) -> Guarded {
        let near = self.network.start_edge(strip) == Edge::Near;
        let at_start = node.is_multiple_of(self.network.stride());
        let edge = if near == at_start { Edge::Near } else { Edge::Far };
        Guarded::Rail { strip: number(strip), edge, rail }
    }

    fn conductance(&self, node: usize, rail: Rail) -> f64 {
        match rail {
            Rail::Plus => self.network.plus[node],
            Rail::Minus => self.network.minus[node],
        }
    }

    /// The current from a node to the next, both ways.
    fn step(&mut self, guards: Guarded, node: usize, rail: Rail, limit: f64) {
        let apart = self.network.segment_of(node / self.network.stride()).apart;
        let conductance = self.conductance(node, rail) * if apart { 1.0 } else { 0.5 };
        for way in [conductance, -conductance] {
            self.one_way(guards, limit, &|to| {
                let potentials = if rail == Rail::Plus { &mut to.plus } else { &mut to.minus };
                potentials[node] += way;
                potentials[node + 1] -= way;
            });
        }
    }

    /// A current as a row.
    fn one_way(&mut self, guards: Guarded, limit: f64, figure: Figure) {
        let mut weights = self.weights(figure);
        let idle = self.network.law().idle_amps().0;
        let set_aside = if self.signed {
            weights.iter().sum::<f64>() * idle
        } else {
            for weight in &mut weights {
                *weight = weight.max(0.0);
            }
            weights.iter().sum::<f64>() * idle
        };
        let channel = self.channel();
        let weights = weights.into_iter().map(|weight| weight * channel).collect();
        self.keep(guards, weights, limit - set_aside);
    }

    /// What one ampere of each pixel adds to a figure; 0 for dead pixels.
    fn weights(&mut self, figure: Figure) -> Vec<f64> {
        let network = self.network;
        // By reciprocity: the response at every node to the figure's factors taken as currents.
        let field = self.solver.response(figure);
        (0..network.pixels())
            .map(|pixel| {
                let strip = pixel / network.strip_pixels();
                let node = network.node(pixel);
                match (network.is_live(strip), network.segment_of(strip).apart) {
                    (false, _) => 0.0,
                    (true, true) => field.plus[node] - field.minus[node],
                    (true, false) => field.plus[node],
                }
            })
            .collect()
    }

    fn pixels(&mut self) {
        let network = self.network;
        let most = network.trim().0 - self.limits.least_volts.0;
        let pixels = network.strip_pixels();
        // Both rails of one step.
        let step = 2.0 * at_least(Ohms(network.rail().0 * network.pitch().0));
        let pixel = network.law().nominal_amps(1.0).0;
        // A uniform load between two held points sags by r i d^2 / 8 at most.
        let wanted = (8.0 * SAG * most.max(0.0) / (step * pixel)).sqrt();
        let strips = network.strips().max(1);
        let fewest = (MOST_PIXEL_ROWS / strips).max(2) - 1;
        let steps = (pixels - 1).max(1);
        let gaps = if wanted >= 1.0 { (steps as f64 / wanted).ceil() } else { steps as f64 };
        let gaps = (gaps as usize).clamp(1, fewest.max(1));
        let widest = steps.div_ceil(gaps) as f64;
        // Between neighbours there is nothing to sag.
        let sag = if widest > 1.0 { step * pixel * widest * widest / 8.0 } else { 0.0 };
        for strip in (0..network.strips()).filter(|strip| network.is_live(*strip)) {
            let mut last = None;
            for gap in 0..=gaps {
                let along = (pixels - 1) * gap / gaps;
                if last.replace(along) == Some(along) {
                    continue;
                }
                let node = network.node(strip * pixels + along);
                let apart = network.segment_of(strip).apart;
                let weights = self.weights(&|to| {
                    to.plus[node] -= 1.0;
                    if apart {
                        to.minus[node] += 1.0;
                    }
                });
                let dark = self.dark.plus[node] - if apart { self.dark.minus[node] } else { 0.0 };
                let channel = self.channel();
                let weights = weights.into_iter().map(|weight| weight * channel).collect();
                let guards = Guarded::Pixel { strip: number(strip), pixel: count(along) };
                self.keep(guards, weights, most + dark - sag);
            }
        }
    }

    /// Keeps a row if any frame can break it, cut to where it weighs anything.
    fn keep(&mut self, guards: Guarded, weights: Vec<f64>, limit: f64) {
        let brightest = self.brightest();
        let most: f64 = weights.iter().map(|weight| weight.max(0.0) * brightest).sum();
        let limit = limit - limit.abs() * NARROW;
        if most <= limit {
            return;
        }
        let mut left = CUT * limit.max(0.0);
        let mut cut = 0.0;
        let mut drop = |weight: &f64| {
            let size = weight.abs() * brightest;
            let small = size <= left;
            if small {
                left -= size;
                cut += size;
            }
            small
        };
        let first = weights.iter().take_while(|weight| drop(weight)).count();
        let last = weights.len() - weights[first..].iter().rev().take_while(|w| drop(w)).count();
        let weights = weights[first..last].iter().map(|weight| not_below(*weight)).collect();
        let limit = not_above(limit - cut);
        let held = GuardRow { about: guards.to_string(), first, weights, limit };
        self.rows.push(Row { guards, held });
    }
}

/// A number from 1 of something that counts from 0.
fn number(i: usize) -> u32 {
    count(i + 1)
}

fn count(i: usize) -> u32 {
    u32::try_from(i).unwrap_or(u32::MAX)
}

/// The narrow number at or above.
#[expect(clippy::cast_possible_truncation, reason = "and put right after")]
fn not_below(x: f64) -> f32 {
    let narrow = x as f32;
    if f64::from(narrow) < x { narrow.next_up() } else { narrow }
}

/// The narrow number at or below.
#[expect(clippy::cast_possible_truncation, reason = "and put right after")]
fn not_above(x: f64) -> f32 {
    let narrow = x as f32;
    if f64::from(narrow) > x { narrow.next_down() } else { narrow }
}
