//! What a wall is made of and what has to be bought: wire, boards, cloth, and one list of everything.
//!
//! [`wire`] counts every wire with its ends and spools, [`conductors`] names and colours it; [`mod@boards`]
//! are cut from [`sheets`] by [`guillotine`] cuts, [`mod@cloth`] from a roll. What cutting of strip and
//! printing say comes in as [`made`]. [`parts`] is the list that prices are put to.

pub mod boards;
pub mod cloth;
pub mod conductors;
pub mod guillotine;
pub mod made;
pub mod parts;
pub mod sheets;
pub mod wire;

use glowloom_design::Wall;
use serde::Serialize;

use crate::power::WallPower;
use boards::{Boards, boards};
use cloth::{Cloth, cloth};
use made::Made;
use parts::{Item, Sources, list};
use wire::{Run, Spools, runs, spools};

/// What a wall is made of.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Material {
    /// Every wire, equal ones together.
    pub wires: Vec<Run>,
    /// Wire to buy.
    pub spools: Vec<Spools>,
    /// Null: the wall has none.
    pub boards: Option<Boards>,
    /// Null: the wall has none.
    pub cloth: Option<Cloth>,
    /// Everything to buy, each thing once.
    pub items: Vec<Item>,
}

/// What a wall is made of; `power`, its solved network, says which fuses.
#[must_use]
pub fn material(wall: &Wall, made: &Made, power: Option<&WallPower>) -> Material {
    let wires = runs(wall, &wall.panels);
    let spools = spools(wall, &wires);
    let (boards, cloth) = (boards(wall), cloth(wall));
    let items = list(
        wall,
        &Sources {
            made,
            wires: &wires,
            spools: &spools,
            boards: boards.as_ref(),
            cloth: cloth.as_ref(),
            power,
        },
    );
    Material { wires, spools, boards, cloth, items }
}
