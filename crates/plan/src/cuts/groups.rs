//! Fewest joints for a given number of rolls.
//!
//! Take every roll together with the pieces cut from it, and pieces with the rolls that their parts
//! come from: the rolls fall into groups that share no piece. A group of c rolls needs c - 1 joints
//! at least, since every roll but one must hang on another; and c - 1 are enough, if its pieces are
//! cut one after the other from its rolls laid end to end. So fewest joints are most groups: joints
//! = rolls - groups.
//!
//! With as few new rolls as the pixels need, all rolls together leave less than one roll. Taking
//! what is left as pieces of one pixel, the pieces of each group add up to whole rolls: on a circle
//! of one roll's pixels they lead back to 0. A part roll counts as so many pixels backwards. Groups
//! are priced and searched on that circle; the relaxation is a packing (as many groups as the pieces
//! allow), and a bound counts when it holds in whole numbers: for any weights that are not negative,
//! groups <= weight of everything / least weight of a group.

use super::cycle::{Cycle, Kind};
use super::relax::forget_old;
use super::search::{Column, Family, Judged, Taken, Verdict, how_often, search, take};
use super::simplex::{Basic, Simplex};
use super::steps::Steps;

/// Weights are prices in units of this part of one.
const SCALE: f64 = (1u64 << 36) as f64;
/// A group must be better than this to be taken in.
const BETTER: f64 = 1e-8;
/// Pivots for one solution, at most.
const PIVOTS: usize = 20_000;
/// Most groups that one step of the search looks at.
const MOST_NEXT: usize = 3_000;
/// Circles with more cells than this are not laid out.
const MOST_CELLS: usize = 4_000_000;
/// Rows above this are not solved.
const MOST_ROWS: usize = 250;

/// Tables of part rolls and pieces that take more steps than this are not made: part rolls then
/// stay together.
const MOST_STEPS: u64 = 5_000_000;

/// What is to be grouped: rows of part rolls, then of pieces and of left-overs.
#[derive(Clone, Debug)]
pub(super) struct Grouping {
    /// Pixels of one, part rolls below zero.
    pub(super) pixels: Vec<i64>,
    pub(super) counts: Vec<u32>,
    /// Pixels of a new roll, or more than all there is where none is bought.
    pub(super) round: u32,
    /// Rolls that are grouped.
    pub(super) rolls: u32,
    pub(super) new_rolls: u32,
}

/// A grouping and what is known about it.
pub(super) struct Grouped {
    pub(super) groups: Taken,
    pub(super) number: u32,
    /// No grouping has more.
    pub(super) bound: u32,
}

/// Most groups, as far as the steps reach, or as many as are `enough`. `None` where it is too large
/// to be laid out.
pub(super) fn most(grouping: &Grouping, enough: Option<u32>, steps: &mut Steps) -> Option<Grouped> {
    let rows = grouping.counts.len();
    if super::knapsack::cells(rows, grouping.round) > MOST_CELLS || rows > MOST_ROWS {
        return None;
    }
    let mut family = Groups { grouping, pool: Vec::new(), shelf_apart: grouping.is_deep() };
    let all = grouping.left(0);
    let everything = column(all[..rows].iter());
    let mut best = Grouped { groups: vec![(everything, 1)], number: 1, bound: grouping.rolls };
    let better = |best: &mut Grouped, groups: Taken| {
        let number = groups.iter().map(|(_, times)| times).sum();
        if number > best.number {
            (best.groups, best.number) = (groups, number);
        }
    };
    let Some(relaxed) = family.relax(&all, steps) else { return Some(best) };
    // Where part rolls stay together, it is a bound of these groupings alone.
    if !family.shelf_apart {
        best.bound = best.bound.min(relaxed.bound);
    }
    better(&mut best, family.rounded(&all, &relaxed, steps));
    if family.shelf_apart {
        return Some(best);
    }
    let mut target = best.bound.min(enough.unwrap_or(u32::MAX));
    while target > best.number {
        let part = if target == best.number + 1 { 1 } else { 2 };
        match steps.with_part(part, |steps| search(&mut family, &grouping.left(target), steps)) {
            Verdict::Found(groups) => better(&mut best, groups),
            Verdict::Impossible => best.bound = best.bound.min(target - 1),
            Verdict::Unknown if steps.left() == 0 => break,
            Verdict::Unknown => {}
        }
        target -= 1;
    }
    Some(best)
}

impl Grouping {
    /// Everything, and how many groups are wanted of it.
    fn left(&self, wanted: u32) -> Vec<u32> {
        self.counts.iter().copied().chain([wanted]).collect()
    }

    /// Rows of part rolls.
    fn part_rolls(&self) -> usize {
        self.pixels.iter().take_while(|pixels| **pixels < 0).count()
    }

    /// Pixels that part rolls can lead back; none where no new roll closes the circle.
    fn depth(&self, left: &[u32]) -> u32 {
        if self.new_rolls == 0 {
            return 0;
        }
        let shelf = self.pixels.iter().zip(left).take(self.part_rolls());
        let back: i64 = shelf.map(|(pixels, n)| -pixels * i64::from(*n)).sum();
        u32::try_from(back).unwrap_or(u32::MAX)
    }

    /// Whether tables with the part rolls in them would be too large.
    fn is_deep(&self) -> bool {
        let depth = self.depth(&self.counts);
        let kinds: Vec<_> = self.pixels.iter().copied().zip(self.counts.iter().copied()).collect();
        let cells = super::knapsack::cells(kinds.len(), depth.saturating_add(self.round));
        cells > MOST_CELLS || Cycle::steps(self.round, depth, &kinds) > MOST_STEPS && depth > 0
    }

    fn wanted_row(&self) -> usize {
        self.counts.len()
    }

    /// New rolls that a group takes; none where its part rolls hold more than it has.
    pub(super) fn new_rolls_of(&self, group: &Column) -> Option<u32> {
        let rows = group.iter().filter(|(row, _)| *row < self.pixels.len());
        let pixels: i64 = rows.map(|(row, n)| self.pixels[*row] * i64::from(*n)).sum();
        u32::try_from(pixels / i64::from(self.round)).ok().filter(|_| pixels >= 0)
    }
}

/// A column of counts by row.
fn column<'a>(counts: impl Iterator<Item = &'a u32>) -> Column {
    counts.copied().enumerate().filter(|(_, n)| *n > 0).collect()
}

struct Relaxed {
    bound: u32,
    active: Vec<usize>,
    weights: Vec<i64>,
    weight: i128,
    /// Of the lightest group.
    least: i64,
    tables: Cycle,
    guide: Vec<(Column, f64)>,
}

struct Groups<'g> {
    grouping: &'g Grouping,
    pool: Vec<Column>,
    /// Whether all part rolls stay in one group.
    shelf_apart: bool,
}

impl Family for Groups<'_> {
    fn judge(&mut self, left: &[u32], steps: &mut Steps) -> Judged {
        let rows = self.grouping.wanted_row();
        let wanted = left[rows];
        let rest = column(left[..rows].iter());
        if wanted <= 1 {
            // All that is left is one group.
            return match (rest.is_empty(), self.grouping.new_rolls_of(&rest)) {
                (true, _) if wanted == 0 => Judged::Done(Taken::new()),
                (false, Some(_)) => Judged::Done(vec![(rest, 1)]),
                _ => Judged::Impossible,
            };
        }
        if rest.is_empty() {
            return Judged::Impossible;
        }
        let Some(relaxed) = self.relax(left, steps) else { return Judged::Unknown };
        if relaxed.bound < wanted {
            return Judged::Impossible;
        }
        let groups = self.rounded(left, &relaxed, steps);
        if groups.iter().map(|(_, times)| times).sum::<u32>() >= wanted {
            return Judged::Done(groups);
        }
        let (next, complete) = self.next(left, &relaxed, steps);
        Judged::Open { guide: relaxed.guide, next, complete }
    }

    fn depth(&self, left: &[u32]) -> u32 {
        left[self.grouping.wanted_row()]
    }
}

impl Groups<'_> {
    fn relax(&mut self, left: &[u32], steps: &mut Steps) -> Option<Relaxed> {
        forget_old(&mut self.pool);
        steps.spend(8 * self.pool.len() * (1 + left.len().min(8)));
        let rows = self.grouping.wanted_row();
        let first = if self.shelf_apart { self.grouping.part_rolls() } else { 0 };
        let active: Vec<usize> = (first..rows).filter(|row| left[*row] > 0).collect();
        let mut simplex = Simplex::new(
            active.iter().map(|row| f64::from(left[*row])).collect(),
            vec![1.0; active.len()],
        );
        let mut place = vec![None; left.len()];
        active.iter().enumerate().for_each(|(i, row)| place[*row] = Some(i));
        let entries = |group: &Column| -> Vec<(usize, f64)> {
            group.iter().filter_map(|(row, n)| Some((place[*row]?, f64::from(*n)))).collect()
        };
        let mut columns = Vec::new();
        let fits = |group: &&Column| group.iter().all(|(r, n)| *r == rows || *n <= left[*r]);
        for group in self.pool.iter().filter(fits) {
            simplex.column(-1.0, entries(group));
            columns.push(group.clone());
        }
        if !simplex.begin((0..active.len()).map(Basic::Slack).collect()) {
            return None;
        }
        let total = |weights: &[i64]| -> i128 {
            let each = active.iter().zip(weights);
            each.map(|(row, w)| i128::from(left[*row]) * i128::from(*w)).sum()
        };
        let mut best: Option<(u32, Vec<i64>, i64, Cycle)> = None;
        loop {
            let (took, ended) = simplex.improve(PIVOTS);
            let weights: Vec<i64> = simplex
                .prices()
                .iter()
                .map(|p| (-p).max(0.0))
                .map(|p| (p * SCALE) as i64)
                .collect();
            let (tables, also) = self.tables(left, &active, &weights);
            if !steps.spend(took + also) {
                return None;
            }
            let Some((least, counts)) = tables.lightest() else {
                // Not even everything together is a group: it cannot be.
                return None;
            };
            let bound = match least {
                0 => u32::MAX,
                least => u32::try_from(total(&weights) / i128::from(least)).unwrap_or(u32::MAX),
            };
            if best.as_ref().is_none_or(|(known, ..)| bound < *known) {
                best = Some((bound, weights, least, tables));
            }
            let bound = best.as_ref().map_or(u32::MAX, |b| b.0);
            let reached = f64::from(bound) <= -simplex.total() + 1e-6;
            if !ended || reached || least as f64 / SCALE >= 1.0 - BETTER {
                break;
            }
            let counts = active.iter().copied().zip(counts).filter(|(_, n)| *n > 0);
            let group: Column = counts.chain([(rows, 1)]).collect();
            // One that is known already is no better than rounding.
            if columns.contains(&group) {
                break;
            }
            simplex.column(-1.0, entries(&group));
            columns.push(group.clone());
            self.pool.push(group);
        }
        let (bound, weights, least, tables) = best?;
        let amounts = simplex.amounts().into_iter();
        let guide = amounts.filter_map(|(c, x)| Some((columns.get(c)?.clone(), x))).collect();
        let weight = total(&weights);
        Some(Relaxed { bound, active, weights, weight, least, tables, guide })
    }

    fn tables(&self, left: &[u32], active: &[usize], weights: &[i64]) -> (Cycle, usize) {
        let grouping = self.grouping;
        let depth = if self.shelf_apart { 0 } else { grouping.depth(left) };
        let kinds = active.iter().zip(weights).map(|(row, weight)| Kind {
            pixels: grouping.pixels[*row],
            limit: left[*row],
            weight: *weight,
        });
        Cycle::new(grouping.round, depth, kinds.collect())
    }

    /// The relaxation in whole numbers, then light groups as long as there are any; what is left is
    /// one more.
    fn rounded(&self, left: &[u32], relaxed: &Relaxed, steps: &mut Steps) -> Taken {
        let rows = self.grouping.wanted_row();
        let mut rest = left.to_vec();
        rest[rows] = u32::MAX;
        let mut taken = Taken::new();
        // What stays together must not be left without the new rolls that it needs.
        let mut new_left = if self.shelf_apart { self.grouping.new_rolls } else { u32::MAX };
        let mut take_in = |group: &Column, most: u32, rest: &mut Vec<u32>| {
            let new = self.grouping.new_rolls_of(group).filter(|new| *new > 0);
            let affordable = new.map_or(u32::MAX, |new| new_left / new);
            let times = most.min(how_often(group, rest)).min(affordable);
            if times > 0 {
                new_left -= if new_left == u32::MAX { 0 } else { times * new.unwrap_or(0) };
                take(group, times, rest);
                taken.push((group.clone(), times));
            }
            times
        };
        let mut guide: Vec<&(Column, f64)> = relaxed.guide.iter().collect();
        guide.sort_by(|a, b| b.1.total_cmp(&a.1));
        for (group, amount) in &guide {
            take_in(group, (amount + 1e-6) as u32, &mut rest);
        }
        for (group, amount) in &guide {
            let fraction = amount + 1e-6 - (amount + 1e-6).floor();
            take_in(group, u32::from(fraction >= 0.5), &mut rest);
        }
        let weight_of: Vec<(usize, i64)> =
            relaxed.active.iter().copied().zip(relaxed.weights.iter().copied()).collect();
        loop {
            let (active, weights): (Vec<usize>, Vec<i64>) =
                weight_of.iter().filter(|(row, _)| rest[*row] > 0).copied().unzip();
            if active.is_empty() {
                break;
            }
            let (tables, took) = self.tables(&rest, &active, &weights);
            let lightest = tables.lightest().filter(|_| steps.spend(took));
            let Some((_, counts)) = lightest else { break };
            let counts = active.iter().copied().zip(counts).filter(|(_, n)| *n > 0);
            let group: Column = counts.chain([(rows, 1)]).collect();
            if take_in(&group, u32::MAX, &mut rest) == 0 {
                break;
            }
        }
        let rest = column(rest[..rows].iter());
        if !rest.is_empty() {
            match self.grouping.new_rolls_of(&rest) {
                Some(_) => taken.push((rest, 1)),
                None => return Taken::new(),
            }
        }
        taken
    }

    /// Groups of which one must hold the first piece left, and which leave enough weight for the
    /// others that are wanted.
    fn next(&self, left: &[u32], relaxed: &Relaxed, steps: &mut Steps) -> (Vec<Column>, bool) {
        let rows = self.grouping.wanted_row();
        let others = i128::from(left[rows] - 1) * i128::from(relaxed.least);
        let most = i64::try_from(relaxed.weight - others).unwrap_or(i64::MAX);
        let mut next: Vec<(u64, i64, Column)> = Vec::new();
        let mut found = |counts: &[u32]| {
            let weight = relaxed.weights.iter().zip(counts).map(|(w, n)| w * i64::from(*n)).sum();
            let counts = relaxed.active.iter().copied().zip(counts.iter().copied());
            let group: Column = counts.filter(|(_, n)| *n > 0).chain([(rows, 1)]).collect();
            if self.grouping.new_rolls_of(&group).is_some() {
                let wanted = relaxed.guide.iter().find(|(known, _)| *known == group);
                let wanted = wanted.map_or(0.0, |(_, amount)| *amount);
                next.push((u64::MAX - (wanted * 1e6) as u64, weight, group));
            }
            next.len() < MOST_NEXT
        };
        let (took, complete) = relaxed.tables.groups(most, &mut found);
        steps.spend(took * 4 + next.len() * 40);
        next.sort();
        (next.into_iter().map(|(.., group)| group).collect(), complete)
    }
}
