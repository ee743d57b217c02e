//! The pixel map as JSON.

use std::io::{self, BufWriter, Write};

use glowloom_design::Wall;
use glowloom_plan::map::Entry;
use serde::Serialize;

use super::millimetres;

/// One pixel; what no panel shows has null from `panel` to `slot`.
#[derive(Serialize)]
struct Pixel<'w> {
    column: u32,
    row: u32,
    panel: Option<&'w str>,
    data_line: Option<u32>,
    index: Option<u32>,
    universe: Option<u32>,
    slot: Option<u16>,
    x_mm: f64,
    y_mm: f64,
}

impl<'w> Pixel<'w> {
    fn of(entry: &Entry<'w>) -> Self {
        // The same two decimals as everywhere else.
        let rounded = |place| millimetres(place).parse().unwrap_or(f64::NAN);
        Self {
            column: entry.column,
            row: entry.row,
            panel: entry.lit.map(|lit| lit.panel),
            data_line: entry.lit.map(|lit| lit.data_line),
            index: entry.lit.map(|lit| lit.index),
            universe: entry.lit.map(|lit| lit.universe),
            slot: entry.lit.map(|lit| lit.slot),
            x_mm: rounded(entry.x),
            y_mm: rounded(entry.y),
        }
    }
}

/// Writes the pixel map as one document: `{"format": 1, "columns": .., "rows": .., "pixels": [..]}`,
/// the pixels in row-major order, one to a line.
///
/// # Errors
/// Those of the writer.
pub fn json(wall: &Wall, out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::with_capacity(1 << 16, out);
    write!(out, "{{\"format\":1,\"columns\":{},\"rows\":{},\"pixels\":[", wall.columns, wall.rows)?;
    for (i, entry) in glowloom_plan::map(wall).enumerate() {
        out.write_all(if i == 0 { b"\n" } else { b",\n" })?;
        serde_json::to_writer(&mut out, &Pixel::of(&entry))?;
    }
    out.write_all(b"\n]}\n")?;
    out.flush()
}
