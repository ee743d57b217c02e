//! Whether the light on the cloth is as even as is wanted.

use glowloom_design::Wall;

use super::key_place;
use super::words::percent;
use crate::finding::{Code, Finding};
use crate::optics::Optics;

/// Cells darker at their edges than the file wants them.
pub(super) fn uneven(wall: &Wall, optics: &Optics) -> Option<Finding> {
    let wanted = wall.diffuser.as_ref()?.wanted_evenness?;
    let found = optics.cell_edge_to_centre.filter(|found| *found < wanted)?;
    let depth = wall.baffle.as_ref()?.depth;
    let lighter = "or print the cells in white and set cell_reflectance in [diffuser]";
    let remedy = match optics.depth_for_evenness_m {
        Some(wanted) => {
            let millimetres = (wanted.0 * 1000.0).ceil();
            format!("In [baffle], set depth = \"{millimetres} mm\"; {lighter}.")
        }
        None => format!("Lower wanted_evenness in [diffuser], {lighter}."),
    };
    Some(Finding::new(
        Code::UnevenCells,
        key_place(wall, "diffuser", "wanted_evenness"),
        "cells are darker at their edges than is wanted".into(),
        format!(
            "At a depth of {} the edge of a cell gets {} of the light at its centre; {} is wanted",
            depth.shown(wall.figures),
            percent(found),
            percent(wanted)
        ),
        remedy,
    ))
}
