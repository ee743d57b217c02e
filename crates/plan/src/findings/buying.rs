//! Whether what is cut fits on what is bought.

use glowloom_design::Wall;

use super::key_place;
use super::words::names;
use crate::finding::{Code, Finding};
use crate::material::Material;

/// Everything about sheets and cloth.
pub(super) fn all(wall: &Wall, material: &Material) -> Vec<Finding> {
    [sheet_unsaid(wall), board_too_large(wall, material), cloth_too_narrow(wall, material)]
        .into_iter()
        .flatten()
        .collect()
}

/// A board whose sheets nobody can count.
fn sheet_unsaid(wall: &Wall) -> Option<Finding> {
    if wall.board.as_ref()?.sheet.is_some() {
        return None;
    }
    Some(Finding::new(
        Code::SheetSizeUnsaid,
        key_place(wall, "board", "sheet"),
        "the file does not say how large a sheet of board is".into(),
        "So nobody can say how many sheets to buy, nor how to cut them".into(),
        "In [board], add the size as bought, such as sheet = [\"1.2 m\", \"0.8 m\"].".into(),
    ))
}

fn board_too_large(wall: &Wall, material: &Material) -> Option<Finding> {
    let boards = material.boards.as_ref()?;
    let [width, height] = boards.sheet_m?;
    let too_large: Vec<&str> = boards.too_large.iter().map(String::as_str).collect();
    let first =
        boards.pieces.iter().find(|piece| piece.panels.first() == boards.too_large.first())?;
    let figures = wall.figures;
    Some(Finding::new(
        Code::BoardLargerThanSheet,
        key_place(wall, "board", "sheet"),
        format!("the board of {} is larger than a sheet", names(&too_large)),
        format!(
            "{} x {} do not fit on {} x {}, however they are turned",
            first.width_m.shown(figures),
            first.height_m.shown(figures),
            width.shown(figures),
            height.shown(figures)
        ),
        "In [board], give the size of a larger sheet, or make the panels smaller.".into(),
    ))
}

fn cloth_too_narrow(wall: &Wall, material: &Material) -> Option<Finding> {
    let cloth = material.cloth.as_ref()?;
    let too_wide: Vec<&str> = cloth.too_wide.iter().map(String::as_str).collect();
    let widest = cloth
        .pieces
        .iter()
        .filter(|piece| piece.panels.iter().any(|panel| cloth.too_wide.contains(panel)))
        .map(|piece| piece.width_m.min(piece.height_m))
        .reduce(glowloom_units::Metres::max)?;
    let figures = wall.figures;
    Some(Finding::new(
        Code::ClothTooNarrow,
        key_place(wall, "diffuser", "roll_width"),
        format!("the cloth is too narrow for {}", names(&too_wide)),
        format!(
            "With sides and wrap a piece is {} across, the roll {}",
            widest.shown(figures),
            cloth.roll_width_m.shown(figures)
        ),
        "In [diffuser], set roll_width to that of a wider cloth or make wrap smaller; or make the \
         panels smaller. A seam shows as a dark line."
            .into(),
    ))
}
