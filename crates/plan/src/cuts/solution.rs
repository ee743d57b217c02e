//! How an order is cut, roll by roll, and what is known about it.

use super::order::Pieces;

/// A piece of the order that is joined from parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Joined {
    /// Which of the joined pieces, from 0.
    pub piece: u32,
    /// Which part of it, from 0, as data runs.
    pub part: u32,
}

/// What is cut off a roll in one go: a piece, or a part of one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// Which entry of the order's pieces it belongs to.
    pub entry: u32,
    /// Its length.
    pub pixels: u32,
    /// `None`: a whole piece.
    pub joined: Option<Joined>,
}

/// One roll and what is cut from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// Pixels of the roll.
    pub roll: u32,
    /// Whether it was on the shelf.
    pub shelf: bool,
    /// Longest pieces first.
    pub parts: Vec<Part>,
}

impl Cut {
    /// What is left of the roll, pixels.
    #[must_use]
    pub fn left_over(&self) -> u32 {
        self.roll - self.parts.iter().map(|part| part.pixels).sum::<u32>()
    }
}

/// How an order is cut. Aims in their order: fewest new rolls, fewest joints, fewest part rolls,
/// the longest single left-over.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Solution {
    /// Every roll that is cut, part rolls first.
    pub cuts: Vec<Cut>,
    /// No way of cutting takes fewer new rolls.
    pub least_new_rolls: u32,
    /// No way with these new rolls takes fewer joints.
    pub least_joints: u32,
    /// No way with these new rolls and joints leaves a longer single piece, pixels.
    pub longest_left_over: u32,
    /// Pieces that fit no roll and are in no cut.
    pub too_long: Vec<Pieces>,
}

impl Solution {
    /// Rolls to buy.
    #[must_use]
    pub fn new_rolls(&self) -> u32 {
        u32::try_from(self.cuts.iter().filter(|cut| !cut.shelf).count()).unwrap_or(u32::MAX)
    }

    /// Places where two parts of a piece are joined.
    #[must_use]
    pub fn joints(&self) -> u32 {
        let parts = self.cuts.iter().flat_map(|cut| &cut.parts);
        let later = parts.filter(|part| part.joined.is_some_and(|joined| joined.part > 0));
        u32::try_from(later.count()).unwrap_or(u32::MAX)
    }

    /// The longest piece left of any roll that is cut, pixels.
    #[must_use]
    pub fn left_over(&self) -> u32 {
        self.cuts.iter().map(Cut::left_over).max().unwrap_or(0)
    }
}
