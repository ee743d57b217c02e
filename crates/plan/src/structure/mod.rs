//! What a panel weighs and whether its fixings hold it.
//!
//! [`mass`] of its parts, each with its source; [`balance`], where that weight is and how it pulls;
//! [`mod@bending`] of the board where its stiffness is known; [`points`], where the fixings go.

pub mod balance;
pub mod bending;
pub mod mass;
pub mod points;

use glowloom_design::Wall;
use glowloom_design::wall::{Hanging, Panel, SupplyOn};
use glowloom_units::Kilograms;
use serde::{Serialize, Serializer};

use crate::built::Built;
use crate::material::made::Made;
use balance::{CentreOfGravity, centre_of_gravity, peel};
use bending::{Bending, bending};
use mass::{Part, PartMass, parts, supply_on};

/// The worst panel: the heaviest, since all have as many fixings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Structure {
    /// Which one; of equals the first.
    pub panel: String,
    /// What its fixings carry, of the parts whose mass is known.
    pub panel_kg: Kilograms,
    /// Part by part.
    pub parts: Vec<PartMass>,
    /// Parts that it has and that are not in its mass, since nobody knows theirs.
    pub not_weighed: Vec<Part>,
    /// Of a panel.
    pub fixings: u32,
    /// Along the wall.
    pub load_per_fixing_kg: Kilograms,
    /// Of a fixing, along the wall.
    pub rated_kg: Kilograms,
    /// Rating x fixings over the panel's mass; too high where something is not weighed.
    pub safety_factor: f64,
    /// Of the panel as hung.
    pub centre_of_gravity: CentreOfGravity,
    /// Off the wall, on each of the upper half of the fixings.
    pub peel_per_fixing_kg: Kilograms,
    /// Rating in peel over that; null where the file gives no such rating or nothing pulls.
    pub peel_safety_factor: Option<f64>,
    /// What carries the supplies; where the file does not say, the board.
    #[serde(serialize_with = "supply_word")]
    pub supply_on: SupplyOn,
    /// Null without a board, or where its stiffness is not known.
    pub bending: Option<Bending>,
    /// Every panel, in the order of the wall file.
    pub panels: Vec<PanelMass>,
}

/// What one panel's fixings carry.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PanelMass {
    /// As the wall file has it.
    pub name: String,
    /// Of the parts whose mass is known.
    pub kg: Kilograms,
    /// Rating x fixings over that.
    pub safety_factor: f64,
    /// Off the wall, on each of the upper half of the fixings: a low panel is pulled more than a high
    /// one of the same mass.
    pub peel_per_fixing_kg: Kilograms,
    /// Rating in peel over that; null where the file gives no such rating or nothing pulls.
    pub peel_safety_factor: Option<f64>,
}

impl Structure {
    /// The panel whose fixings are pulled off the wall hardest; of equals the first.
    #[must_use]
    pub fn most_pulled(&self) -> Option<&PanelMass> {
        let harder = |a: &&PanelMass, b: &&PanelMass| b.peel_per_fixing_kg > a.peel_per_fixing_kg;
        self.panels.iter().reduce(|a, b| if harder(&a, &b) { b } else { a })
    }
}

fn supply_word<S: Serializer>(on: &SupplyOn, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(on.word())
}

/// The structure of a wall; `None` where the file does not say how it hangs.
#[must_use]
pub fn structure(wall: &Wall, made: &Made) -> Option<Structure> {
    let hanging = wall.hanging.as_ref()?;
    let holds = hanging.rated * f64::from(hanging.fixings_per_panel);
    let weighed: Vec<Vec<PartMass>> =
        wall.panels.iter().map(|panel| parts(wall, panel, made)).collect();
    let panels: Vec<PanelMass> = wall
        .panels
        .iter()
        .zip(&weighed)
        .map(|(panel, parts)| {
            let kg = known(parts);
            let centre = centre_of_gravity(wall, panel, hanging, parts);
            let height = Built::of(wall, panel).size().1;
            let pull = peel(kg, &centre, height, hanging.fixings_per_panel);
            PanelMass {
                name: panel.name.clone(),
                kg,
                safety_factor: holds / kg,
                peel_per_fixing_kg: pull,
                peel_safety_factor: peel_factor(hanging, pull),
            }
        })
        .collect();
    let heavier = |a: usize, b: usize| if panels[b].kg > panels[a].kg { b } else { a };
    let worst = (0..panels.len()).reduce(heavier)?;
    Some(of_panel(wall, hanging, &wall.panels[worst], weighed[worst].clone(), panels))
}

fn peel_factor(hanging: &Hanging, pull: Kilograms) -> Option<f64> {
    hanging.rated_in_peel.filter(|_| pull.0 > 0.0).map(|rated| rated / pull)
}

fn known(parts: &[PartMass]) -> Kilograms {
    parts.iter().filter_map(|part| part.kg).sum()
}

fn of_panel(
    wall: &Wall,
    hanging: &Hanging,
    panel: &Panel,
    parts: Vec<PartMass>,
    panels: Vec<PanelMass>,
) -> Structure {
    let fixings = hanging.fixings_per_panel;
    let size = Built::of(wall, panel).size();
    let panel_kg = known(&parts);
    let centre = centre_of_gravity(wall, panel, hanging, &parts);
    let peel_per_fixing_kg = peel(panel_kg, &centre, size.1, fixings);
    let spread = parts.iter().filter(|part| part.part != Part::Supplies);
    let spread: Kilograms = spread.filter_map(|part| part.kg).sum();
    let bending = wall.board.as_ref().and_then(|board| {
        board.stiffness.map(|stiffness| bending(spread, size, board.thickness, stiffness))
    });
    Structure {
        panel: panel.name.clone(),
        panel_kg,
        not_weighed: parts.iter().filter(|p| p.kg.is_none()).map(|p| p.part).collect(),
        parts,
        fixings,
        load_per_fixing_kg: panel_kg / f64::from(fixings),
        rated_kg: hanging.rated,
        safety_factor: hanging.rated * f64::from(fixings) / panel_kg,
        centre_of_gravity: centre,
        peel_per_fixing_kg,
        peel_safety_factor: peel_factor(hanging, peel_per_fixing_kg),
        supply_on: supply_on(wall),
        bending,
        panels,
    }
}
