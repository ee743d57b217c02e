//! The list of wires to cut.

use std::io::{self, BufWriter, Write};

use glowloom_plan::material::wire::{Run, Use};

use super::millimetres;
use crate::field::field;

/// Writes every kind of wire: `joins,label,colour,size,count,length_mm,cut_mm,soldered_ends,lugs,note`.
/// Lengths are of one wire: as laid, and as cut with its spare.
///
/// # Errors
/// Those of the writer.
pub fn wires(runs: &[Run], out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::new(out);
    out.write_all(b"joins,label,colour,size,count,length_mm,cut_mm,soldered_ends,lugs,note\n")?;
    for run in runs {
        writeln!(
            out,
            "{},{},{},{},{},{},{},{},{},{}",
            joins(run.joins),
            run.label,
            run.colour,
            field(&run.size.to_string()),
            run.count,
            millimetres(run.length_m),
            millimetres(run.cut_m),
            run.soldered,
            run.lugs,
            field(run.note),
        )?;
    }
    out.flush()
}

/// From where to where, in words.
fn joins(joins: Use) -> &'static str {
    match joins {
        Use::Feed => "supply to strip",
        Use::Jumper => "strip to strip",
        Use::DataLead => "receiver to first pixel",
        Use::ReceiverSupply => "supply to receiver",
        Use::BoardEarth => "supply's earth terminal to board",
        Use::MainsCord => "plug to supply",
    }
}
