//! The whole plan as one document, in the order and under the names of the plan's contract.

use glowloom_design::Wall;
use serde::Serialize;

use crate::data::{Data, data};
use crate::finding::Finding;
use crate::findings::findings;
use crate::geometry::{Geometry, geometry};
use crate::power::{Power, summary};
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
    /// Hazards, faults and advice, in the order to read them.
    pub findings: Vec<Finding>,
}

/// The plan of a wall. The same wall gives the same plan, to the last bit.
#[must_use]
pub fn plan(wall: &Wall) -> Plan {
    let gaps = gaps(wall);
    let geometry = geometry(wall, &gaps);
    let data = data(wall);
    let solved = summary::solved(wall);
    let (power, study) = match solved {
        Ok((power, study)) => (power, Ok(study)),
        Err(unsolved) => (summary::unsolved(wall), Err(unsolved)),
    };
    let findings = findings(wall, &gaps, &data, &power, study.as_ref());
    Plan { format: FORMAT, geometry, data, power, findings }
}
