//! The pixel map as comma-separated values.

use std::io::{self, BufWriter, Write};

use glowloom_design::Wall;

use super::millimetres;
use crate::field::field;

/// Writes the pixel map: a line of names, then a line for each pixel of the picture in row-major
/// order. A pixel that no panel shows has empty values from `panel` to `slot`. Lines end with LF;
/// panel names are quoted by the rule of RFC 4180 where they need it.
///
/// # Errors
/// Those of the writer.
pub fn csv(wall: &Wall, out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::with_capacity(1 << 16, out);
    out.write_all(b"column,row,panel,data_line,index,universe,slot,x_mm,y_mm\n")?;
    for pixel in glowloom_plan::map(wall) {
        write!(out, "{},{},", pixel.column, pixel.row)?;
        match pixel.lit {
            Some(lit) => write!(
                out,
                "{},{},{},{},{}",
                field(lit.panel),
                lit.data_line,
                lit.index,
                lit.universe,
                lit.slot
            )?,
            None => out.write_all(b",,,,")?,
        }
        writeln!(out, ",{},{}", millimetres(pixel.x), millimetres(pixel.y))?;
    }
    out.flush()
}
