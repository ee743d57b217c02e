//! Tiles of a whole wall by kind, and which panel takes which.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use glowloom_design::Wall;
use glowloom_design::wall::{Baffle, Panel};
use glowloom_units::{CubicMetres, Kilograms, Metres};
use serde::Serialize;

use super::grains::Grains;
use super::partition::{Grid, Partition};
use super::shape::{Profile, TileShape};

/// Tiles that are equal: of one size and with strip ends at as many edges. One that is turned or
/// mirrored is equal, since columns and rows count with the strips upright.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TileKind {
    /// Cells across the strips.
    pub columns: u32,
    /// Cells along the strips.
    pub rows: u32,
    /// At how many of its edges strips end: 0, 1 or 2.
    pub ends: u8,
    /// On the whole wall.
    pub per_wall: u64,
    /// Unlike every other part's, fit for a file: `tile-6x6-plain`.
    pub name: String,
    /// Outer size across the strips.
    pub width_m: Metres,
    /// Outer size along the strips.
    pub length_m: Metres,
    /// Of one.
    pub volume_m3: CubicMetres,
    /// Filament in one.
    pub tile_kg: Kilograms,
    /// The solid.
    #[serde(skip)]
    pub shape: TileShape,
}

/// The words for tiles with strip ends at none, one and two of their edges.
#[must_use]
pub fn ends_word(ends: u8) -> &'static str {
    match ends {
        0 => "plain",
        1 => "end",
        _ => "both ends",
    }
}

/// The grid of a panel with its strips upright.
#[must_use]
pub fn grid(wall: &Wall, baffle: &Baffle, panel: &Panel) -> Grid {
    let spacing = panel.strip_spacing.unwrap_or(wall.pitch());
    Grid {
        columns: panel.strip_count(),
        rows: panel.strip_pixels(),
        half_column: Grains::half_of(spacing),
        half_row: Grains::half_of(wall.pitch()),
        half_gap: Grains::half_of(baffle.fit_gap),
    }
}

/// How a panel is cut into tiles; `None` where the bed is smaller than one of its cells.
#[must_use]
pub fn partition(wall: &Wall, baffle: &Baffle, panel: &Panel) -> Option<Partition> {
    let bed = (Grains::of(baffle.bed.0), Grains::of(baffle.bed.1));
    grid(wall, baffle, panel).cut(bed)
}

/// Every kind, large ones first; `None` where the bed is smaller than a cell.
pub(super) fn kinds(wall: &Wall, baffle: &Baffle) -> Option<Vec<TileKind>> {
    let profile = Profile::of(baffle);
    let mut counted: BTreeMap<TileShape, u64> = BTreeMap::new();
    for panel in &wall.panels {
        let Grid { half_column, half_row, .. } = grid(wall, baffle, panel);
        for (columns, rows, ends, tiles) in partition(wall, baffle, panel)?.kinds() {
            let shape = TileShape { columns, rows, ends, half_column, half_row, profile };
            *counted.entry(shape).or_default() += tiles;
        }
    }
    let half_pitch = Grains::half_of(wall.pitch());
    let mut kinds: Vec<TileKind> = counted
        .into_iter()
        .map(|(shape, per_wall)| TileKind {
            columns: shape.columns,
            rows: shape.rows,
            ends: shape.ends,
            per_wall,
            name: name(&shape, half_pitch),
            width_m: shape.width().metres(),
            length_m: shape.length().metres(),
            volume_m3: shape.volume().cubic_metres(),
            tile_kg: shape.volume().cubic_metres() * baffle.density,
            shape,
        })
        .collect();
    kinds.sort_by_key(|kind| {
        let cells = u64::from(kind.columns) * u64::from(kind.rows);
        (Reverse(cells), Reverse(kind.columns), kind.ends, kind.shape)
    });
    Some(kinds)
}

/// `tile-6x6-plain`; where strips are further apart than pixels, or nearer: `tile-6x6-plain-40mm`.
fn name(shape: &TileShape, half_pitch: Grains) -> String {
    let ends = ends_word(shape.ends).replace(' ', "-");
    let mut name = format!("tile-{}x{}-{ends}", shape.columns, shape.rows);
    if shape.half_column != half_pitch {
        // Two spacings that differ differ by a tenth of a micrometre at least.
        let spacing = format!("{:.4}", (shape.half_column * 2).millimetres());
        let short = spacing.trim_end_matches('0').trim_end_matches('.');
        name.push_str(&format!("-{short}mm"));
    }
    name
}
