//! A closed rim around each panel, printed as strips of its own.

use std::collections::BTreeMap;

use glowloom_design::Wall;
use glowloom_design::wall::Baffle;
use glowloom_units::{CubicMetres, Kilograms, Metres};
use serde::Serialize;

use super::grains::{Grains, Volume};
use super::kinds::grid;

/// Rim strips that are equal.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RimKind {
    /// Outer length.
    pub length_m: Metres,
    /// On the whole wall.
    pub per_wall: u64,
    /// Unlike every other part's, fit for a file: `rim-217.13mm`.
    pub name: String,
    /// Of one.
    pub volume_m3: CubicMetres,
    /// Filament in one.
    pub strip_kg: Kilograms,
    /// The solid.
    #[serde(skip)]
    pub shape: RimShape,
}

/// A plain bar, printed lying on its broad side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RimShape {
    /// Along the panel's edge.
    pub length: Grains,
    /// From the cloth to the board, as the tiles.
    pub depth: Grains,
    /// Of the rim.
    pub thickness: Grains,
}

impl RimShape {
    /// Exactly.
    #[must_use]
    pub fn volume(&self) -> Volume {
        self.length.volume(self.depth, self.thickness)
    }
}

/// The longest strip of that depth that can lie on the bed; zero where none can.
pub(super) fn longest(baffle: &Baffle) -> Grains {
    let (width, depth) = (Grains::of(baffle.bed.0), Grains::of(baffle.bed.1));
    let broad = Grains::of(baffle.depth);
    let along = |length: Grains, beside: Grains| if broad <= beside { length } else { Grains(0) };
    along(width, depth).max(along(depth, width))
}

/// Every kind, long ones first; none where no rim is wanted or no strip fits the bed. Each side of a
/// panel goes past one corner and stops at the next, like the sails of a windmill: so all four are
/// their edge and one thickness long, and close it. A side is cut into as few equal strips as fit.
pub(super) fn kinds(wall: &Wall, baffle: &Baffle) -> Vec<RimKind> {
    let Some(rim) = baffle.rim else { return Vec::new() };
    let longest = longest(baffle);
    let (thickness, depth) = (Grains::of(rim), Grains::of(baffle.depth));
    if longest.0 <= 0 {
        return Vec::new();
    }
    let mut counted: BTreeMap<RimShape, u64> = BTreeMap::new();
    for panel in &wall.panels {
        let grid = grid(wall, baffle, panel);
        for (half_step, cells) in [(grid.half_column, grid.columns), (grid.half_row, grid.rows)] {
            let side = half_step * 2 * cells + thickness;
            let strips = (side.0 + longest.0 - 1) / longest.0;
            let length = hundredth(Grains(side.0 / strips));
            let strips = u64::try_from(strips).unwrap_or(u64::MAX);
            *counted.entry(RimShape { length, depth, thickness }).or_default() += 2 * strips;
        }
    }
    let kind = |(shape, per_wall): (RimShape, u64)| RimKind {
        length_m: shape.length.metres(),
        per_wall,
        name: name(&shape),
        volume_m3: shape.volume().cubic_metres(),
        strip_kg: shape.volume().cubic_metres() * baffle.density,
        shape,
    };
    counted.into_iter().rev().map(kind).collect()
}

/// To the hundredth of a millimetre, not a micrometre above it: strips that differ by less are equal.
fn hundredth(length: Grains) -> Grains {
    Grains::of(Metres((length.millimetres() * 100.0 + 0.1).floor() / 100_000.0))
}

fn name(shape: &RimShape) -> String {
    let length = format!("{:.2}", shape.length.millimetres());
    format!("rim-{}mm", length.trim_end_matches('0').trim_end_matches('.'))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 4 x 3 cells of 33.333 mm and 1.2 mm: sides of 134.533 and 101.2 mm; on a bed of 100 mm each is
    /// two strips.
    #[test]
    fn four_sides_close_round_the_panel() {
        let text = "format = 1\n[wall]\nname = \"W\"\ncolumns = 4\nrows = 3\n[strip]\npart = \
                    \"ws2812b-30\"\n[[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 4\nrows = 3\n\
                    [baffle]\nbed = [\"100 mm\", \"100 mm\"]\nrim = \"1.2 mm\"\n";
        let wall = glowloom_design::read(text.as_bytes()).unwrap();
        let found = kinds(&wall, wall.baffle.as_ref().unwrap());
        let lengths: Vec<_> = found.iter().map(|kind| kind.shape.length.millimetres()).collect();
        assert_eq!(found.iter().map(|kind| kind.per_wall).collect::<Vec<_>>(), [4, 4]);
        assert!((lengths[0] - 67.26).abs() < 1e-4 && (lengths[1] - 50.6).abs() < 1e-4);
        assert_eq!(found[0].name, "rim-67.26mm");
        assert_eq!(found[1].name, "rim-50.6mm");
        let grams = found[1].strip_kg.0 * 1000.0;
        assert!((grams - 50.6 * 20.0 * 1.2 * 1.24e-3).abs() < 1e-4, "{grams}");
    }

    #[test]
    fn a_strip_lies_on_the_bed_the_way_that_it_can() {
        let baffle = |bed: &str| {
            let text = format!(
                "format = 1\n[wall]\nname = \"W\"\ncolumns = 1\nrows = 1\n[strip]\npart = \
                 \"ws2812b-30\"\n[[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 1\nrows = 1\n\
                 [baffle]\nbed = {bed}\ndepth = \"20 mm\"\nrim = \"1 mm\"\n"
            );
            glowloom_design::read(text.as_bytes()).unwrap().baffle.clone().unwrap()
        };
        assert_eq!(longest(&baffle("[\"100 mm\", \"30 mm\"]")).millimetres(), 100.0);
        assert_eq!(longest(&baffle("[\"30 mm\", \"100 mm\"]")).millimetres(), 100.0);
        assert_eq!(longest(&baffle("[\"100 mm\", \"15 mm\"]")).millimetres(), 15.0);
        assert_eq!(longest(&baffle("[\"15 mm\", \"15 mm\"]")), Grains(0));
    }
}
