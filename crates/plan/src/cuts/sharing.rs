//! One shelf shared out among panels that share no roll.
//!
//! Every way to give a panel part of the shelf is solved, alike panels once; then panel after panel
//! takes its part of what the others leave (a dynamic programme over what is taken). The same sums of
//! the bounds are a bound of the whole. A shelf with too many ways is not shared out like this.

use super::order::Pieces;
use super::solution::Solution;

/// More orders than this are not solved, of all kinds of panel together.
const MOST_ORDERS: usize = 1_500;
/// More pairs of what is taken and what is given than this are not looked at, of all panels together.
const MOST_PAIRS: usize = 10_000_000;

/// What a way of cutting costs, the worst first: pieces that fit nowhere, new rolls, joints, part rolls
/// begun, and their pixels.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Price([u64; 5]);

impl Price {
    fn of(solution: &Solution) -> Self {
        let shelf: Vec<u64> =
            solution.cuts.iter().filter(|cut| cut.shelf).map(|cut| cut.roll.into()).collect();
        Self([
            solution.too_long.iter().map(|p| u64::from(p.count)).sum(),
            solution.new_rolls().into(),
            solution.joints().into(),
            shelf.len() as u64,
            shelf.iter().sum(),
        ])
    }

    fn and(self, other: Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] + other.0[i]))
    }
}

/// How a shelf is shared out.
pub(super) struct Shared {
    /// Part rolls for each panel, in their order.
    pub(super) shelves: Vec<Vec<u32>>,
    /// However it is shared out, no fewer new rolls do.
    pub(super) least_new_rolls: u32,
}

/// Part rolls of a few lengths, and every way to take some of them, each with a number.
struct Shelf<'s>(&'s [Pieces]);

impl Shelf<'_> {
    /// `None`: too many to number.
    fn ways(&self) -> Option<usize> {
        self.0.iter().try_fold(1usize, |all, p| all.checked_mul(p.count as usize + 1))
    }

    /// Pairs of a way and a part of it. `None`: too many to count.
    fn pairs(&self) -> Option<usize> {
        let pairs = |p: &Pieces| (p.count as usize + 1).checked_mul(p.count as usize + 2);
        self.0.iter().try_fold(1usize, |all, p| all.checked_mul(pairs(p)? / 2))
    }

    /// How many of each length a way takes.
    fn counts(&self, mut way: usize) -> Vec<usize> {
        let of = |p: &Pieces| {
            let base = p.count as usize + 1;
            let count = way % base;
            way /= base;
            count
        };
        self.0.iter().map(of).collect()
    }

    /// The part rolls of a way.
    fn rolls(&self, way: usize) -> Vec<u32> {
        let counts = self.counts(way).into_iter();
        self.0.iter().zip(counts).flat_map(|(p, n)| std::iter::repeat_n(p.pixels, n)).collect()
    }

    /// Every part of a way, itself and nothing among them.
    fn parts(&self, way: usize) -> Vec<usize> {
        let (mut parts, mut worth) = (vec![0], 1);
        for (count, p) in self.counts(way).into_iter().zip(self.0) {
            let more = |n: usize| parts.iter().map(move |part| part + n * worth);
            parts = (0..=count).flat_map(more).collect();
            worth *= p.count as usize + 1;
        }
        parts
    }
}

/// Shares a shelf out among panels, each of a kind from 0. `solve` cuts a panel of a kind with part of
/// the shelf, one of so many orders. `None` where there are too many ways.
pub(super) fn share(
    panels: &[usize],
    shelf: &[Pieces],
    mut solve: impl FnMut(usize, &[u32], u64) -> Solution,
) -> Option<Shared> {
    let shelf = Shelf(shelf);
    let kinds = panels.iter().max()? + 1;
    let ways = shelf.ways().filter(|ways| ways.saturating_mul(kinds) <= MOST_ORDERS)?;
    let orders = (ways * kinds) as u64;
    shelf.pairs().filter(|pairs| pairs.saturating_mul(panels.len()) <= MOST_PAIRS)?;
    let mut priced = Vec::with_capacity(kinds);
    for kind in 0..kinds {
        let solved = (0..ways).map(|way| {
            let solution = solve(kind, &shelf.rolls(way), orders);
            (Price::of(&solution), u64::from(solution.least_new_rolls))
        });
        priced.push(solved.collect::<Vec<_>>());
    }
    let parts: Vec<Vec<usize>> = (0..ways).map(|way| shelf.parts(way)).collect();
    // By way: the least that the panels so far cost if they take no more than it.
    let mut best = vec![(Price::default(), 0u64); ways];
    let mut given: Vec<Vec<usize>> = Vec::with_capacity(panels.len());
    for kind in panels {
        let of = &priced[*kind];
        let mut chosen = Vec::with_capacity(ways);
        let mut next = Vec::with_capacity(ways);
        for (way, parts) in parts.iter().enumerate() {
            let price = |part: usize| best[way - part].0.and(of[part].0);
            let least = parts.iter().map(|part| best[way - part].1 + of[*part].1).min();
            // Nothing is always a part.
            let part = parts.iter().copied().min_by_key(|part| price(*part)).unwrap_or(0);
            next.push((price(part), least.unwrap_or(0)));
            chosen.push(part);
        }
        best = next;
        given.push(chosen);
    }
    let mut left = ways - 1;
    let least_new_rolls = u32::try_from(best[left].1).unwrap_or(u32::MAX);
    let mut shelves = Vec::with_capacity(panels.len());
    for chosen in given.iter().rev() {
        let part = chosen[left];
        shelves.push(shelf.rolls(part));
        left -= part;
    }
    shelves.reverse();
    Some(Shared { shelves, least_new_rolls })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_and_its_parts() {
        let shelf = [Pieces { pixels: 9, count: 2 }, Pieces { pixels: 5, count: 1 }];
        let shelf = Shelf(&shelf);
        assert_eq!((shelf.ways(), shelf.pairs()), (Some(6), Some(18)));
        let rolls: Vec<_> = (0..6).map(|way| shelf.rolls(way)).collect();
        assert_eq!(rolls, [vec![], vec![9], vec![9, 9], vec![5], vec![9, 5], vec![9, 9, 5]]);
        assert_eq!(shelf.parts(5), [0, 1, 2, 3, 4, 5]);
        // A part and what it leaves are the way.
        assert_eq!(shelf.parts(4), [0, 1, 3, 4]);
        assert_eq!((0..6).map(|way| shelf.parts(way).len()).sum::<usize>(), 18);
    }
}
