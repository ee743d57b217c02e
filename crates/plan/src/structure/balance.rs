//! Where a panel's weight is, and what it does to its fixings.
//!
//! Along the wall the fixings share the weight (shear). Away from the wall the panel turns about its
//! lower edge: its weight times its distance from the wall is held by the upper half of the fixings,
//! at the upper edge (peel).

use glowloom_design::Wall;
use glowloom_design::wall::{Hanging, Panel, SupplyOn};
use glowloom_units::{Kilograms, Metres};
use serde::Serialize;

use super::mass::{Part, PartMass, supply_on};
use crate::built::Built;

/// A supply behind the board is this thick, and so holds the board off the wall (from memory).
pub const SUPPLY_DEPTH: Metres = Metres(0.05);
/// Its middle is this far above the lower edge, where the file does not say (own choice).
const ABOVE_LOWER_EDGE: Metres = Metres(0.1);

/// A centre of gravity, as hung, seen from the front.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CentreOfGravity {
    /// From the panel's left edge.
    pub right_m: Metres,
    /// From its upper edge.
    pub down_m: Metres,
    /// From the wall of the house.
    pub out_m: Metres,
}

/// The middle of the supplies of a panel on its board, right and down from its corner.
#[must_use]
pub fn supply_place(hanging: &Hanging, width: Metres, height: Metres) -> (Metres, Metres) {
    let low = ABOVE_LOWER_EDGE.min(height / 2.0);
    hanging.supply_at.unwrap_or((width / 2.0, height - low))
}

/// Of the parts whose mass is known. Everything but the supplies is spread over the panel.
#[must_use]
pub fn centre_of_gravity(
    wall: &Wall,
    panel: &Panel,
    hanging: &Hanging,
    parts: &[PartMass],
) -> CentreOfGravity {
    let (width, height) = Built::of(wall, panel).size();
    let gap = if supply_on(wall) == SupplyOn::Board { SUPPLY_DEPTH } else { Metres(0.0) };
    let board = wall.board.as_ref().map_or(Metres(0.0), |board| board.thickness);
    let depth = wall.baffle.as_ref().map_or(Metres(0.0), |baffle| baffle.depth);
    let front = gap + board;
    let (mut right, mut down, mut out, mut all) = (0.0, 0.0, 0.0, Kilograms(0.0));
    for part in parts {
        let Some(mass) = part.kg else { continue };
        let (x, y) = match part.part {
            Part::Supplies => supply_place(hanging, width, height),
            _ => (width / 2.0, height / 2.0),
        };
        let z = match part.part {
            Part::Supplies | Part::Wire | Part::Receiver => gap / 2.0,
            Part::Board => gap + board / 2.0,
            Part::Strip | Part::SmallThings => front,
            Part::Baffle => front + depth / 2.0,
            Part::Cloth => front + depth,
        };
        right += mass.0 * x.0;
        down += mass.0 * y.0;
        out += mass.0 * z.0;
        all += mass;
    }
    CentreOfGravity {
        right_m: Metres(right / all.0),
        down_m: Metres(down / all.0),
        out_m: Metres(out / all.0),
    }
}

/// The pull on each of the upper fixings, as the mass that would pull as hard.
#[must_use]
pub fn peel(mass: Kilograms, centre: &CentreOfGravity, height: Metres, fixings: u32) -> Kilograms {
    let upper = (fixings / 2).max(1);
    mass * (centre.out_m / height) / f64::from(upper)
}
