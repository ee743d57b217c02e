//! Fewest new rolls for whole pieces.
//!
//! A bound from below and a packing from above are brought together: where they meet, the packing
//! is proven. Between them the search goes over patterns that hold the longest piece left, and
//! leaves out those that the bound forbids.

use super::bound::{by_halves, by_pixels};
use super::knapsack::cells;
use super::pack::{fullest, longest_first};
use super::problem::Problem;
use super::relax::{Relaxed, relax};
use super::search::{Column, Family, Judged, Taken, Verdict, how_often, search, take};
use super::steps::Steps;

/// Tables above this size are not made.
const MOST_CELLS: usize = 4_000_000;
/// Rows above this are not solved.
const MOST_ROWS: usize = 250;
/// Most patterns that one step of the search looks at.
const MOST_NEXT: usize = 3_000;

/// A packing and what is known about it.
pub(super) struct Packed {
    pub(super) packing: Taken,
    pub(super) new_rolls: u32,
    /// No packing takes fewer.
    pub(super) bound: u32,
}

/// Fewest new rolls, as far as the steps reach; where so many are `enough`, no further than to say
/// whether they are.
pub(super) fn fewest(problem: &Problem, enough: Option<u32>, steps: &mut Steps) -> Packed {
    let pieces: u32 = problem.counts.iter().fold(0, |sum, n| sum.saturating_add(*n));
    let all = problem.left(pieces);
    let mut best = Packed {
        packing: longest_first(problem, &all, steps).unwrap_or_default(),
        new_rolls: 0,
        bound: by_pixels(problem).max(by_halves(problem)),
    };
    best.new_rolls = problem.new_rolls(&best.packing);
    let settled = |best: &Packed| {
        let known = |enough| best.new_rolls <= enough || best.bound > enough;
        best.new_rolls <= best.bound || enough.is_some_and(known)
    };
    let longest = problem.rolls(&all).map(|(_, pixels)| pixels).max().unwrap_or(0);
    let large = cells(problem.items(), longest) > MOST_CELLS || problem.new_row() > MOST_ROWS;
    if settled(&best) || large {
        return best;
    }
    let better = |best: &mut Packed, packing: Taken| {
        let new_rolls = problem.new_rolls(&packing);
        if new_rolls < best.new_rolls {
            (best.packing, best.new_rolls) = (packing, new_rolls);
        }
    };
    if let Some(packing) = fullest(problem, &all, steps) {
        better(&mut best, packing);
    }
    let mut plain = Plain { problem, pool: Vec::new() };
    if !settled(&best)
        && let Some(relaxed) = relax(problem, &all, u32::MAX, &mut plain.pool, steps)
    {
        best.bound = best.bound.max(relaxed.bound);
    }
    let mut target = best.bound.max(enough.unwrap_or(0).min(best.new_rolls));
    while !settled(&best) && target < best.new_rolls {
        let part = if target + 1 == best.new_rolls { 1 } else { 2 };
        let verdict =
            steps.with_part(part, |steps| search(&mut plain, &problem.left(target), steps));
        match verdict {
            Verdict::Found(packing) => better(&mut best, packing),
            Verdict::Impossible => best.bound = best.bound.max(target + 1),
            Verdict::Unknown if steps.left() == 0 => break,
            Verdict::Unknown => {}
        }
        target += 1;
    }
    best
}

struct Plain<'p> {
    problem: &'p Problem,
    pool: Vec<Column>,
}

impl Family for Plain<'_> {
    fn judge(&mut self, left: &[u32], steps: &mut Steps) -> Judged {
        let problem = self.problem;
        if left[..problem.items()].iter().all(|count| *count == 0) {
            return Judged::Done(Taken::new());
        }
        let held: u64 =
            problem.rolls(left).map(|(row, pixels)| u64::from(left[row]) * u64::from(pixels)).sum();
        if problem.pixels(left) > held {
            return Judged::Impossible;
        }
        if let Some(packing) = longest_first(problem, left, steps) {
            return Judged::Done(packing);
        }
        let new_left = left[problem.new_row()];
        let relaxed = relax(problem, left, new_left, &mut self.pool, steps);
        let Some(relaxed) = relaxed else { return Judged::Unknown };
        if relaxed.bound > new_left {
            return Judged::Impossible;
        }
        if let Some(packing) = self.rounded(left, &relaxed.guide, steps) {
            return Judged::Done(packing);
        }
        let (next, complete) = self.next(left, &relaxed, steps);
        Judged::Open { guide: relaxed.guide, next, complete }
    }

    /// One roll at a time.
    fn depth(&self, left: &[u32]) -> u32 {
        left[self.problem.items()..].iter().fold(0, |sum, n| sum.saturating_add(*n))
    }
}

impl Plain<'_> {
    /// The relaxation in whole numbers, and the rest packed quickly.
    fn rounded(&self, left: &[u32], guide: &[(Column, f64)], steps: &mut Steps) -> Option<Taken> {
        let mut rest = left.to_vec();
        let mut taken = Taken::new();
        for (column, amount) in guide {
            let times = ((amount + 1e-6) as u32).min(how_often(column, &rest));
            take(column, times, &mut rest);
            taken.push((column.clone(), times));
        }
        let mut packing = longest_first(self.problem, &rest, steps)
            .or_else(|| fullest(self.problem, &rest, steps))?;
        packing.extend(taken.into_iter().filter(|(_, times)| *times > 0));
        Some(packing)
    }

    /// Patterns of which one must hold the longest piece left. All others can be made full (a piece
    /// that would still fit is put in from elsewhere), and none may leave more weight than the
    /// other rolls can hold.
    fn next(&self, left: &[u32], relaxed: &Relaxed, steps: &mut Steps) -> (Vec<Column>, bool) {
        let problem = self.problem;
        let held: i128 = problem
            .rolls(left)
            .map(|(row, pixels)| i128::from(left[row]) * i128::from(relaxed.tables.most(pixels)))
            .sum();
        let may_waste = held - relaxed.weight;
        let mut next: Vec<(i64, u64, Column)> = Vec::new();
        let mut complete = true;
        let longest = problem.lengths[relaxed.active[0]];
        for (row, pixels) in problem.rolls(left).filter(|(_, pixels)| *pixels >= longest) {
            let most = relaxed.tables.most(pixels);
            let least = i128::from(most) - may_waste;
            let least = i64::try_from(least).unwrap_or(if least > 0 { i64::MAX } else { 0 });
            let first = next.len();
            let mut found = |filling: &[u32]| {
                let pieces = relaxed.active.iter().copied().zip(filling.iter().copied());
                let weight: i64 =
                    relaxed.weights.iter().zip(filling).map(|(w, n)| w * i64::from(*n)).sum();
                let column = problem.column(pieces, row);
                let wanted = relaxed.guide.iter().find(|(known, _)| *known == column);
                let wanted = wanted.map_or(0.0, |(_, amount)| *amount);
                // More of the relaxation first, then less waste.
                next.push((most - weight, u64::MAX - (wanted * 1e6) as u64, column));
                next.len() - first < MOST_NEXT
            };
            let (took, ended) = relaxed.tables.fillings(pixels, 0, least.max(0), &mut found);
            steps.spend(took * 4);
            complete &= ended;
        }
        next.sort_by(|a, b| (a.1, a.0, &a.2).cmp(&(b.1, b.0, &b.2)));
        steps.spend(next.len() * 40);
        (next.into_iter().map(|(_, _, column)| column).collect(), complete)
    }
}
