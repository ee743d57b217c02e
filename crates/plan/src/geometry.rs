//! Sizes and counts of the wall and its panels.

use glowloom_design::Wall;
use glowloom_design::wall::Panel;
use glowloom_units::Metres;
use serde::Serialize;

use crate::built::{Built, Outline};
use crate::uncovered::Gap;

/// Sizes and counts of the whole picture.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Geometry {
    /// Pixels across the picture.
    pub columns: u32,
    /// Pixels down the picture.
    pub rows: u32,
    /// Pixels of the picture, covered or not.
    pub pixels: u32,
    /// From one pixel of a strip to the next.
    pub pitch_m: Metres,
    /// As built: across everything that hangs and every gap.
    pub width_m: Metres,
    /// As built: down everything that hangs and every gap.
    pub height_m: Metres,
    /// Pixels of the picture that no panel shows.
    pub uncovered_pixels: u32,
    /// In the order of the wall file.
    pub panels: Vec<PanelGeometry>,
}

/// Sizes and counts of one panel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PanelGeometry {
    /// As the wall file has it.
    pub name: String,
    /// Its own, before the turn.
    pub columns: u32,
    /// Its own, before the turn.
    pub rows: u32,
    /// How many.
    pub strips: u32,
    /// On each strip.
    pub strip_pixels: u32,
    /// Those that show the picture.
    pub pixels: u32,
    /// As it hangs.
    pub width_m: Metres,
    /// As it hangs.
    pub height_m: Metres,
}

/// The geometry of a wall; `gaps` are its uncovered pixels.
#[must_use]
pub fn geometry(wall: &Wall, gaps: &[Gap]) -> Geometry {
    let outline = outline(wall, gaps);
    Geometry {
        columns: wall.columns,
        rows: wall.rows,
        pixels: wall.columns * wall.rows,
        pitch_m: wall.pitch(),
        width_m: outline.width(),
        height_m: outline.height(),
        uncovered_pixels: gaps.iter().map(Gap::pixels).sum(),
        panels: wall.panels.iter().map(|panel| panel_geometry(wall, panel)).collect(),
    }
}

/// The least rectangle round all panels as built and all gaps.
#[must_use]
pub fn outline(wall: &Wall, gaps: &[Gap]) -> Outline {
    let panels = wall.panels.iter().map(|panel| Built::of(wall, panel).outline());
    let gaps = gaps.iter().map(|gap| gap.outline(wall));
    let all = panels.chain(gaps).reduce(|all, one| all.with(&one));
    // A checked wall has a panel.
    all.unwrap_or(Outline {
        left: Metres(0.0),
        top: Metres(0.0),
        right: Metres(0.0),
        bottom: Metres(0.0),
    })
}

fn panel_geometry(wall: &Wall, panel: &Panel) -> PanelGeometry {
    let (width_m, height_m) = Built::of(wall, panel).size();
    PanelGeometry {
        name: panel.name.clone(),
        columns: panel.columns,
        rows: panel.rows,
        strips: panel.strip_count(),
        strip_pixels: panel.strip_pixels(),
        pixels: panel.pixels(),
        width_m,
        height_m,
    }
}
