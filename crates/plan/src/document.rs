//! The whole plan as one document, in the order and under the names of the plan's contract.

use glowloom_design::Wall;
use serde::Serialize;

use crate::cost::{Cost, cost};
use crate::cuts::{Cuts, cuts};
use crate::data::{Data, data};
use crate::finding::Finding;
use crate::findings::{Matter, findings};
use crate::geometry::{Geometry, geometry};
use crate::material::made::Made;
use crate::material::{Material, material};
use crate::optics::{Optics, optics};
use crate::power::{Power, summary};
use crate::structure::{Structure, structure};
use crate::tiles::{Tiles, tiles};
use crate::uncovered::gaps;

/// The version of the document's shape.
const FORMAT: u32 = 1;

/// Every figure that follows from a wall, with what is to be said about it. Serialises as the JSON
/// contract: SI units, names fixed, keys only ever added.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plan {
    /// Of this document: 1.
    pub format: u32,
    /// Sizes and counts.
    pub geometry: Geometry,
    /// Frame rates.
    pub data: Data,
    /// Current and power.
    pub power: Power,
    /// How strips are cut out of rolls.
    pub cuts: Cuts,
    /// Baffle tiles; null where the wall has no baffle, or one that contradicts itself.
    pub tiles: Option<Tiles>,
    /// Masses and fixings; null where the file does not say how the wall hangs.
    pub structure: Option<Structure>,
    /// What the eye sees.
    pub optics: Optics,
    /// Wire, boards, cloth, and everything to buy.
    pub material: Material,
    /// Null without prices.
    pub cost: Option<Cost>,
    /// Hazards, faults and advice, in the order to read them.
    pub findings: Vec<Finding>,
}

/// The plan of a wall. The same wall gives the same plan, to the last bit.
#[must_use]
pub fn plan(wall: &Wall) -> Plan {
    let gaps = gaps(wall);
    let geometry = geometry(wall, &gaps);
    let data = data(wall);
    let (power, study) = match summary::solved(wall) {
        Ok((power, study)) => (power, Ok(study)),
        Err(unsolved) => (summary::unsolved(wall), Err(unsolved)),
    };
    let tiles = tiles(wall);
    let cuts = cuts(wall);
    let made = Made::of(&cuts, tiles.as_ref());
    let material = material(wall, &made, study.as_ref().ok().map(|study| &study.power));
    let structure = structure(wall, &made);
    let optics = optics(wall, wall.power.brightness_limit.min(power.highest_safe_brightness));
    let typical = power.shown.iter().find(|shown| shown.picture == summary::TYPICAL);
    let cost = cost(wall, &material.items, typical.map(|shown| shown.mains_watts));
    let matter = Matter {
        cuts: &cuts,
        tiles: tiles.as_ref(),
        structure: structure.as_ref(),
        optics: &optics,
        material: &material,
    };
    let findings = findings(wall, &gaps, &data, &power, study.as_ref(), &matter);
    Plan {
        format: FORMAT,
        geometry,
        data,
        power,
        cuts,
        tiles,
        structure,
        optics,
        material,
        cost,
        findings,
    }
}
