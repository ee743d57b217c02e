//! The cloth in front, cut from a roll: over the front, down the sides, folded behind.

use glowloom_design::Wall;
use glowloom_units::Metres;
use serde::Serialize;

use super::boards::{counted, metres, sizes};
use super::guillotine::Size;

/// Cloth is sold by the tenth of a metre, in hundredths of a millimetre.
const SOLD_BY: u64 = 10_000;

/// The cloth of a wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cloth {
    /// Equal pieces together.
    pub pieces: Vec<ClothPiece>,
    /// As bought.
    pub roll_width_m: Metres,
    /// To buy from that roll, up to the next tenth of a metre; null where a piece is wider than it.
    pub length_m: Option<Metres>,
    /// No way to cut needs less; null as above.
    pub length_at_least_m: Option<Metres>,
    /// Panels whose cloth is wider than the roll, however it is turned.
    pub too_wide: Vec<String>,
}

/// Equal pieces of cloth.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ClothPiece {
    /// With sides and wrap.
    pub width_m: Metres,
    /// With sides and wrap.
    pub height_m: Metres,
    /// Whose they are.
    pub panels: Vec<String>,
}

/// The size of the cloth for a panel of a size: front, sides as deep as baffle and board, wrap.
#[must_use]
pub fn piece(wall: &Wall, width: Metres, height: Metres, wrap: Metres) -> (Metres, Metres) {
    let depth = wall.baffle.as_ref().map_or(Metres(0.0), |baffle| baffle.depth);
    let board = wall.board.as_ref().map_or(Metres(0.0), |board| board.thickness);
    let more = (depth + board + wrap) * 2.0;
    (width + more, height + more)
}

/// The cloth of a wall; `None` where it has none.
#[must_use]
pub fn cloth(wall: &Wall) -> Option<Cloth> {
    let diffuser = wall.diffuser.as_ref()?;
    let pieces: Vec<ClothPiece> = sizes(wall)
        .into_iter()
        .map(|(width, height, panels)| {
            let (width_m, height_m) = piece(wall, width, height, diffuser.wrap);
            ClothPiece { width_m, height_m, panels }
        })
        .collect();
    let roll = counted(diffuser.roll_width);
    let kinds: Vec<(Size, u64)> = pieces
        .iter()
        .map(|piece| {
            let size = Size { width: counted(piece.width_m), height: counted(piece.height_m) };
            (size, piece.panels.len() as u64)
        })
        .collect();
    let wide = |size: &Size| size.width.min(size.height) > roll;
    let too_wide: Vec<String> = kinds
        .iter()
        .zip(&pieces)
        .filter(|((size, _), _)| wide(size))
        .flat_map(|(_, piece)| piece.panels.iter().cloned())
        .collect();
    let fits = too_wide.is_empty();
    let length = [Turning::Long, Turning::Short, Turning::Own]
        .into_iter()
        .map(|turning| shelves(&kinds, roll, turning))
        .min()
        .unwrap_or(0);
    Some(Cloth {
        pieces,
        roll_width_m: diffuser.roll_width,
        length_m: fits.then(|| metres(length.div_ceil(SOLD_BY) * SOLD_BY)),
        length_at_least_m: fits.then(|| metres(least(&kinds, roll))),
        too_wide,
    })
}

/// Which way pieces lie on the roll where both ways fit.
#[derive(Clone, Copy)]
enum Turning {
    /// The longer side along the roll.
    Long,
    /// The shorter side along the roll.
    Short,
    /// Each kind as it takes least by itself.
    Own,
}

/// Across the roll and along it.
fn laid(size: Size, count: u64, roll: u64, turning: Turning) -> (u64, u64) {
    let (short, long) = (size.width.min(size.height), size.width.max(size.height));
    let alone = |across: u64, along: u64| count.div_ceil((roll / across.max(1)).max(1)) * along;
    let upright = match turning {
        Turning::Long => true,
        Turning::Short => false,
        Turning::Own => alone(short, long) <= alone(long, short),
    };
    if upright || long > roll { (short, long) } else { (long, short) }
}

/// Length of roll for pieces laid in rows across it: the longest first, each where the first row
/// has room.
fn shelves(kinds: &[(Size, u64)], roll: u64, turning: Turning) -> u64 {
    let mut laid: Vec<(u64, u64, u64)> = kinds
        .iter()
        .map(|(size, count)| {
            let (across, along) = laid(*size, *count, roll, turning);
            (along, across, *count)
        })
        .collect();
    laid.sort_unstable_by(|a, b| b.cmp(a));
    // Rows with equal room together: room across, how many.
    let mut rows: Vec<(u64, u64)> = Vec::new();
    let mut length = 0;
    for (along, across, mut count) in laid {
        let across = across.max(1);
        for i in 0..rows.len() {
            let (room, many) = rows[i];
            let each = room / across;
            if each == 0 || count == 0 {
                continue;
            }
            let filled = (count / each).min(many);
            let mut left = count - filled * each;
            rows[i].1 -= filled;
            rows.push((room - each * across, filled));
            if filled < many && left > 0 {
                rows[i].1 -= 1;
                rows.push((room - left * across, 1));
                left = 0;
            }
            count = left;
        }
        if count > 0 {
            let each = (roll / across).max(1);
            let (full, part) = (count / each, count % each);
            rows.push((roll.saturating_sub(each * across), full));
            if part > 0 {
                rows.push((roll.saturating_sub(part * across), 1));
            }
            length += (full + u64::from(part > 0)) * along;
        }
        rows.retain(|row| row.1 > 0 && row.0 > 0);
    }
    length
}

/// By area; and no shorter than any one piece can lie.
fn least(kinds: &[(Size, u64)], roll: u64) -> u64 {
    let area: u128 = kinds.iter().map(|(size, count)| size.area() * u128::from(*count)).sum();
    let by_area = u64::try_from(area.div_ceil(u128::from(roll.max(1)))).unwrap_or(u64::MAX);
    let lie = |size: &Size| {
        let (short, long) = (size.width.min(size.height), size.width.max(size.height));
        if long <= roll { short } else { long }
    };
    kinds.iter().map(|(size, _)| lie(size)).max().unwrap_or(0).max(by_area)
}
