//! Hanging points: where the fixings of each panel go, and how high.

use glowloom_plan::built::Built;
use glowloom_plan::geometry::outline;
use glowloom_plan::structure::points::{Point, cord, fixings};
use glowloom_plan::uncovered::gaps;
use glowloom_units::Metres;

use super::{Context, Head, Sheet};
use crate::draw::table::{Table, figures, ticks, word, words};

/// So many places of a row are told one by one.
const MOST_TOLD: usize = 6;

/// The list of hanging points; nothing where the wall file does not say how panels hang.
pub fn draw(context: &Context<'_>) -> Vec<Sheet> {
    let wall = context.wall;
    let Some(hanging) = &wall.hanging else { return Vec::new() };
    let whole = outline(wall, &gaps(wall));
    let floor = hanging.above_floor.unwrap_or(Metres(0.0));
    let mut table = Table::new(vec![
        words("panel", 1.0),
        word("row"),
        figures("fixings"),
        words("from the panel's left edge", 1.4),
        figures("below its upper edge"),
        figures("right of the wall's left edge"),
        figures("height"),
        ticks("fixed"),
    ]);
    for panel in &wall.panels {
        let place = Built::of(wall, panel).outline();
        let height = |down: Metres| context.shown(whole.bottom - (place.top + down) + floor);
        let all = fixings(wall, panel, hanging);
        for row in all.chunk_by(|a, b| a.down == b.down) {
            let [first, ..] = row else { continue };
            let upper =
                first.down < all.last().map_or(first.down, |last| last.down) || all.len() == 1;
            table.row([
                panel.name.clone(),
                if upper { "upper" } else { "lower" }.to_owned(),
                row.len().to_string(),
                places(context, row),
                context.shown(first.down),
                context.shown(place.left - whole.left + first.right),
                height(first.down),
                String::new(),
            ]);
        }
        let cord = cord(wall, panel);
        table.row([
            panel.name.clone(),
            "cord".to_owned(),
            "-".to_owned(),
            context.shown(cord.right),
            context.shown(cord.down),
            context.shown(place.left - whole.left + cord.right),
            height(cord.down),
            String::new(),
        ]);
    }
    let from = match hanging.above_floor {
        Some(floor) => format!(
            "Heights are above the floor; the wall's lower edge is {} above it",
            context.shown(floor)
        ),
        None => {
            "Heights are above the wall's lower edge: the wall file does not say how high that is"
                .to_owned()
        }
    };
    let head = Head {
        key: "hanging".into(),
        name: "Hanging points".into(),
        group: None,
        panels: Vec::new(),
        upright: false,
        note: vec![
            from,
            format!(
                "Fixings: {}, rated {} each; places are a suggestion (common practice, no source)",
                hanging.kind.word(),
                hanging.rated.shown(wall.figures)
            ),
            "Seen from the front; right of the wall's left edge: the first of the row".into(),
            "Cord: where cords and data lead leave the panel".into(),
        ],
        description: "Where each panel's fixings and cord go, with heights.".into(),
    };
    super::listed(context, &head, &[("", table)])
}

/// Places of a row one by one, or from where to where.
fn places(context: &Context<'_>, row: &[Point]) -> String {
    let shown = |point: &Point| context.shown(point.right);
    match row {
        [first, second, .., last] if row.len() > MOST_TOLD => format!(
            "{} to {}, {} apart",
            shown(first),
            shown(last),
            context.shown(second.right - first.right)
        ),
        row => row.iter().map(shown).collect::<Vec<_>>().join(", "),
    }
}
