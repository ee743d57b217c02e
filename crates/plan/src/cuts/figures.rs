//! The cutting of a wall: the plan's figures and its cut list.

use std::collections::BTreeMap;

use glowloom_design::Wall;
use glowloom_design::wall::CutBy;
use serde::Serialize;

use super::list::{Roll, list};
use super::order::{Order, Pieces};
use super::sharing::{Shared, share};
use super::solution::Solution;
use super::steps::Steps;
use super::strips::{Label, Strips, strips};

/// What the cutting of a wall may take: up to about two seconds (see `benches/cuts.rs`).
const STEPS: u64 = 600_000_000;
/// What the other choice of `splices` may take, which is only told of.
const STEPS_OTHER: u64 = 60_000_000;

/// How the strips of a wall are cut out of rolls. Aims in their order: fewest rolls to buy, part
/// rolls on the shelf used first; fewest joints; fewest part rolls begun, short ones first; the
/// longest single left-over.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cuts {
    /// Rolls that are cut, part rolls among them.
    pub rolls: u32,
    /// New rolls among them.
    pub rolls_to_buy: u32,
    /// No way of cutting takes fewer new rolls.
    pub least_rolls_to_buy: u32,
    /// Pixels of a new roll.
    pub roll_pixels: u32,
    /// What is cut, longest first: strips, and spare pixels with them or by themselves.
    pub pieces: Vec<Pieces>,
    /// One entry a roll, part rolls first; panel after panel if no roll is shared.
    pub rolls_cut: Vec<Roll>,
    /// Places where a strip is joined from two parts.
    pub joints: u32,
    /// No way with as many rolls takes fewer.
    pub least_joints: u32,
    /// Pixels left of all rolls that are cut.
    pub left_over_pixels: u64,
    /// Pixels of the longest single left-over.
    pub longest_left_over: u32,
    /// Whether no way of cutting takes fewer new rolls.
    pub proven_least: bool,
    /// Whether no way with these rolls takes fewer joints.
    pub joints_proven_least: bool,
    /// Whether no way with these rolls and joints leaves a longer single piece.
    pub left_over_proven_longest: bool,
    /// Data lines that start at a new roll's own connector.
    pub lines_at_connector: u32,
    /// Pixels of each part roll that stays on the shelf, longest first.
    pub shelf_untouched: Vec<u32>,
    /// Pieces longer than any roll; they are in no roll of the list.
    pub too_long: Vec<Pieces>,
    /// What the other choice of `splices` would take, where that is another number of rolls.
    pub instead: Option<Instead>,
    /// Panels with pieces that are too long, in the order of the wall file.
    #[serde(skip)]
    pub panels_too_long: Vec<String>,
    /// Panels and strips of joined pieces, as they are named.
    #[serde(skip)]
    pub joined: Vec<String>,
}

/// The other choice of `splices`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Instead {
    /// What would be written.
    pub splices: bool,
    /// New rolls then.
    pub rolls_to_buy: u32,
    /// Joints then.
    pub joints: u32,
}

/// Pieces that share rolls: those of the wall or of a panel.
struct Job {
    strips: BTreeMap<u32, Strips>,
}

impl Job {
    fn order(&self, wall: &Wall, shelf: &[u32], splices: bool) -> Order {
        let pieces = self.strips.iter().map(|(pixels, strips)| (*pixels, strips.count()));
        Order::new(pieces, wall.strip.roll_pixels, shelf, splices)
    }
}

/// Cuts the strips of a wall.
#[must_use]
pub fn cuts(wall: &Wall) -> Cuts {
    let roll = wall.strip.roll_pixels;
    let shelf = wall.stock.as_deref().unwrap_or_default();
    let longest = shelf.iter().copied().max().unwrap_or(0).max(roll);
    let jobs: Vec<Job> = match wall.cuts.by {
        CutBy::Wall => vec![Job { strips: strips(wall, wall.panels.iter(), longest) }],
        CutBy::Panel => {
            let panels = wall.panels.iter();
            panels.map(|panel| Job { strips: strips(wall, [panel].into_iter(), longest) }).collect()
        }
    };
    let splices = wall.cuts.splices;
    let run = Run::new(wall, &jobs, splices, &mut Steps::new(STEPS));
    let other = Run::new(wall, &jobs, !splices, &mut Steps::new(STEPS_OTHER));
    let fits = run.too_long.is_empty() && other.too_long.is_empty();
    let differs = fits && other.rolls_to_buy() != run.rolls_to_buy();
    let (rolls_to_buy, joints) = (other.rolls_to_buy(), other.joints());
    let instead = differs.then_some(Instead { splices: !splices, rolls_to_buy, joints });
    let mut cuts = run.figures(roll, jobs, instead);
    let place = |name: &String| wall.panels.iter().position(|panel| panel.name == *name);
    cuts.panels_too_long.sort_by_key(place);
    cuts.panels_too_long.dedup();
    cuts
}

/// What sharing out the shelf may take of all steps: a part of so many.
const SHARING: u64 = 2;

/// The shelf shared out among panels that are cut each by itself.
fn shared(wall: &Wall, jobs: &[Job], splices: bool, steps: &mut Steps) -> Option<Shared> {
    let stock = wall.stock.as_deref().filter(|_| jobs.len() > 1)?;
    let shortest = jobs.iter().filter_map(|job| job.strips.keys().next()).min().copied()?;
    let of_use = stock.iter().copied().filter(|pixels| splices || *pixels >= shortest);
    let shelf = Order::new([], 1, &of_use.collect::<Vec<_>>(), splices).shelf().to_vec();
    let mut kinds: BTreeMap<Order, usize> = BTreeMap::new();
    let mut first: Vec<&Job> = Vec::new();
    let kind_of = |job| {
        let next = first.len();
        *kinds.entry(Job::order(job, wall, &[], splices)).or_insert_with(|| {
            first.push(job);
            next
        })
    };
    let panels: Vec<usize> = jobs.iter().map(kind_of).collect();
    let all = steps.left() / SHARING;
    share(&panels, &shelf, |kind, shelf, orders| {
        let order = first[kind].order(wall, shelf, splices);
        let part = steps.left() / (all / orders).max(1);
        steps.with_part(part, |steps| super::cut(&order, steps))
    })
}

/// All jobs, one after the other. The shelf is shared out among them; where it has too many ways for
/// that, each may use what those before it leave.
struct Run {
    solutions: Vec<Solution>,
    least_rolls_to_buy: u32,
    shelf: Vec<Pieces>,
    too_long: Vec<Pieces>,
}

impl Run {
    fn new(wall: &Wall, jobs: &[Job], splices: bool, steps: &mut Steps) -> Self {
        let stock = wall.stock.as_deref().unwrap_or_default();
        let mut shelf = stock.to_vec();
        let mut known: BTreeMap<Order, Solution> = BTreeMap::new();
        let mut solve = |order: Order, steps: &mut Steps| -> Solution {
            if let Some(solution) = known.get(&order) {
                return solution.clone();
            }
            let part = if jobs.len() == 1 { 1 } else { 3 };
            let solution = steps.with_part(part, |steps| super::cut(&order, steps));
            known.insert(order, solution.clone());
            solution
        };
        let shared = shared(wall, jobs, splices, steps);
        let mut solutions = Vec::new();
        // Each panel with the whole shelf for itself; and each with none.
        let (mut with_all, mut with_none) = (0u32, 0u32);
        for (number, job) in jobs.iter().enumerate() {
            let own = shared.as_ref().and_then(|shared| shared.shelves.get(number));
            let solution = solve(job.order(wall, own.unwrap_or(&shelf), splices), steps);
            if jobs.len() == 1 || stock.is_empty() {
                with_all = with_all.saturating_add(solution.least_new_rolls);
            } else {
                let mut least =
                    |shelf| solve(job.order(wall, shelf, splices), steps).least_new_rolls;
                with_all = with_all.saturating_add(least(stock));
                with_none = with_none.saturating_add(least(&[]));
            }
            for cut in solution.cuts.iter().filter(|cut| cut.shelf) {
                if let Some(at) = shelf.iter().position(|pixels| *pixels == cut.roll) {
                    shelf.swap_remove(at);
                }
            }
            solutions.push(solution);
        }
        // A part roll saves no more than the new rolls that could stand in for it.
        let shortest = jobs.iter().filter_map(|job| job.strips.keys().next()).min();
        let shortest = shortest.filter(|_| !splices).copied().unwrap_or(0);
        let of_use = stock.iter().filter(|pixels| **pixels >= shortest);
        let saved = of_use.map(|pixels| match pixels.div_ceil(wall.strip.roll_pixels) {
            1 => 1,
            rolls if splices => rolls,
            rolls => 2 * rolls - 1,
        });
        let mut least_rolls_to_buy = with_all.max(with_none.saturating_sub(saved.sum()));
        if let Some(shared) = shared {
            least_rolls_to_buy = least_rolls_to_buy.max(shared.least_new_rolls);
        }
        let too_long = solutions.iter().flat_map(|s| &s.too_long).map(|p| (p.pixels, p.count));
        let too_long = Order::new(too_long, 1, &[], splices).pieces().to_vec();
        let shelf = Order::new([], 1, &shelf, splices).shelf().to_vec();
        Self { solutions, least_rolls_to_buy, shelf, too_long }
    }

    fn rolls_to_buy(&self) -> u32 {
        self.solutions.iter().map(Solution::new_rolls).sum()
    }

    fn joints(&self) -> u32 {
        self.solutions.iter().map(Solution::joints).sum()
    }

    fn figures(self, roll_pixels: u32, jobs: Vec<Job>, instead: Option<Instead>) -> Cuts {
        let mut pieces = Vec::new();
        let mut panels_too_long = Vec::new();
        let mut rolls_cut = Vec::new();
        for (job, solution) in jobs.into_iter().zip(&self.solutions) {
            for (pixels, strips) in &job.strips {
                pieces.push((*pixels, strips.count()));
                if solution.too_long.iter().any(|p| p.pixels == *pixels) {
                    let labels = strips.starts.iter().chain(&strips.others);
                    panels_too_long.extend(labels.map(|label| label.panel.to_string()));
                    panels_too_long.dedup();
                }
            }
            // Longest first, as the order has them.
            rolls_cut.extend(list(solution, job.strips.into_values().rev().collect()));
        }
        let order = Order::new(pieces, roll_pixels, &[], false);
        let mut pieces = order.pieces().to_vec();
        for piece in &mut pieces {
            let long = self.too_long.iter().filter(|p| p.pixels == piece.pixels);
            piece.count -= long.map(|p| p.count).sum::<u32>().min(piece.count);
        }
        pieces.retain(|p| p.count > 0);
        let rolls_to_buy = self.rolls_to_buy();
        let joints = self.joints();
        let least_joints = self.solutions.iter().map(|s| s.least_joints).sum();
        let longest =
            |s: &Solution| (s.left_over(), s.left_over() == s.longest_left_over.max(s.left_over()));
        let longest: Vec<_> = self.solutions.iter().map(longest).collect();
        let shelf = self.shelf.iter();
        let joined = rolls_cut.iter().flat_map(|roll| &roll.labels);
        let joined = joined.filter(|label| label.part == Some(0));
        Cuts {
            rolls: u32::try_from(rolls_cut.len()).unwrap_or(u32::MAX),
            rolls_to_buy,
            least_rolls_to_buy: self.least_rolls_to_buy.min(rolls_to_buy),
            roll_pixels,
            pieces,
            joints,
            least_joints,
            left_over_pixels: rolls_cut.iter().map(|roll| u64::from(roll.left_over)).sum(),
            longest_left_over: longest.iter().map(|(pixels, _)| *pixels).max().unwrap_or(0),
            proven_least: self.too_long.is_empty() && rolls_to_buy == self.least_rolls_to_buy,
            joints_proven_least: joints == least_joints,
            left_over_proven_longest: longest.iter().all(|(_, proven)| *proven),
            lines_at_connector: rolls_cut.iter().map(|roll| u32::from(roll.connector)).sum(),
            shelf_untouched: shelf
                .flat_map(|p| std::iter::repeat_n(p.pixels, p.count as usize))
                .collect(),
            too_long: self.too_long,
            instead,
            panels_too_long,
            joined: joined.map(|label| Label { part: None, ..label.clone() }.to_string()).collect(),
            rolls_cut,
        }
    }
}
