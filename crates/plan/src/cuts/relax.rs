//! The relaxation: how many new rolls it would take if rolls could be cut in fractions of patterns.
//!
//! Patterns are priced one by one as the linear programme asks for them (column generation; Gilmore
//! and Gomory 1961, from memory). Floating point only guides: a bound counts when it holds in whole
//! numbers. For any weights of the pieces that are not negative, let Z(r) be the most weight that a
//! roll r holds; then new rolls >= (weight of all pieces - sum of Z over the part rolls) / Z(new
//! roll), rounded up. Weights come from the programme's prices, Z from an exact table.

use super::knapsack::Knapsack;
use super::problem::Problem;
use super::search::Column;
use super::simplex::{Basic, Simplex};
use super::steps::Steps;

/// Weights are prices in units of this part of one.
const SCALE: f64 = (1u64 << 36) as f64;
/// A pattern must be better than this to be taken in.
const BETTER: f64 = 1e-9;
/// Pivots for one solution, at most.
const PIVOTS: usize = 20_000;

/// What the relaxation says of what is left.
pub(super) struct Relaxed {
    /// At least so many new rolls.
    pub(super) bound: u32,
    /// Rows of pieces that are left: what `tables` count in.
    pub(super) active: Vec<usize>,
    /// By the weights of the best bound.
    pub(super) tables: Knapsack,
    /// Weight of each active piece.
    pub(super) weights: Vec<i64>,
    /// Weight of all pieces.
    pub(super) weight: i128,
    /// Patterns with how often they are taken.
    pub(super) guide: Vec<(Column, f64)>,
}

/// Solves it. Stops early once the bound is above `enough`. Patterns found go to the `pool` and are
/// used again. `None`: out of steps.
pub(super) fn relax(
    problem: &Problem,
    left: &[u32],
    enough: u32,
    pool: &mut Vec<Column>,
    steps: &mut Steps,
) -> Option<Relaxed> {
    forget_old(pool);
    steps.spend(8 * pool.len() * (1 + problem.items().min(8)));
    let mut programme = Programme::new(problem, left, pool)?;
    let mut best: Option<(f64, u32, Vec<i64>, Knapsack)> = None;
    loop {
        let (took, ended) = programme.simplex.improve(PIVOTS);
        let prices = programme.simplex.prices();
        let weights: Vec<i64> =
            prices[..programme.active.len()].iter().map(|p| (p.max(0.0) * SCALE) as i64).collect();
        let (tables, also) = programme.tables(weights.clone());
        if !steps.spend(took + also) {
            return None;
        }
        let (fraction, bound) = programme.bound(&weights, &tables);
        let total = programme.simplex.total();
        let found = ended && !programme.priced_in(&prices, &tables, pool);
        if best.as_ref().is_none_or(|(most, ..)| fraction > *most) {
            best = Some((fraction, bound, weights, tables));
        }
        let bound = best.as_ref().map_or(0, |b| b.1);
        if found || !ended || bound > enough || f64::from(bound) >= total - 1e-6 {
            break;
        }
    }
    let (_, bound, weights, tables) = best?;
    let weight = programme.weight(&weights);
    let Programme { active, simplex, columns, .. } = programme;
    let taken = simplex.amounts().into_iter();
    let guide = taken.filter_map(|(c, x)| Some((columns.get(c)?.clone(), x))).collect();
    Some(Relaxed { bound, active, tables, weights, weight, guide })
}

/// Most columns kept from one solution to the next.
const MOST_KEPT: usize = 600;

/// Drops the older half of too many.
pub(super) fn forget_old(pool: &mut Vec<Column>) {
    if pool.len() > MOST_KEPT {
        pool.drain(..MOST_KEPT / 2);
    }
}

struct Programme<'p> {
    problem: &'p Problem,
    left: &'p [u32],
    active: Vec<usize>,
    /// Row of the programme by row of the problem.
    rows: Vec<Option<usize>>,
    simplex: Simplex,
    columns: Vec<Column>,
}

impl<'p> Programme<'p> {
    fn new(problem: &'p Problem, left: &'p [u32], pool: &[Column]) -> Option<Self> {
        let active: Vec<usize> = (0..problem.items()).filter(|row| left[*row] > 0).collect();
        let shelf = (problem.items()..problem.new_row()).filter(|row| left[*row] > 0);
        let kept: Vec<usize> = active.iter().copied().chain(shelf).collect();
        let mut rows = vec![None; left.len()];
        kept.iter().enumerate().for_each(|(i, row)| rows[*row] = Some(i));
        let wanted = kept.iter().map(|row| f64::from(left[*row])).collect();
        let sign = |row: &usize| if *row < problem.items() { -1.0 } else { 1.0 };
        let simplex = Simplex::new(wanted, kept.iter().map(sign).collect());
        let mut programme = Self { problem, left, active, rows, simplex, columns: Vec::new() };
        let mut basis = Vec::new();
        for (i, row) in kept.iter().enumerate() {
            if i < programme.active.len() {
                let n = (problem.roll / problem.lengths[*row]).min(left[*row]).max(1);
                let c = programme.add(vec![(*row, n), (problem.new_row(), 1)]);
                basis.push(Basic::Column(c));
            } else {
                basis.push(Basic::Slack(i));
            }
        }
        // A pattern that takes more than is left would weaken the bound.
        let fits = |column: &&Column| {
            let mut entries = column.iter();
            entries.all(|(row, n)| *row == problem.new_row() || *n <= left[*row])
        };
        pool.iter().filter(fits).for_each(|column| _ = programme.add(column.clone()));
        programme.simplex.begin(basis).then_some(programme)
    }

    fn add(&mut self, column: Column) -> usize {
        let entries = column.iter().filter_map(|(row, n)| Some((self.rows[*row]?, f64::from(*n))));
        let new = column.iter().any(|(row, _)| *row == self.problem.new_row());
        let number = self.simplex.column(if new { 1.0 } else { 0.0 }, entries.collect());
        self.columns.push(column);
        number
    }

    fn tables(&self, weights: Vec<i64>) -> (Knapsack, usize) {
        let lengths: Vec<u32> = self.active.iter().map(|row| self.problem.lengths[*row]).collect();
        let limits: Vec<u32> = self.active.iter().map(|row| self.left[*row]).collect();
        let longest = self.shelf().map(|(_, pixels)| pixels).max().unwrap_or(0);
        Knapsack::new(&lengths, &limits, weights, longest.max(self.problem.roll))
    }

    /// Rows and pixels of part rolls that are left.
    fn shelf(&self) -> impl Iterator<Item = (usize, u32)> {
        let new = self.problem.new_row();
        self.problem.rolls(self.left).filter(move |(row, _)| *row != new)
    }

    fn weight(&self, weights: &[i64]) -> i128 {
        let each = self.active.iter().zip(weights);
        each.map(|(row, w)| i128::from(self.left[*row]) * i128::from(*w)).sum()
    }

    /// The bound as a fraction, to compare, and in whole rolls.
    fn bound(&self, weights: &[i64], tables: &Knapsack) -> (f64, u32) {
        let held: i128 = self
            .shelf()
            .map(|(row, pixels)| i128::from(self.left[row]) * i128::from(tables.most(pixels)))
            .sum();
        let over = self.weight(weights) - held;
        let each = i128::from(tables.most(self.problem.roll));
        if over <= 0 || each <= 0 {
            return (0.0, 0);
        }
        let rolls = (over + each - 1) / each;
        (over as f64 / each as f64, u32::try_from(rolls).unwrap_or(u32::MAX))
    }

    /// Takes in the best new pattern of each kind of roll. `false`: there is none that helps.
    fn priced_in(&mut self, prices: &[f64], tables: &Knapsack, pool: &mut Vec<Column>) -> bool {
        let mut better = Vec::new();
        if tables.most(self.problem.roll) as f64 / SCALE > 1.0 + BETTER {
            better.push((self.problem.new_row(), self.problem.roll));
        }
        better.extend(self.shelf().filter(|(row, pixels)| {
            let Some(row) = self.rows[*row] else { return false };
            tables.most(*pixels) as f64 / SCALE + prices[row] > BETTER
        }));
        for (row, pixels) in &better {
            let filling = tables.filling(*pixels);
            let pieces = self.active.iter().copied().zip(filling);
            let column = self.problem.column(pieces, *row);
            pool.push(column.clone());
            self.add(column);
        }
        !better.is_empty()
    }
}
