//! What cutting and printing say about themselves: handed in, so that this part counts nothing twice.

use glowloom_design::Wall;
use glowloom_units::Kilograms;

use crate::path::PanelPath;
use crate::tiles::Tiles;

/// What comes from the strips' cutting and from the printing of the baffle. `None` is a figure that
/// nobody has worked out: it is told as such, never taken as zero.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Made {
    /// Rolls of strip to buy, those on the shelf not counted.
    pub rolls_to_buy: Option<u32>,
    /// Whether those are only the least that could do, since nobody has cut yet.
    pub rolls_are_a_bound: bool,
    /// Strips joined from two pieces.
    pub splices: u32,
    /// Filament of all tiles.
    pub filament: Option<Kilograms>,
    /// Spools of filament to buy.
    pub spools: Option<u32>,
}

impl Made {
    /// What the printing says; strip as nobody has cut it yet.
    #[must_use]
    pub fn of(wall: &Wall, tiles: Option<&Tiles>) -> Self {
        let filament = tiles.map(|tiles| tiles.filament_kg);
        let spools = tiles.and_then(|tiles| u32::try_from(tiles.spools).ok());
        Self { filament, spools, ..Self::at_least(wall) }
    }

    /// Where nobody has cut or printed yet: as many rolls as the pixels fill at least, with the
    /// shelf used up; of the filament nothing is known.
    #[must_use]
    pub fn at_least(wall: &Wall) -> Self {
        let lines = wall.panels.iter().flat_map(|panel| PanelPath::of(panel).lines());
        let pixels: u64 = lines.map(|line| u64::from(line.pixels())).sum();
        let shelf: u64 = wall.stock.iter().flatten().map(|pixels| u64::from(*pixels)).sum();
        let rolls = pixels.saturating_sub(shelf).div_ceil(u64::from(wall.strip.roll_pixels.max(1)));
        Self { rolls_to_buy: u32::try_from(rolls).ok(), rolls_are_a_bound: true, ..Self::default() }
    }
}
