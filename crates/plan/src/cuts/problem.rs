//! Whole pieces out of rolls, in the rows that the search counts in: pieces by length, then part
//! rolls by length, then new rolls.

use super::order::Pieces;
use super::search::{Column, Taken};

/// Whole pieces, none longer than a new roll, and rolls to cut them from.
#[derive(Clone, Debug)]
pub(super) struct Problem {
    /// Longest first, in units of their greatest common divisor.
    pub(super) lengths: Vec<u32>,
    pub(super) counts: Vec<u32>,
    /// In the same unit, what is beyond the last whole one left out.
    pub(super) roll: u32,
    /// Part rolls by length, longest first, with how many there are.
    pub(super) shelf: Vec<(u32, u32)>,
}

impl Problem {
    /// Part rolls that hold no piece stay in the list, so that rows are those of `shelf`.
    pub(super) fn new(pieces: &[Pieces], roll: u32, shelf: &[Pieces]) -> Self {
        let unit = pieces.iter().fold(0, |unit, p| common(unit, p.pixels)).max(1);
        // No roll needs to be longer than all pieces together.
        let most = super::order::sum(pieces).div_ceil(u64::from(unit));
        let most = u32::try_from(most).unwrap_or(u32::MAX).max(1);
        Self {
            lengths: pieces.iter().map(|p| p.pixels / unit).collect(),
            counts: pieces.iter().map(|p| p.count).collect(),
            roll: (roll / unit).min(most),
            shelf: shelf.iter().map(|p| ((p.pixels / unit).min(most), p.count)).collect(),
        }
    }

    pub(super) fn items(&self) -> usize {
        self.lengths.len()
    }

    /// The row of new rolls.
    pub(super) fn new_row(&self) -> usize {
        self.items() + self.shelf.len()
    }

    /// Everything, with so many new rolls.
    pub(super) fn left(&self, new_rolls: u32) -> Vec<u32> {
        let shelf = self.shelf.iter().map(|(_, count)| *count);
        self.counts.iter().copied().chain(shelf).chain([new_rolls]).collect()
    }

    /// Rows of rolls of which some are left, with their pixels: the part rolls first.
    pub(super) fn rolls<'a>(&'a self, left: &'a [u32]) -> impl Iterator<Item = (usize, u32)> + 'a {
        let lengths = self.shelf.iter().map(|(pixels, _)| *pixels).chain([self.roll]);
        let rows = (self.items()..).zip(lengths);
        rows.filter(|(row, _)| left[*row] > 0)
    }

    /// Pixels of all pieces that are left.
    pub(super) fn pixels(&self, left: &[u32]) -> u64 {
        let each = self.lengths.iter().zip(left);
        each.map(|(length, count)| u64::from(*length) * u64::from(*count)).sum()
    }

    /// A roll of that row cut into pieces.
    pub(super) fn column(&self, pieces: impl Iterator<Item = (usize, u32)>, row: usize) -> Column {
        pieces.filter(|(_, n)| *n > 0).chain([(row, 1)]).collect()
    }

    /// New rolls that a packing takes.
    pub(super) fn new_rolls(&self, packing: &Taken) -> u32 {
        let new = packing.iter().filter(|(column, _)| roll_of(column) == self.new_row());
        new.map(|(_, times)| times).sum()
    }
}

/// The row of the roll that is cut: the last one of a column.
pub(super) fn roll_of(column: &Column) -> usize {
    column.last().map_or(0, |(row, _)| *row)
}

/// Greatest common divisor; 0 with anything is that.
pub(super) fn common(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { common(b, a % b) }
}
