//! What is to be cut, and from what.

use serde::Serialize;

/// Pieces of one length.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Pieces {
    /// Of one piece; at least 1.
    pub pixels: u32,
    /// How many.
    pub count: u32,
}

/// What is to be cut, and from what. Cuts take no length away: a strip is cut between two pixels.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Order {
    pieces: Vec<Pieces>,
    roll: u32,
    shelf: Vec<Pieces>,
    splices: bool,
}

impl Order {
    /// Pieces as (pixels, count) in any order, the pixels of a new roll, the pixels of each part
    /// roll on the shelf, and whether a piece may be joined from parts. Nothing of no length is
    /// kept.
    #[must_use]
    pub fn new(
        pieces: impl IntoIterator<Item = (u32, u32)>,
        roll: u32,
        shelf: &[u32],
        splices: bool,
    ) -> Self {
        let shelf = shelf.iter().map(|pixels| (*pixels, 1));
        Self { pieces: sorted(pieces), roll: roll.max(1), shelf: sorted(shelf), splices }
    }

    /// Longest first, one entry a length.
    #[must_use]
    pub fn pieces(&self) -> &[Pieces] {
        &self.pieces
    }

    /// Pixels of a new roll, at least 1; there is no end of new rolls.
    #[must_use]
    pub fn roll(&self) -> u32 {
        self.roll
    }

    /// Part rolls on the shelf, longest first, one entry a length.
    #[must_use]
    pub fn shelf(&self) -> &[Pieces] {
        &self.shelf
    }

    /// Whether a piece may be joined from parts.
    #[must_use]
    pub fn splices(&self) -> bool {
        self.splices
    }

    /// Pixels of all pieces.
    #[must_use]
    pub fn pixels(&self) -> u64 {
        sum(&self.pieces)
    }

    /// Fewest new rolls that hold as many pixels as are wanted, part rolls used up first: what
    /// splices allow, and a bound without them.
    #[must_use]
    pub fn rolls_by_pixels(&self) -> u32 {
        let short = self.pixels().saturating_sub(sum(&self.shelf));
        u32::try_from(short.div_ceil(u64::from(self.roll))).unwrap_or(u32::MAX)
    }
}

/// Pixels of all of them.
pub(super) fn sum(pieces: &[Pieces]) -> u64 {
    pieces.iter().map(|p| u64::from(p.pixels) * u64::from(p.count)).sum()
}

fn sorted(pieces: impl IntoIterator<Item = (u32, u32)>) -> Vec<Pieces> {
    let mut all: Vec<_> = pieces.into_iter().filter(|(pixels, n)| *pixels > 0 && *n > 0).collect();
    all.sort_unstable_by(|a, b| b.cmp(a));
    let alike = all.chunk_by(|a, b| a.0 == b.0);
    alike
        .filter_map(|chunk| {
            let count = chunk.iter().fold(0u32, |sum, (_, n)| sum.saturating_add(*n));
            chunk.first().map(|(pixels, _)| Pieces { pixels: *pixels, count })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_come_once_and_longest_first() {
        let order = Order::new([(3, 1), (7, 2), (3, 4), (0, 9), (5, 0)], 10, &[4, 0, 9, 4], false);
        let pairs = |p: &[Pieces]| p.iter().map(|p| (p.pixels, p.count)).collect::<Vec<_>>();
        assert_eq!(pairs(order.pieces()), [(7, 2), (3, 5)]);
        assert_eq!(pairs(order.shelf()), [(9, 1), (4, 2)]);
        assert_eq!(order.pixels(), 29);
        // 29 - 17 = 12 pixels are two rolls of 10.
        assert_eq!(order.rolls_by_pixels(), 2);
    }
}
