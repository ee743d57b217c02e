//! A picture as it will look: how light lies on the cloth over a cell, and from how far it is seen.

use std::fmt::Write as _;

use glowloom_design::Wall;
use glowloom_plan::optics::cell_profile;
use maud::{Markup, html};

use crate::desk::View;

/// Places across and down a cell; odd, so that one is its centre.
const POINTS: usize = 7;

/// Light over a cell as numbers, row by row; none for a wall without baffle or cloth.
pub fn cell(wall: &Wall) -> Option<String> {
    let profile = cell_profile(wall, POINTS)?;
    let mut text = String::new();
    for (i, share) in profile.iter().enumerate() {
        let gap = if i == 0 { "" } else { " " };
        let _ = write!(text, "{gap}{share:.4}");
    }
    Some(text)
}

/// What may be chosen, and what the drawing rests on.
pub fn controls(view: &View) -> Markup {
    let optics = &view.plan.optics;
    let metres = view.wall.seen_from.0;
    html! {
        div .seen {
            p .row {
                label for="distance" { "Seen from" }
                input #distance type="range" min="0" max="100" step="1" value=(position(metres));
                output #far for="distance" { (format!("{metres:.1} m")) }
            }
            p .row {
                label for="try" { "Picture" }
                input #try type="file" accept="image/*";
                button #white type="button" { "White" }
            }
            p .quiet {
                "Cells as the plan has them"
                @if let Some(share) = optics.cell_edge_to_centre { ": at the edge " (format!("{:.0}", share * 100.0)) " % of the light at the centre" }
                "; blurred as by an eye of normal acuity, one minute of arc; cells merge from "
                (optics.merge_distance_m.shown(view.wall.figures)) " on. A picture that is tried stays in this browser. "
                "The drop of volts along the strips is not drawn."
            }
        }
    }
}

/// Of a distance on the slider: 0 is 0.3 m, 100 is 30 m, evenly in times as far.
fn position(metres: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "0 to 100")]
    let position = ((metres / 0.3).log10() * 50.0).round().clamp(0.0, 100.0) as i32;
    position
}
