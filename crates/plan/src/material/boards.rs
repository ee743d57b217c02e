//! The boards of the panels, cut from sheets.

use std::collections::BTreeMap;

use glowloom_design::Wall;
use glowloom_units::Metres;
use serde::Serialize;

use super::guillotine::Size;
use super::sheets::cut;
use crate::built::Built;

/// Hundredths of a millimetre in a metre.
const IN_A_METRE: f64 = 1e5;

/// Boards and the sheets that they are cut from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Boards {
    /// By catalogue key.
    pub material: String,
    /// Of the sheets.
    pub thickness_m: Metres,
    /// Equal boards together, in the order of the wall file.
    pub pieces: Vec<BoardPiece>,
    /// Width and height of a sheet as bought; null where the file does not say.
    pub sheet_m: Option<[Metres; 2]>,
    /// To buy; null without their size, and where a board is larger than one.
    pub sheets: Option<u32>,
    /// No way to cut needs fewer; null as above.
    pub sheets_at_least: Option<u32>,
    /// Whether that many are proven to be the fewest.
    pub proven_least: bool,
    /// Share of the bought area that goes into no board; null as above.
    pub waste_share: Option<f64>,
    /// Equal sheets once.
    pub layouts: Vec<SheetLayout>,
    /// Panels whose board is larger than a sheet, however it is turned.
    pub too_large: Vec<String>,
}

/// Equal boards.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BoardPiece {
    /// As hung.
    pub width_m: Metres,
    /// As hung.
    pub height_m: Metres,
    /// Whose boards they are.
    pub panels: Vec<String>,
}

/// What is cut from one sheet, by cuts from edge to edge.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetLayout {
    /// How many sheets are cut so.
    pub sheets: u32,
    /// Where boards lie.
    pub boards: Vec<PlacedBoard>,
}

/// A board on a sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlacedBoard {
    /// Which of `pieces`, from 0.
    pub piece: usize,
    /// Right of the sheet's corner.
    pub x_m: Metres,
    /// Below the sheet's corner.
    pub y_m: Metres,
    /// As it lies there.
    pub width_m: Metres,
    /// As it lies there.
    pub height_m: Metres,
}

/// Panels of equal size as hung, in the order of the wall file.
pub(super) fn sizes(wall: &Wall) -> Vec<(Metres, Metres, Vec<String>)> {
    let mut known: BTreeMap<(u64, u64), usize> = BTreeMap::new();
    let mut sizes: Vec<(Metres, Metres, Vec<String>)> = Vec::new();
    for panel in &wall.panels {
        let (width, height) = Built::of(wall, panel).size();
        let kind = *known.entry((counted(width), counted(height))).or_insert_with(|| {
            sizes.push((width, height, Vec::new()));
            sizes.len() - 1
        });
        sizes[kind].2.push(panel.name.clone());
    }
    sizes
}

/// Whole hundredths of a millimetre.
pub(super) fn counted(length: Metres) -> u64 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
    let counted = (length.0 * IN_A_METRE).round().clamp(0.0, 1e15) as u64;
    counted
}

#[expect(clippy::cast_precision_loss, reason = "below 1e15")]
pub(super) fn metres(counted: u64) -> Metres {
    Metres(counted as f64 / IN_A_METRE)
}

/// The boards of a wall; `None` where it has none.
#[must_use]
pub fn boards(wall: &Wall) -> Option<Boards> {
    let board = wall.board.as_ref()?;
    let sizes = sizes(wall);
    let kinds: Vec<(Size, u32)> = sizes
        .iter()
        .map(|(width, height, panels)| {
            let count = u32::try_from(panels.len()).unwrap_or(u32::MAX);
            (Size { width: counted(*width), height: counted(*height) }, count)
        })
        .collect();
    let mut boards = Boards {
        material: board.material.clone(),
        thickness_m: board.thickness,
        pieces: sizes
            .into_iter()
            .map(|(width_m, height_m, panels)| BoardPiece { width_m, height_m, panels })
            .collect(),
        sheet_m: board.sheet.map(|(width, height)| [width, height]),
        sheets: None,
        sheets_at_least: None,
        proven_least: false,
        waste_share: None,
        layouts: Vec::new(),
        too_large: Vec::new(),
    };
    let Some((width, height)) = board.sheet else { return Some(boards) };
    let sheet = Size { width: counted(width), height: counted(height) };
    for ((size, _), piece) in kinds.iter().zip(&boards.pieces) {
        if !size.within(sheet) && !size.turned().within(sheet) {
            boards.too_large.extend(piece.panels.iter().cloned());
        }
    }
    if !boards.too_large.is_empty() {
        return Some(boards);
    }
    let cut = cut(&kinds, sheet, counted(board.saw_cut));
    let used: u128 = kinds.iter().map(|(size, count)| size.area() * u128::from(*count)).sum();
    #[expect(clippy::cast_precision_loss, reason = "a share")]
    let share = used as f64 / (sheet.area() as f64 * f64::from(cut.sheets));
    boards.waste_share = Some(1.0 - share);
    boards.sheets = Some(cut.sheets);
    boards.sheets_at_least = Some(cut.at_least);
    boards.proven_least = cut.sheets == cut.at_least;
    boards.layouts = cut
        .layouts
        .into_iter()
        .map(|(sheets, pieces)| SheetLayout {
            sheets,
            boards: pieces
                .into_iter()
                .map(|placed| PlacedBoard {
                    piece: placed.kind,
                    x_m: metres(placed.x),
                    y_m: metres(placed.y),
                    width_m: metres(placed.size.width),
                    height_m: metres(placed.size.height),
                })
                .collect(),
        })
        .collect();
    Some(boards)
}
