//! Where to feed a panel: the fewest feeds, and their places, at which no pixel is below the wanted
//! voltage and no feed carries more than its fuse lets it.
//!
//! The lowest voltage alone leads astray: while one pixel is far below the rest, no step shows where to
//! go. So feeds are added one by one to what gives the highest sum of voltages, each cut off at the
//! wanted one; then each is moved wherever that raises the sum, then wherever it raises the lowest
//! voltage. Every set is judged by a full solve. Small panels were tried against all sets: mostly none
//! is smaller, but that is not proven of any.

use glowloom_design::catalogue::wire::{ampacity, metric_sizes, resistance};
use glowloom_design::wall::{Edge, Wire};
use glowloom_units::{Amps, Gauge, Ohms, Volts};

use super::figures::edge_key;
use super::limits::Limits;
use super::network::Network;
use super::sinks::Sinks;
use super::solution::Worst;
use super::solve::{Solver, Unsolved};
use super::taps::Tap;
use crate::path::Shares;

/// AWG sizes that feeds are made of, thin first.
const AWG: [u8; 5] = [18, 16, 14, 12, 10];
/// Gains below this are rounding, V.
const ROUNDING: f64 = 1e-9;

/// What feeds are to reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Goal {
    /// Of full white, 0 to 1.
    pub brightness: f64,
    /// At every pixel.
    pub least_volts: Volts,
    /// What any feed's conductor may carry; `None`: whatever comes.
    pub feed_amps: Option<Amps>,
    /// What any jumper may carry; `None`: whatever comes.
    pub jumper_amps: Option<Amps>,
    /// What the strip's own copper may carry; `None`: whatever comes.
    pub rail_amps: Option<Amps>,
}

impl Goal {
    /// Whatever comes, at full white.
    pub const OPEN: Self = Self {
        brightness: 1.0,
        least_volts: Volts(0.0),
        feed_amps: None,
        jumper_amps: None,
        rail_amps: None,
    };

    /// Every limit of a panel's copper, with feeds of one wire.
    #[must_use]
    pub fn of(limits: &Limits, tap: &Tap, brightness: f64) -> Self {
        Self {
            brightness,
            least_volts: limits.least_volts,
            feed_amps: limits.feed(tap),
            jumper_amps: limits.jumper,
            rail_amps: Some(limits.rail),
        }
    }
}

/// Feeds that reach a goal, judged by the full solve.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// Strip, from 1, and edge; by strip, near before far.
    pub feeds: Vec<(u32, Edge)>,
    /// What each is made of.
    pub wire: Wire,
    /// At the lowest pixel then.
    pub least_volts: Volts,
    /// In the conductor that carries most then.
    pub feed_amps: Amps,
    /// Whether the search came to its own end, and not to the end of its patience.
    pub searched: bool,
    /// Whether `feeds = n` places them so.
    pub even: bool,
}

impl Proposal {
    /// The line of the wall file that places them: in `[power]`, or in a panel's own entry.
    #[must_use]
    pub fn feeds_text(&self) -> String {
        if self.even {
            return format!("feeds = {}", self.feeds.len());
        }
        feeds_text(&self.feeds)
    }

    /// The line of `[power]` that says what they are made of.
    #[must_use]
    pub fn wire_text(&self) -> String {
        format!("feed_wire = {}", wire_text(&self.wire))
    }
}

/// A wire as the wall file has it.
fn wire_text(wire: &Wire) -> String {
    let Wire { gauge, ohms_per_metre, amps, length } = wire;
    let mut keys = Vec::new();
    match gauge {
        Some(gauge) => keys.push(format!("gauge = \"{gauge}\"")),
        None => keys.push(format!("ohms_per_metre = {}", ohms_per_metre.0)),
    }
    // A foot is 0.3048 m, and seven of them are not 2.1336000000000004 m on paper.
    keys.push(format!("length = \"{} m\"", (length.0 * 1e6).round() / 1e6));
    // A limit of the table need not be written.
    let table = gauge.and_then(ampacity).map(|figure| figure.value);
    if let Some(amps) = amps.filter(|_| *amps != table) {
        keys.push(format!("amps = {}", amps.0));
    }
    format!("{{ {} }}", keys.join(", "))
}

/// The strips, from 1, that `feeds = n` feeds at their near edge, zone by zone.
#[must_use]
pub fn even_strips(strips: u32, supplies: u32, feeds: u32) -> Vec<u32> {
    let (strips, feeds) = (Shares::new(strips, supplies), Shares::new(feeds, supplies));
    let mut places = Vec::new();
    for supply in 0..strips.takers() {
        let (here, count) = (u64::from(strips.of(supply)), u64::from(feeds.of(supply)));
        for i in 0..count {
            let within = ((2 * i + 1) * here).div_ceil(2 * count);
            places.push(strips.before(supply) + u32::try_from(within).unwrap_or(1));
        }
    }
    places
}

/// Feeds as a list of the wall file.
#[must_use]
pub fn feeds_text(feeds: &[(u32, Edge)]) -> String {
    feeds_with_wires(feeds.iter().map(|(strip, edge)| (*strip, *edge, None)))
}

/// The same; those with a wire say so.
pub fn feeds_with_wires<'w>(feeds: impl Iterator<Item = (u32, Edge, Option<&'w Wire>)>) -> String {
    let entries = feeds.map(|(strip, edge, wire)| {
        let wire = wire.map(|wire| format!(", wire = {}", wire_text(wire))).unwrap_or_default();
        format!("{{ strip = {strip}, edge = \"{}\"{wire} }}", edge_key(edge))
    });
    format!("feeds = [{}]", entries.collect::<Vec<_>>().join(", "))
}

/// What feeds could be made of in place of a wire, thin first: the wire itself, then the thicker sizes
/// of its own system, as long.
#[must_use]
pub fn thicker_wires(wire: &Wire) -> Vec<Wire> {
    let sizes: Vec<Gauge> = match wire.gauge {
        None => Vec::new(),
        Some(Gauge::Awg(_)) => AWG.map(Gauge::Awg).to_vec(),
        Some(Gauge::SquareMillimetres(_)) => metric_sizes().map(Gauge::SquareMillimetres).collect(),
    };
    let thicker = sizes.into_iter().filter_map(|gauge| {
        let ohms_per_metre = resistance(gauge)?.value;
        let amps = ampacity(gauge).map(|figure| figure.value);
        let size = Wire { gauge: Some(gauge), ohms_per_metre, amps, length: wire.length };
        (ohms_per_metre < wire.ohms_per_metre).then_some(size)
    });
    std::iter::once(wire.clone()).chain(thicker).collect()
}

/// For a wire and each thicker size the fewest feeds, where that is fewer than with a thinner one. Each
/// wire is held to its fuse and its own limit. `patience` is how many solves each may take.
///
/// # Errors
/// [`Unsolved`] where the network of a set is.
pub fn proposals(
    network: &Network,
    limits: &Limits,
    wire: &Wire,
    connection: Ohms,
    brightness: f64,
    patience: u32,
) -> Result<Vec<Proposal>, Unsolved> {
    let mut found: Vec<Proposal> = Vec::new();
    for wire in thicker_wires(wire) {
        let tap = Tap::new(1, Edge::Near, &wire, connection);
        let goal = Goal::of(limits, &tap, brightness);
        if let Some(proposal) = fewest_feeds(network, goal, &wire, connection, patience)? {
            let fewer = |last: &Proposal| proposal.feeds.len() < last.feeds.len();
            if found.last().is_none_or(fewer) {
                found.push(proposal);
            }
        }
    }
    Ok(found)
}

/// The fewest feeds of one wire that reach a goal. `None` where not even a feed at both ends of every
/// strip does. `patience` is how many solves it may take; the few that place feeds evenly are done
/// whatever it is.
///
/// # Errors
/// [`Unsolved`] where the network of a set is.
pub fn fewest_feeds(
    network: &Network,
    goal: Goal,
    wire: &Wire,
    connection: Ohms,
    patience: u32,
) -> Result<Option<Proposal>, Unsolved> {
    let mut search = Search {
        network: network.clone(),
        sinks: Sinks::white(network.law(), goal.brightness),
        tap: Tap::new(1, Edge::Near, wire, connection),
        goal,
        left: patience,
    };
    let Some(mut best) = search.evenly()? else { return Ok(None) };
    let searched = search.improve(&mut best)?;
    let named = |set: &[usize]| {
        let mut feeds: Vec<(u32, Edge)> = set.iter().map(|end| search.end(*end)).collect();
        feeds.sort_unstable();
        feeds
    };
    let feeds = named(&best.set);
    let even = feeds.len() <= search.network.strips() && feeds == named(&search.even(feeds.len()));
    Ok(Some(Proposal {
        feeds,
        wire: wire.clone(),
        least_volts: Volts(best.worth.least),
        feed_amps: Amps(best.worth.amps),
        searched,
        even,
    }))
}

/// What feeding the same strips at their other edge as well does, through wires as good.
///
/// # Errors
/// [`Unsolved`] where the network of a set is.
pub fn far_edge_as_well(network: &Network, brightness: f64) -> Result<[Volts; 2], Unsolved> {
    let sinks = Sinks::white(network.law(), brightness);
    let mut taps = network.taps().to_vec();
    for tap in network.taps() {
        let edge = if tap.edge == Edge::Near { Edge::Far } else { Edge::Near };
        if taps.iter().all(|other| (other.strip, other.edge) != (tap.strip, edge)) {
            taps.push(Tap { edge, ..*tap });
        }
    }
    let fed = network.with_feeds(taps);
    let least = |network: &Network| -> Result<Volts, Unsolved> {
        let solution = Solver::new(network).solve(&sinks)?;
        Ok(solution.all_volts().reduce(Volts::min).unwrap_or_default())
    };
    Ok([least(network)?, least(&fed)?])
}

/// How good a set of feeds is.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Worth {
    /// Of all pixels, each cut off at the wanted voltage.
    enough: f64,
    /// Of all pixels.
    sum: f64,
    /// Of the lowest pixel.
    least: f64,
    /// In the conductor that carries most.
    amps: f64,
    /// Whether jumpers and rails carry what they may.
    copper: bool,
}

/// What to raise.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Aim {
    Sum,
    Least,
}

impl Worth {
    fn beats(&self, other: &Self, aim: Aim) -> bool {
        let pairs = match aim {
            Aim::Sum => [(self.enough, other.enough), (self.sum, other.sum)],
            Aim::Least => [(self.least, other.least), (self.enough, other.enough)],
        };
        let differs = pairs.into_iter().find(|(a, b)| (a - b).abs() > ROUNDING);
        differs.is_some_and(|(a, b)| a > b)
    }
}

/// A set of strip ends, numbered as [`Search::end`] says.
#[derive(Clone, Debug)]
struct Candidate {
    set: Vec<usize>,
    worth: Worth,
}

struct Search {
    network: Network,
    sinks: Sinks,
    tap: Tap,
    goal: Goal,
    /// Solves that are left.
    left: u32,
}

impl Search {
    /// Strip ends are numbered strip by strip, near before far.
    fn end(&self, end: usize) -> (u32, Edge) {
        let edge = if end.is_multiple_of(2) { Edge::Near } else { Edge::Far };
        (u32::try_from(end / 2 + 1).unwrap_or(u32::MAX), edge)
    }

    fn ends(&self) -> usize {
        2 * self.network.strips()
    }

    fn judge(&mut self, set: Vec<usize>) -> Result<Candidate, Unsolved> {
        self.left = self.left.saturating_sub(1);
        let taps = set.iter().map(|end| {
            let (strip, edge) = self.end(*end);
            Tap { strip, edge, ..self.tap }
        });
        let taps = taps.collect();
        self.network.feed(taps);
        let solution = Solver::new(&self.network).solve(&self.sinks)?;
        let mut worth =
            Worth { enough: 0.0, sum: 0.0, least: f64::INFINITY, amps: 0.0, copper: true };
        for Volts(volts) in solution.all_volts() {
            worth.enough += volts.min(self.goal.least_volts.0);
            worth.sum += volts;
            worth.least = worth.least.min(volts);
        }
        for feed in solution.feeds() {
            worth.amps = worth.amps.max(feed.plus.0).max(feed.minus.0);
        }
        let within = |worst: Option<Worst>, limit: Option<Amps>| {
            limit.zip(worst).is_none_or(|(limit, worst)| worst.amps <= limit)
        };
        worth.copper = within(solution.worst_jumper(), self.goal.jumper_amps)
            && within(solution.worst_rail(), self.goal.rail_amps);
        Ok(Candidate { set, worth })
    }

    fn reached(&self, worth: &Worth) -> bool {
        let carried = self.goal.feed_amps.is_none_or(|most| worth.amps <= most.0);
        carried && worth.copper && worth.least >= self.goal.least_volts.0
    }

    /// So many feeds placed as `feeds = n` does, zone by zone; beyond the strips, all near edges and
    /// so many far ones.
    fn even(&self, feeds: usize) -> Vec<usize> {
        let strips = self.network.strips();
        let near = feeds.min(strips);
        let mut set = self.even_edge(near, 0);
        set.extend(self.even_edge(feeds - near, 1));
        set
    }

    fn even_edge(&self, feeds: usize, far: usize) -> Vec<usize> {
        let narrow = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let (strips, supplies) = (narrow(self.network.strips()), narrow(self.network.supplies()));
        let places = even_strips(strips, supplies, narrow(feeds));
        places.into_iter().map(|strip| 2 * (strip as usize - 1) + far).collect()
    }

    /// The fewest feeds that reach the goal when placed evenly.
    fn evenly(&mut self) -> Result<Option<Candidate>, Unsolved> {
        let most = self.ends();
        let mut best = self.judge(self.even(most))?;
        if !self.reached(&best.worth) {
            return Ok(None);
        }
        // More feeds mostly reach what fewer do; where not, the smaller number is missed.
        let (mut fails, mut reaches) = (0, most);
        while reaches - fails > 1 {
            let middle = fails + (reaches - fails) / 2;
            let candidate = self.judge(self.even(middle))?;
            if self.reached(&candidate.worth) {
                (best, reaches) = (candidate, middle);
            } else {
                fails = middle;
            }
        }
        Ok(Some(best))
    }

    /// Looks for fewer feeds than `best` has; gives whether it came to an end.
    fn improve(&mut self, best: &mut Candidate) -> Result<bool, Unsolved> {
        let mut grown = self.judge(Vec::new())?;
        // What greed reached with 1, 2, 3 .. feeds.
        let mut steps: Vec<Candidate> = Vec::new();
        while steps.len() + 1 < best.set.len() {
            let Some(next) = self.grow(&grown)? else { return Ok(false) };
            grown = next;
            if self.reached(&grown.worth) {
                *best = grown;
                break;
            }
            steps.push(grown.clone());
        }
        // Moved about, fewer may do.
        while best.set.len() > 1 {
            let fewer = best.set.len() - 1;
            let even = self.judge(self.even(fewer))?;
            let grown = steps.get(fewer - 1).cloned();
            let mut found = None;
            for start in grown.into_iter().chain([even]) {
                let moved = self.move_about(start)?;
                if self.reached(&moved.worth) {
                    found = Some(moved);
                    break;
                }
                if self.left == 0 {
                    return Ok(false);
                }
            }
            match found {
                Some(moved) => *best = moved,
                None => return Ok(true),
            }
        }
        Ok(true)
    }

    /// One feed more, where it raises the sum most; `None` when patience is at its end.
    fn grow(&mut self, from: &Candidate) -> Result<Option<Candidate>, Unsolved> {
        let mut best: Option<Candidate> = None;
        for end in (0..self.ends()).filter(|end| !from.set.contains(end)) {
            if self.left == 0 {
                return Ok(None);
            }
            let mut set = from.set.clone();
            set.push(end);
            let candidate = self.judge(set)?;
            if best.as_ref().is_none_or(|best| candidate.worth.beats(&best.worth, Aim::Sum)) {
                best = Some(candidate);
            }
        }
        Ok(best)
    }

    /// Moves feeds one by one for as long as it helps, first the sum, then the lowest voltage. Ends as
    /// soon as the goal is reached, or patience is at its end.
    fn move_about(&mut self, mut at: Candidate) -> Result<Candidate, Unsolved> {
        for aim in [Aim::Sum, Aim::Least] {
            let mut moved = true;
            while std::mem::take(&mut moved) {
                for i in 0..at.set.len() {
                    for end in 0..self.ends() {
                        if self.left == 0 || self.reached(&at.worth) {
                            return Ok(at);
                        }
                        if at.set.contains(&end) {
                            continue;
                        }
                        let mut set = at.set.clone();
                        set[i] = end;
                        let candidate = self.judge(set)?;
                        if candidate.worth.beats(&at.worth, aim) {
                            at = candidate;
                            moved = true;
                        }
                    }
                }
            }
        }
        Ok(at)
    }
}
