//! Pieces joined from parts: as few new rolls as the pixels need, then fewest joints.

use super::groups::{Grouping, most};
use super::order::{Order, sum};
use super::plain::fewest;
use super::search::{Column, Taken};
use super::shelf::{placed, problem};
use super::solution::{Cut, Joined, Part, Solution};
use super::steps::Steps;
use super::whole::whole;

/// Cuts an order with as few new rolls as its pixels need.
pub(super) fn spliced(order: &Order, steps: &mut Steps) -> Solution {
    let new_rolls = order.rolls_by_pixels();
    if can_do_without(order, new_rolls, steps) {
        let solution = steps.with_part(2, |steps| whole(order, steps));
        if solution.new_rolls() == new_rolls && solution.too_long.is_empty() {
            return solution;
        }
    }
    let all = Grouping::of(order, new_rolls);
    let rolls = all.rolls;
    let grouped = steps.with_part(2, |steps| most(&all, None, steps));
    let (groups, bound) = match grouped {
        Some(grouped) => (grouped.groups, grouped.bound),
        None => (vec![(all.everything(), 1)], u32::MAX),
    };
    let mut best = cuts(order, &all, &groups);
    let joints = rolls - groups.iter().map(|(_, times)| times).sum::<u32>();
    let waste = all.waste();
    // All that is left of all rolls in one piece would be longest.
    let mut longest = waste;
    if order.shelf().is_empty() {
        let least = longest_of(&best);
        let (cuts, proven) = lengthened(order, &all, rolls - joints, best, least, steps);
        (best, longest) = (cuts, proven);
    }
    let solution = Solution { cuts: best, least_new_rolls: new_rolls, ..Solution::default() };
    let made = solution.joints();
    Solution {
        least_joints: rolls.saturating_sub(bound).max(needed(order)).min(made),
        longest_left_over: longest.max(solution.left_over()),
        ..solution
    }
}

/// Joints that pieces longer than any roll need.
fn needed(order: &Order) -> u32 {
    let longest = order.shelf().iter().map(|p| p.pixels).max().unwrap_or(0).max(order.roll());
    order.pieces().iter().map(|p| ((p.pixels - 1) / longest).saturating_mul(p.count)).sum()
}

/// Whether whole pieces take no more rolls, as far as it is quickly known.
fn can_do_without(order: &Order, new_rolls: u32, steps: &mut Steps) -> bool {
    let (shelf, too_long) = placed(order);
    let long = order.pieces().partition_point(|p| p.pixels > order.roll());
    let problem = problem(&order.pieces()[long..], order.roll(), &shelf);
    too_long.is_empty()
        && steps.with_part(3, |steps| fewest(&problem, Some(new_rolls), steps)).new_rolls
            <= new_rolls
}

impl Grouping {
    /// Part rolls, pieces, and what is left as single pixels.
    fn of(order: &Order, new_rolls: u32) -> Self {
        let shelf = sum(order.shelf());
        let round = if new_rolls > 0 { u64::from(order.roll()) } else { shelf + 1 };
        let waste = shelf + u64::from(new_rolls) * u64::from(order.roll()) - order.pixels();
        let pieces = order.pieces().iter().map(|p| (i64::from(p.pixels), p.count));
        let shelf = order.shelf().iter().map(|p| (-i64::from(p.pixels), p.count));
        let waste = (1, u32::try_from(waste).unwrap_or(u32::MAX));
        let (pixels, counts) = shelf.chain(pieces).chain([waste]).unzip();
        let shelf = order.shelf().iter().map(|p| p.count);
        Self {
            pixels,
            counts,
            round: u32::try_from(round).unwrap_or(u32::MAX),
            rolls: shelf.fold(new_rolls, u32::saturating_add),
            new_rolls,
        }
    }

    /// Pixels that are left of all rolls.
    fn waste(&self) -> u32 {
        self.counts.last().copied().unwrap_or(0)
    }

    /// The same, so many of the pixels left in one piece.
    fn with_lump(&self, lump: u32) -> Self {
        let mut changed = self.clone();
        if let Some(count) = changed.counts.last_mut() {
            *count -= lump;
        }
        changed.pixels.push(i64::from(lump));
        changed.counts.push(1);
        changed
    }

    fn everything(&self) -> Column {
        self.counts.iter().copied().enumerate().filter(|(_, n)| *n > 0).collect()
    }
}

fn longest_of(cuts: &[Cut]) -> u32 {
    cuts.iter().map(Cut::left_over).max().unwrap_or(0)
}

/// The same joints with as much as can be left in one piece; and what no way can exceed.
fn lengthened(
    order: &Order,
    all: &Grouping,
    groups: u32,
    cuts_now: Vec<Cut>,
    least: u32,
    steps: &mut Steps,
) -> (Vec<Cut>, u32) {
    let mut best = cuts_now;
    // At `low` it can be done; above `proven` it cannot.
    let (mut low, mut high, mut proven) = (least, all.waste(), all.waste());
    let mut first = true;
    while low < high {
        let middle = if first { high } else { low.midpoint(high + 1) };
        first = false;
        let lump = all.with_lump(middle);
        let grouped = steps.with_part(4, |steps| most(&lump, Some(groups), steps));
        match grouped {
            Some(found) if found.number >= groups => {
                best = cuts(order, &lump, &found.groups);
                low = middle.max(longest_of(&best));
            }
            Some(found) => {
                if found.bound < groups {
                    proven = proven.min(middle - 1);
                }
                high = middle - 1;
            }
            None => high = middle - 1,
        }
    }
    (best, proven)
}

/// The rolls of each group laid end to end, part rolls first, and its pieces cut from them in turn.
fn cuts(order: &Order, grouping: &Grouping, groups: &Taken) -> Vec<Cut> {
    let (pieces, shelf) = (order.pieces(), order.shelf());
    let mut cuts = Vec::new();
    let mut joined = 0;
    for (group, times) in groups {
        let new_rolls =
            if order.rolls_by_pixels() > 0 { grouping.new_rolls_of(group) } else { None };
        for _ in 0..*times {
            let of_shelf = group.iter().filter_map(|(row, n)| {
                let part = shelf.get(*row)?;
                Some(std::iter::repeat_n((part.pixels, true), *n as usize))
            });
            let new = std::iter::repeat_n((order.roll(), false), new_rolls.unwrap_or(0) as usize);
            let wanted = group.iter().filter_map(|(row, n)| {
                let entry = row.checked_sub(shelf.len())?;
                let pixels = pieces.get(entry)?.pixels;
                let part = Part { entry: u32::try_from(entry).ok()?, pixels, joined: None };
                Some(std::iter::repeat_n(part, *n as usize))
            });
            let rolls = of_shelf.flatten().chain(new);
            cuts.extend(end_to_end(rolls, wanted.flatten(), &mut joined));
        }
    }
    cuts.retain(|cut| !cut.parts.is_empty());
    cuts.iter_mut().for_each(|cut| cut.parts.sort_by_key(|part| std::cmp::Reverse(part.pixels)));
    cuts.sort_by_key(|cut| !cut.shelf);
    cuts
}

/// Cuts pieces one after the other from rolls laid end to end. `joined` counts pieces of parts.
fn end_to_end(
    rolls: impl Iterator<Item = (u32, bool)>,
    mut pieces: impl Iterator<Item = Part>,
    joined: &mut u32,
) -> Vec<Cut> {
    let mut cuts = Vec::new();
    let mut going_on: Option<Part> = None;
    for (roll, shelf) in rolls {
        let mut cut = Cut { roll, shelf, parts: Vec::new() };
        let mut room = roll;
        while room > 0 {
            let Some(mut part) = going_on.take().or_else(|| pieces.next()) else { break };
            if part.pixels > room {
                let this = part.joined.unwrap_or_else(|| {
                    *joined += 1;
                    Joined { piece: *joined - 1, part: 0 }
                });
                let next = Joined { part: this.part + 1, ..this };
                going_on = Some(Part { pixels: part.pixels - room, joined: Some(next), ..part });
                part = Part { pixels: room, joined: Some(this), ..part };
            }
            room -= part.pixels;
            cut.parts.push(part);
        }
        cuts.push(cut);
    }
    cuts
}
