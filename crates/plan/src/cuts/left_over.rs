//! The longest single left-over with no roll more: one roll is taken to end earlier, as early as
//! the pieces still fit.

use super::plain::fewest;
use super::problem::{Problem, roll_of};
use super::search::{Column, Taken};
use super::steps::Steps;

/// A packing and the longest left-over that any other with as many rolls could have.
pub(super) struct Lengthened {
    pub(super) packing: Taken,
    /// Pixels, of any roll.
    pub(super) longest: u32,
}

/// Real pixels of the rolls of each row: those of the problem are in its own unit.
pub(super) struct Rolls {
    /// Part rolls, then the new roll.
    pub(super) pixels: Vec<u32>,
    /// Pixels of one unit.
    pub(super) unit: u32,
}

/// Every part roll of the problem is one that the packing may use.
pub(super) fn lengthen(
    problem: &Problem,
    rolls: &Rolls,
    packing: Taken,
    steps: &mut Steps,
) -> Lengthened {
    let left_over = |column: &Column, row: usize| {
        rolls.pixels[row - problem.items()] - rolls.unit * fill(problem, column)
    };
    let own = |packing: &Taken| {
        packing.iter().map(|(column, _)| left_over(column, roll_of(column))).max().unwrap_or(0)
    };
    let mut rows: Vec<usize> = packing.iter().map(|(column, _)| roll_of(column)).collect();
    // Long rolls leave most.
    rows.sort_by_key(|row| (std::cmp::Reverse(rolls.pixels[row - problem.items()]), *row));
    rows.dedup();
    let mut best = own(&packing);
    let mut longest = best;
    let mut packing = packing;
    let new_rolls = problem.new_rolls(&packing);
    for row in rows {
        let pixels = rolls.pixels[row - problem.items()];
        let mut short = Shortened::new(problem, row, new_rolls);
        // Below `proven` nothing fits; between it and `low` nobody knows.
        let mut proven = short.least();
        let (mut low, mut high) = (proven, pixels.saturating_sub(best).div_ceil(rolls.unit));
        let mut first = true;
        while low < high {
            let middle = if first { low } else { low.midpoint(high) };
            first = false;
            match steps.with_part(4, |steps| short.fits(middle, steps)) {
                Fits::Yes(found) => {
                    (high, best) = (middle, best.max(own(&found)));
                    packing = found;
                }
                Fits::No => (proven, low) = (middle + 1, middle + 1),
                Fits::Unknown => low = middle + 1,
            }
        }
        if proven < high {
            longest = longest.max(pixels - rolls.unit * proven);
        }
    }
    Lengthened { packing, longest: longest.max(best) }
}

/// Units of the pieces on a roll.
fn fill(problem: &Problem, column: &Column) -> u32 {
    let pieces = column.iter().filter(|(row, _)| *row < problem.items());
    pieces.map(|(row, n)| problem.lengths[*row] * n).sum()
}

enum Fits {
    Yes(Taken),
    No,
    Unknown,
}

/// The problem with one roll of a row cut short. It stands as the last part roll.
struct Shortened<'p> {
    problem: &'p Problem,
    changed: Problem,
    row: usize,
    new_rolls: u32,
}

impl<'p> Shortened<'p> {
    fn new(problem: &'p Problem, row: usize, new_rolls: u32) -> Self {
        let mut changed = problem.clone();
        let mut others = new_rolls;
        match changed.shelf.get_mut(row - problem.items()) {
            Some((_, count)) => *count -= 1,
            None => others -= 1,
        }
        changed.shelf.push((0, 1));
        Self { problem, changed, row, new_rolls: others }
    }

    /// The pixels that the other rolls cannot hold, and no fewer than the shortest piece.
    fn least(&self) -> u32 {
        let problem = &self.changed;
        let shelf = problem.shelf.iter().map(|(pixels, n)| u64::from(*pixels) * u64::from(*n));
        let others = shelf.sum::<u64>() + u64::from(problem.roll) * u64::from(self.new_rolls);
        let rest = problem.pixels(&problem.counts).saturating_sub(others);
        let shortest = problem.lengths.last().copied().unwrap_or(1);
        u32::try_from(rest).unwrap_or(u32::MAX).max(shortest)
    }

    fn fits(&mut self, units: u32, steps: &mut Steps) -> Fits {
        if let Some((pixels, _)) = self.changed.shelf.last_mut() {
            *pixels = units;
        }
        let packed = fewest(&self.changed, Some(self.new_rolls), steps);
        if packed.new_rolls <= self.new_rolls {
            return Fits::Yes(self.own_rows(packed.packing));
        }
        if packed.bound > self.new_rolls { Fits::No } else { Fits::Unknown }
    }

    /// A packing of the changed problem in the rows of the problem itself.
    fn own_rows(&self, mut packing: Taken) -> Taken {
        let short = self.changed.new_row() - 1;
        for (row, _) in packing.iter_mut().filter_map(|(column, _)| column.last_mut()) {
            if *row == short {
                *row = self.row;
            } else if *row > short {
                *row = self.problem.new_row();
            }
        }
        packing
    }
}
