//! What is printed: tiles, filament, hours, days.

use glowloom_book::parts::words;
use glowloom_plan::Plan;
use glowloom_plan::tiles::Tiles;

use super::schedule::{Schedule, grouped};
use crate::opened::Opened;

/// The table of the baffle; nothing where the wall has none.
pub fn baffle(opened: &Opened, plan: &Plan) -> String {
    let mut table = Schedule::new("Baffle");
    match (&plan.tiles, &opened.wall.baffle) {
        (Some(tiles), Some(baffle)) => {
            parts(opened, tiles, &mut table);
            let figures = opened.wall.figures;
            table.quantity(
                "filament",
                &tiles.filament_kg.shown(figures),
                &format!("of {}, as drawn, without first lines or failures", baffle.material),
            );
            table.quantity("", &tiles.filament_m.far(figures), "");
            let left = tiles.left_over_kg.shown(figures);
            table.row(
                "spools",
                &grouped(tiles.spools),
                "",
                &format!("of {}; {left} is left on the last", baffle.spool.shown(figures)),
            );
            let flow = format!(
                "at {} mm3/s and {:.0} min from print to print",
                baffle.flow.0,
                baffle.between_prints.0 / 60.0
            );
            table.row("printing", &format!("{:.0}", tiles.hours.0), "h", &flow);
            let s = if tiles.days == 1 { "day" } else { "days" };
            table.row("", &grouped(tiles.days), s, &words::pace(tiles));
        }
        (None, Some(_)) => table.row("tiles", "none", "", "its settings contradict each other"),
        (_, None) => return String::new(),
    }
    table.text()
}

fn parts(opened: &Opened, tiles: &Tiles, table: &mut Schedule) {
    let figures = opened.wall.figures;
    table.row("tiles", &grouped(tiles.count), "", "");
    for kind in &tiles.kinds {
        let size = format!("{} x {}", kind.width_m.shown(figures), kind.length_m.shown(figures));
        let remark = format!("{}, {size}", words::kind(kind));
        table.row("", &grouped(kind.per_wall), "", &remark);
    }
    for kind in &tiles.rim {
        let remark = format!("rim strips, {} long", kind.length_m.shown(figures));
        table.row("", &grouped(kind.per_wall), "", &remark);
    }
}
