//! What cutting and printing say about themselves: handed in, so that this part counts nothing twice.

use glowloom_units::Kilograms;

use crate::cuts::Cuts;
use crate::tiles::Tiles;

/// What comes from the strips' cutting and from the printing of the baffle. `None` is a figure that
/// nobody has worked out: it is told as such, never taken as zero.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Made {
    /// Rolls of strip to buy, those on the shelf not counted.
    pub rolls_to_buy: Option<u32>,
    /// Whether those are only the least that could do: some strips are longer than any roll.
    pub rolls_are_a_bound: bool,
    /// Strips joined from two pieces.
    pub splices: u32,
    /// Filament of all tiles.
    pub filament: Option<Kilograms>,
    /// Spools of filament to buy.
    pub spools: Option<u32>,
}

impl Made {
    /// What cutting and printing say.
    #[must_use]
    pub fn of(cuts: &Cuts, tiles: Option<&Tiles>) -> Self {
        Self {
            rolls_to_buy: Some(cuts.rolls_to_buy),
            rolls_are_a_bound: !cuts.too_long.is_empty(),
            splices: cuts.joints,
            filament: tiles.map(|tiles| tiles.filament_kg),
            spools: tiles.and_then(|tiles| u32::try_from(tiles.spools).ok()),
        }
    }
}
