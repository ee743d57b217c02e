//! What a pixel is: its place, what shows it, its volts.

use glowloom_plan::built::{Built, grid_centre};
use glowloom_plan::numbering::{Numbering, channels};
use glowloom_plan::path::{Cell, PanelPath};
use serde::Serialize;

use crate::desk::View;

/// Facts of one pixel of the picture.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Facts {
    /// In one line.
    pub line: String,
    /// The panel, from 0; absent where none shows it.
    pub panel: Option<usize>,
    /// The strip, from 1.
    pub strip: Option<u32>,
}

/// Of the pixel there; `None` outside the picture.
pub fn facts(view: &View, column: u32, row: u32) -> Option<Facts> {
    let wall = &view.wall;
    if column >= wall.columns || row >= wall.rows {
        return None;
    }
    let cell = Cell { column, row };
    let place = format!("Column {column}, row {row}");
    let inside = |panel: &glowloom_design::wall::Panel| {
        let (columns, rows) = panel.hung();
        (panel.at.0..panel.at.0 + columns).contains(&column)
            && (panel.at.1..panel.at.1 + rows).contains(&row)
    };
    let Some(number) = wall.panels.iter().position(inside) else {
        let (x, y) = grid_centre(wall, cell);
        let line = format!("{place}: no panel shows it; {:.0}, {:.0} mm", x.0 * 1e3, y.0 * 1e3);
        return Some(Facts { line, panel: None, strip: None });
    };
    let panel = &wall.panels[number];
    let path = PanelPath::of(panel);
    let pixel = path.at(cell)?;
    let slot = Numbering::new(path, channels(&wall.strip)).slot(pixel.data_line, pixel.index);
    let (x, y) = Built::of(wall, panel).centre(pixel.hung);
    let line = format!(
        "{place}: panel {}, strip {}, data line {} index {}, universe {} slot {}; {:.0}, {:.0} mm",
        panel.name,
        pixel.strip,
        pixel.data_line,
        pixel.index,
        slot.universe,
        slot.slot,
        x.0 * 1e3,
        y.0 * 1e3,
    );
    Some(Facts { line, panel: Some(number), strip: Some(pixel.strip) })
}
