//! The list of boards to cut from sheets.

use std::io::{self, BufWriter, Write};

use glowloom_plan::material::boards::Boards;

use super::millimetres;
use crate::field::field;

/// Writes every board on its sheet: `sheet,panel,x_mm,y_mm,width_mm,height_mm`. Sheets count from 1,
/// places from a sheet's top-left corner; width and height are as the board lies there. Where sheets
/// are not known, boards stand without a sheet and a place.
///
/// # Errors
/// Those of the writer.
pub fn boards(boards: &Boards, out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::new(out);
    out.write_all(b"sheet,panel,x_mm,y_mm,width_mm,height_mm\n")?;
    if boards.sheets.is_none() {
        for piece in &boards.pieces {
            for panel in &piece.panels {
                let (width, height) = (millimetres(piece.width_m), millimetres(piece.height_m));
                writeln!(out, ",{},,,{width},{height}", field(panel))?;
            }
        }
        return out.flush();
    }
    // Equal boards go to their panels in the order of the wall file.
    let mut names: Vec<std::slice::Iter<String>> =
        boards.pieces.iter().map(|piece| piece.panels.iter()).collect();
    let sheets = boards
        .layouts
        .iter()
        .flat_map(|layout| std::iter::repeat_n(&layout.boards, layout.sheets as usize));
    for (sheet, laid) in sheets.enumerate() {
        for board in laid {
            let panel = names.get_mut(board.piece).and_then(Iterator::next);
            writeln!(
                out,
                "{},{},{},{},{},{}",
                sheet + 1,
                field(panel.map_or("", String::as_str)),
                millimetres(board.x_m),
                millimetres(board.y_m),
                millimetres(board.width_m),
                millimetres(board.height_m),
            )?;
        }
    }
    out.flush()
}
