//! From meter readings back to the strip: the rail's resistance and the current of one colour with
//! which the solved network comes nearest to what was read.
//!
//! Least squares, each reading weighed by its error, by Gauss and Newton's method with Levenberg and
//! Marquardt's damping, in the logarithms of both, so that neither can become negative. How sure the
//! result is follows from the readings' errors, or from how far they scatter where that is more.

use glowloom_design::wall::Edge;
use glowloom_units::{Amps, OhmsPerMetre, Volts};

use super::measure::{Place, Softness};
use super::network::Network;
use super::sinks::Sinks;
use super::solution::Solution;
use super::solve::{Solver, Unsolved};

/// Most steps.
const MOST_STEPS: u32 = 80;
/// In logarithms, for slopes: small beside any figure, large beside rounding.
const NUDGE: f64 = 1e-4;
/// In logarithms: a figure that is not known to within a factor of e is not known.
const UNKNOWN: f64 = 1.0;
/// The band in standard deviations: about 95 of 100 lie within.
const BAND: f64 = 2.0;

/// What a meter read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Read {
    /// Between plus and minus at a place.
    Volts {
        /// Where.
        place: Place,
        /// What it showed.
        found: Volts,
        /// One standard deviation of meter and hand; above 0.
        error: Volts,
    },
    /// In the plus conductor of a feed.
    FeedAmps {
        /// Its strip, from 1.
        strip: u32,
        /// Its end of the strip.
        edge: Edge,
        /// What it showed.
        found: Amps,
        /// One standard deviation; above 0.
        error: Amps,
    },
    /// Of the whole panel, its receiver left out.
    Amps {
        /// What it showed.
        found: Amps,
        /// One standard deviation; above 0.
        error: Amps,
    },
}

/// A reading, and what the panel showed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Red, green, blue, white of every pixel, 0 to 1 in linear light.
    pub levels: [f64; 4],
    /// Under this brightness, 0 to 1.
    pub brightness: f64,
    /// What was read.
    pub read: Read,
}

/// A network that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Rig {
    /// Its copper.
    pub network: Network,
    /// How many of its first pixels show what a reading says, the rest being dark; `None`: all.
    pub lit: Option<usize>,
}

/// The strip as it was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// One rail, one way.
    pub rail: OhmsPerMetre,
    /// One colour, full on.
    pub channel: Amps,
    /// Where both lie in 95 of 100 cases, each for itself.
    pub band: Softness,
    /// How far readings lie from the fitted network, in their own errors: about 1 if all is well,
    /// much more if something else is wrong, such as a bad joint.
    pub misfit: f64,
}

/// Why there is no fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoFit {
    /// Fewer than two readings.
    TooFew,
    /// A reading of a network or at a place that there is not, or with an error that is not above zero, or
    /// that is not a number; from 0.
    BadReading(usize),
    /// Nothing that was read depends on the rail: read the voltage at ends far from a feed.
    RailUnknown,
    /// Nothing that was read tells how much a colour draws: read the current with colours on.
    ChannelUnknown,
    /// The readings fit no strip.
    NoStrip,
    /// A network on the way.
    Unsolved(Unsolved),
}

impl From<Unsolved> for NoFit {
    fn from(unsolved: Unsolved) -> Self {
        Self::Unsolved(unsolved)
    }
}

impl std::fmt::Display for NoFit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::TooFew => write!(f, "two figures need two readings at least: take more"),
            Self::BadReading(i) => write!(
                f,
                "reading {} is at a place that the panel does not have, or has no number or no \
                 error above zero",
                i + 1
            ),
            Self::RailUnknown => write!(
                f,
                "the readings do not depend on the rail's resistance: read the voltage at strip \
                 ends far from a feed as well"
            ),
            Self::ChannelUnknown => write!(
                f,
                "the readings do not tell what a colour draws: read the current with colours on as \
                 well"
            ),
            Self::NoStrip => write!(
                f,
                "the readings fit no strip: look for a bad joint or a swapped reading first"
            ),
            Self::Unsolved(unsolved) => unsolved.fmt(f),
        }
    }
}

impl std::error::Error for NoFit {}

/// Fits the strip of a panel to readings on it. The network's own figures are where it starts.
///
/// # Errors
/// [`NoFit`] says what to read as well, or what to look for.
pub fn fit(network: &Network, readings: &[Reading]) -> Result<Fit, NoFit> {
    let rig = Rig { network: network.clone(), lit: None };
    let readings: Vec<(usize, Reading)> = readings.iter().map(|reading| (0, *reading)).collect();
    fit_all(&[rig], &readings)
}

/// Fits one strip to readings on several networks that are made of it; each reading names its own, from
/// 0. The first one's figures are where it starts.
///
/// # Errors
/// [`NoFit`] says what to read as well, or what to look for.
pub fn fit_all(rigs: &[Rig], readings: &[(usize, Reading)]) -> Result<Fit, NoFit> {
    if readings.len() < 2 {
        return Err(NoFit::TooFew);
    }
    let network = &rigs.first().ok_or(NoFit::BadReading(0))?.network;
    let start = [network.rail().0, network.law().channel_amps().0].map(|x| x.max(1e-6).ln());
    let (mut at, mut damping) = (start, 1e-3);
    let mut left = misses(rigs, readings, at)?;
    for _ in 0..MOST_STEPS {
        let slopes = slopes(rigs, readings, at)?;
        let (normal, pull) = normal(&slopes, &left);
        let mut step = [0.0; 2];
        let mut better = false;
        while damping < 1e12 {
            let [rail, both, channel] = normal;
            let damped = [rail * (1.0 + damping), both, channel * (1.0 + damping)];
            step = solve(damped, pull).map_or([0.0; 2], |step| step.map(|x| x.clamp(-1.0, 1.0)));
            let tried = [at[0] - step[0], at[1] - step[1]];
            let found = misses(rigs, readings, tried)?;
            if squares(&found) <= squares(&left) {
                (at, left, better) = (tried, found, true);
                damping = (damping / 10.0).max(1e-12);
                break;
            }
            damping *= 10.0;
        }
        if !better || step.iter().all(|x| x.abs() < 1e-9) {
            break;
        }
    }
    sure(rigs, readings, at, &left)
}

/// The fit at the end of the search, with how sure it is.
fn sure(
    rigs: &[Rig],
    readings: &[(usize, Reading)],
    at: [f64; 2],
    left: &[f64],
) -> Result<Fit, NoFit> {
    let (normal, _) = normal(&slopes(rigs, readings, at)?, left);
    let [rail, both, channel] = normal;
    // Alone, each must be told by something.
    if rail * UNKNOWN * UNKNOWN < 1.0 {
        return Err(NoFit::RailUnknown);
    }
    if channel * UNKNOWN * UNKNOWN < 1.0 {
        return Err(NoFit::ChannelUnknown);
    }
    let free = readings.len().saturating_sub(2);
    let misfit = if free > 0 { (squares(left) / free as f64).sqrt() } else { 1.0 };
    let determinant = rail * channel - both * both;
    // The inverse of the normal matrix: variances of both.
    let deviation = |other: f64| (other / determinant).sqrt() * misfit.max(1.0);
    let (of_rail, of_channel) = (deviation(channel), deviation(rail));
    if !(of_rail.is_finite() && of_channel.is_finite()) || at.iter().any(|x| x.abs() > 20.0) {
        return Err(NoFit::NoStrip);
    }
    if of_rail > UNKNOWN || of_channel > UNKNOWN {
        // Only their product is told: a current would part them.
        return Err(NoFit::ChannelUnknown);
    }
    let [rail, channel] = at.map(f64::exp);
    let ends = |of: f64| [(-BAND * of).exp(), (BAND * of).exp()];
    let band = Softness {
        rail: ends(of_rail).map(|factor| OhmsPerMetre(rail * factor)),
        channel: ends(of_channel).map(|factor| Amps(channel * factor)),
    };
    Ok(Fit { rail: OhmsPerMetre(rail), channel: Amps(channel), band, misfit })
}

/// The network with those logarithms of its rail and its colour.
fn at_figures(network: &Network, [rail, channel]: [f64; 2]) -> Network {
    let law = network.law().with_channel_amps(Amps(channel.exp()));
    network.with_strip(OhmsPerMetre(rail.exp()), law)
}

/// How far each reading is from the networks with those figures, in its own errors.
fn misses(rigs: &[Rig], readings: &[(usize, Reading)], at: [f64; 2]) -> Result<Vec<f64>, NoFit> {
    let miss = |shown: f64, reading: &Reading| {
        let (found, error) = reading.read.figure();
        (error > 0.0).then(|| (shown - found) / error).filter(|miss| miss.is_finite())
    };
    let shown = shown(rigs, readings, at)?;
    let misses = shown.iter().zip(readings).enumerate();
    misses
        .map(|(i, (shown, (_, reading)))| miss(*shown, reading).ok_or(NoFit::BadReading(i)))
        .collect()
}

/// What each meter would show with those figures, V or A.
pub(super) fn shown(
    rigs: &[Rig],
    readings: &[(usize, Reading)],
    at: [f64; 2],
) -> Result<Vec<f64>, NoFit> {
    let networks: Vec<Network> = rigs.iter().map(|rig| at_figures(&rig.network, at)).collect();
    // Readings of the same light on the same network share a solution.
    let mut solved: Vec<(usize, Reading, Solution)> = Vec::new();
    let mut all = Vec::with_capacity(readings.len());
    for (i, (of, reading)) in readings.iter().enumerate() {
        let same = |(rig, known, _): &(usize, Reading, Solution)| {
            rig == of && known.levels == reading.levels && known.brightness == reading.brightness
        };
        let known = match solved.iter().position(same) {
            Some(known) => known,
            None => {
                let (rig, network) =
                    rigs.get(*of).zip(networks.get(*of)).ok_or(NoFit::BadReading(i))?;
                let (law, pixels) = (network.law(), network.pixels());
                let lit = rig.lit.unwrap_or(pixels);
                let sinks = Sinks::first(law, lit, pixels, reading.levels, reading.brightness);
                solved.push((*of, *reading, Solver::new(network).solve(&sinks)?));
                solved.len() - 1
            }
        };
        let shown = reading.read.shown(&solved[known].2);
        all.push(shown.ok_or(NoFit::BadReading(i))?);
    }
    Ok(all)
}

impl Read {
    /// What was read and its error, V or A.
    pub(super) fn figure(&self) -> (f64, f64) {
        match self {
            Self::Volts { found, error, .. } => (found.0, error.0),
            Self::FeedAmps { found, error, .. } | Self::Amps { found, error } => (found.0, error.0),
        }
    }

    /// What a meter would show there, V or A; `None` where the panel has no such place.
    fn shown(&self, solution: &Solution) -> Option<f64> {
        Some(match *self {
            Self::Volts { place, .. } => place.volts(solution)?.0,
            Self::FeedAmps { strip, edge, .. } => {
                let taps = solution.network().taps();
                let i = taps.iter().position(|tap| (tap.strip, tap.edge) == (strip, edge))?;
                solution.feeds().nth(i)?.plus.0
            }
            Self::Amps { .. } => solution.amps().0,
        })
    }
}

/// How each miss changes with either logarithm.
pub(super) fn slopes(
    rigs: &[Rig],
    readings: &[(usize, Reading)],
    at: [f64; 2],
) -> Result<Vec<[f64; 2]>, NoFit> {
    let mut slopes = vec![[0.0; 2]; readings.len()];
    for i in 0..2 {
        let nudged = |by: f64| {
            let mut at = at;
            at[i] += by;
            misses(rigs, readings, at)
        };
        for ((slope, up), down) in slopes.iter_mut().zip(nudged(NUDGE)?).zip(nudged(-NUDGE)?) {
            slope[i] = (up - down) / (2.0 * NUDGE);
        }
    }
    Ok(slopes)
}

/// The normal matrix, of which two entries are equal, and the right-hand side.
pub(super) fn normal(slopes: &[[f64; 2]], left: &[f64]) -> ([f64; 3], [f64; 2]) {
    let mut normal = [0.0; 3];
    let mut pull = [0.0; 2];
    for ([rail, channel], miss) in slopes.iter().zip(left) {
        normal[0] += rail * rail;
        normal[1] += rail * channel;
        normal[2] += channel * channel;
        pull[0] += rail * miss;
        pull[1] += channel * miss;
    }
    (normal, pull)
}

pub(super) fn solve([a, b, c]: [f64; 3], [p, q]: [f64; 2]) -> Option<[f64; 2]> {
    let determinant = a * c - b * b;
    let step = [(c * p - b * q) / determinant, (a * q - b * p) / determinant];
    step.iter().all(|x| x.is_finite()).then_some(step)
}

pub(super) fn squares(misses: &[f64]) -> f64 {
    misses.iter().map(|miss| miss * miss).sum()
}
