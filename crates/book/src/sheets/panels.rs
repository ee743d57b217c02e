//! Every panel with its kind, its place and how its receiver is reached.

use glowloom_design::wall::Address;
use glowloom_plan::built::Built;

use super::{Context, Head, Sheet};
use crate::draw::table::{Table, figures, ticks, word, words};

/// The list of panels.
pub fn draw(context: &Context<'_>) -> Vec<Sheet> {
    let mut table = Table::new(vec![
        words("panel", 1.0),
        word("kind"),
        word("columns"),
        word("rows"),
        word("size"),
        figures("strips"),
        figures("feeds"),
        words("receiver at", 0.7),
        word("universes"),
        figures("mass"),
        ticks("built"),
        ticks("hung"),
    ]);
    for (i, panel) in context.wall.panels.iter().enumerate() {
        let kind = context.kinds.iter().find(|kind| kind.panels.contains(&i));
        let (columns, rows) = panel.hung();
        let (width, height) = Built::of(context.wall, panel).size();
        let address = match &panel.address {
            Address::Virtual { .. } => "none given".to_owned(),
            Address::Host { host, port } => format!("{host}:{port}"),
        };
        let last = panel.universes_end.saturating_sub(1);
        let universes = if last == u32::from(panel.first_universe) {
            last.to_string()
        } else {
            format!("{} to {last}", panel.first_universe)
        };
        let mass = context.plan.structure.as_ref().and_then(|all| all.panels.get(i));
        table.row([
            panel.name.clone(),
            kind.map_or_else(String::new, |kind| kind.letter.clone()),
            format!("{} to {}", panel.at.0, panel.at.0 + columns - 1),
            format!("{} to {}", panel.at.1, panel.at.1 + rows - 1),
            format!("{} x {}", context.shown(width), context.shown(height)),
            panel.strip_count().to_string(),
            panel.feeds.len().to_string(),
            address,
            universes,
            mass.map_or_else(|| "-".into(), |mass| mass.kg.shown(context.wall.figures)),
            String::new(),
            String::new(),
        ]);
    }
    let head = Head {
        key: "panels".into(),
        name: "Panels".into(),
        group: None,
        panels: Vec::new(),
        upright: false,
        note: vec![
            "Panels of one kind are built alike and share their sheets".into(),
            "Columns and rows of the picture, from 0 at the left and at the top".into(),
            "Write its name on the back of each panel".into(),
        ],
        description: "Every panel with its kind, place in the picture, size and receiver.".into(),
    };
    super::listed(context, &head, &[("", table)])
}
