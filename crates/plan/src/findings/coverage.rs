//! Whether the panels cover the picture, and keep clear of each other as built.

use glowloom_design::Wall;
use glowloom_design::wall::Panel;
use glowloom_units::{Figures, Metres};

use super::words::listed;
use super::{key_place, panel_place};
use crate::built::{Built, Outline};
use crate::finding::{Code, Finding};
use crate::uncovered::Gap;

/// Most places that a finding lists.
const MOST_PLACES: usize = 3;

/// Pixels of the picture that nothing shows.
pub(super) fn uncovered(wall: &Wall, gaps: &[Gap]) -> Option<Finding> {
    let first = gaps.first()?;
    let pixels: u32 = gaps.iter().map(Gap::pixels).sum();
    let all = wall.columns * wall.rows;
    let mut places: Vec<String> = gaps.iter().take(MOST_PLACES).map(range).collect();
    if gaps.len() > MOST_PLACES {
        places.push(format!("{} more places", gaps.len() - MOST_PLACES));
    }
    let places: Vec<&str> = places.iter().map(String::as_str).collect();
    let noun = if pixels == 1 { "pixel" } else { "pixels" };
    Some(Finding::new(
        Code::UncoveredPixels,
        key_place(wall, "wall", "columns"),
        format!("no panel shows {pixels} {noun} of the picture"),
        format!("{pixels} of {all} pixels stay dark: {}", listed(&places, "and")),
        format!(
            "Add a [[panels]] entry with at = [{}, {}], columns = {} and rows = {}{}. Where the \
             gap is meant, nothing needs to change.",
            first.column,
            first.row,
            first.columns,
            first.rows,
            smaller_picture(wall).map(|smaller| format!(", or {smaller}")).unwrap_or_default()
        ),
    ))
}

/// `columns 20 to 39 of rows 0 to 31`.
fn range(gap: &Gap) -> String {
    let span = |noun: &str, first: u32, count: u32| match count {
        1 => format!("{noun} {first}"),
        _ => format!("{noun}s {first} to {}", first + count - 1),
    };
    format!("{} of {}", span("column", gap.column, gap.columns), span("row", gap.row, gap.rows))
}

/// What to write where the picture reaches further than any panel.
fn smaller_picture(wall: &Wall) -> Option<String> {
    let columns = wall.panels.iter().map(|panel| panel.at.0 + panel.hung().0).max()?;
    let rows = wall.panels.iter().map(|panel| panel.at.1 + panel.hung().1).max()?;
    match (columns < wall.columns, rows < wall.rows) {
        (true, true) => Some(format!("set columns = {columns} and rows = {rows} in [wall]")),
        (true, false) => Some(format!("set columns = {columns} in [wall]")),
        (false, true) => Some(format!("set rows = {rows} in [wall]")),
        (false, false) => None,
    }
}

/// Panels that take up the same place as built. On the common grid they cannot: only
/// `strip_spacing` and `place` move them off it.
pub(super) fn overlaps(wall: &Wall) -> Option<Finding> {
    let off_grid = |panel: &Panel| panel.strip_spacing.is_some() || panel.place.is_some();
    if !wall.panels.iter().any(off_grid) {
        return None;
    }
    let mut panels: Vec<(&Panel, Outline)> =
        wall.panels.iter().map(|panel| (panel, Built::of(wall, panel).outline())).collect();
    panels.sort_by(|a, b| a.1.left.0.total_cmp(&b.1.left.0));
    let mut pairs = Vec::new();
    for (i, (a, outline)) in panels.iter().enumerate() {
        // Those further on start right of it.
        let near = panels[i + 1..].iter().take_while(|(_, other)| other.left < outline.right);
        for (b, other) in near {
            if let Some(depth) = outline.overlap(other) {
                let (first, second) = if a.number < b.number { (a, b) } else { (b, a) };
                pairs.push((first.number, second.number, depth));
            }
        }
    }
    pairs.sort_by_key(|(first, second, _)| (*second, *first));
    let (first, second, depth) = *pairs.first()?;
    Some(overlap_finding(wall, &wall.panels[first], &wall.panels[second], depth, pairs.len() - 1))
}

fn overlap_finding(
    wall: &Wall,
    first: &Panel,
    second: &Panel,
    (right, down): (Metres, Metres),
    more: usize,
) -> Finding {
    let key = if second.place.is_some() { "place" } else { "strip_spacing" };
    let (still, moved) = (Built::of(wall, first).outline(), Built::of(wall, second).outline());
    // The shorter way out.
    let clear = if right < down { (still.right, moved.top) } else { (moved.left, still.bottom) };
    let others = match more {
        0 => String::new(),
        1 => "; another pair of panels overlaps as well".into(),
        n => format!("; {n} more pairs of panels overlap as well"),
    };
    Finding::new(
        Code::PanelsOverlapAsBuilt,
        panel_place(wall, second, key),
        format!("{} and {} overlap as built", first.name, second.name),
        format!(
            "{} reaches {} across and {} down into {}{others}",
            second.name,
            right.shown(wall.figures),
            down.shown(wall.figures),
            first.name
        ),
        format!(
            "Give {} its own place, such as place = [\"{}\", \"{}\"], or make strip_spacing smaller.",
            second.name,
            length(clear.0, wall.figures),
            length(clear.1, wall.figures)
        ),
    )
}

/// A length as the wall file takes it, to the tenth of a millimetre or hundredth of an inch.
fn length(metres: Metres, figures: Figures) -> String {
    let (size, decimals, unit) = match figures {
        Figures::Metric => (metres.0 * 1e3, 10.0, "mm"),
        Figures::Imperial => (metres.0 / 0.0254, 100.0, "in"),
    };
    // Rounded away from what is there, and never "-0".
    let rounded = (size * decimals - 1e-6).ceil() / decimals + 0.0;
    format!("{rounded} {unit}")
}
