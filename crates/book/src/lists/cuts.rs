//! The list of rolls and of what is cut from them.

use std::io::{self, BufWriter, Write};

use glowloom_plan::cuts::Roll;
use glowloom_units::Metres;

use super::millimetres;
use crate::field::field;

/// Writes every piece of every roll in the order to cut them, and what is left of it:
/// `roll,from,roll_pixels,piece,label,panel,pixels,length_mm,from_mm,to_mm,connector`. Rolls and pieces
/// count from 1; `from` is `new` or `shelf`; places run from the roll's left end, where its arrows begin;
/// `connector` is `keep` where the piece begins a data line by the roll's own. What is left has no piece and
/// no panel. Pieces that are too long for any roll are in none. `pitch` lies between two pixels.
///
/// # Errors
/// Those of the writer.
pub fn cuts(pitch: Metres, rolls: &[Roll], out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::new(out);
    out.write_all(
        b"roll,from,roll_pixels,piece,label,panel,pixels,length_mm,from_mm,to_mm,connector\n",
    )?;
    let length = |pixels: u32| millimetres(pitch * f64::from(pixels));
    for (number, roll) in rolls.iter().enumerate() {
        let from = if roll.shelf { "shelf" } else { "new" };
        let head = format!("{},{from},{}", number + 1, roll.pixels);
        let mut start = 0;
        for (piece, (pixels, label)) in roll.pieces.iter().zip(&roll.labels).enumerate() {
            let end = start + pixels;
            let connector = if roll.connector && piece == 0 { "keep" } else { "" };
            writeln!(
                out,
                "{head},{},{},{},{pixels},{},{},{},{connector}",
                piece + 1,
                field(&label.to_string()),
                field(&label.panel),
                length(*pixels),
                length(start),
                length(end),
            )?;
            start = end;
        }
        if roll.left_over > 0 {
            let (left, end) = (length(roll.left_over), length(roll.pixels));
            writeln!(out, "{head},,left over,,{},{left},{},{end},", roll.left_over, length(start))?;
        }
    }
    out.flush()
}
