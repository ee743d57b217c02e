//! Volts over a panel, drawn with digits: each field's class stands in it, and its ground says the same
//! from dark and blue to light and yellow, which colour-blind eyes tell apart as well.

use anstyle::{Ansi256Color, Style};
use glowloom_design::Wall;
use glowloom_plan::power::Showing;
use glowloom_plan::power::voltmap::{Classes, VoltMap, volt_map};
use glowloom_units::Volts;

use super::schedule::{WIDTH, wrapped};
use crate::output::{QUIET, STRONG};

/// Most fields across, two characters each.
const COLUMNS: usize = 40;
/// Most fields down.
const ROWS: usize = 16;
/// Grounds of the classes, from low to high: ever lighter.
const GROUNDS: [u8; 8] = [17, 24, 60, 66, 102, 144, 186, 228];
/// From this ground on ink is dark.
const LIGHT: usize = 4;

/// The map of one panel with its legend; nothing where it has no answer.
pub fn map(wall: &Wall, panel: usize, showing: Showing, shown: &str) -> String {
    let limit = wall.power.brightness_limit;
    let Ok(whole) = volt_map(wall, panel, showing, limit) else { return String::new() };
    let map = whole.reduced(COLUMNS, ROWS);
    let Some(low) = map.lowest() else { return String::new() };
    let classes = Classes::of(low, wall.power.trim_volts, GROUNDS.len());
    let (across, down) = map.field;
    let field = match (across, down) {
        (1, 1) => "a field for each pixel".to_owned(),
        _ => format!("fields of {across} x {down} pixels, the lowest counts"),
    };
    let title = format!("Volts at {shown}, {} from the front, {field}", wall.panels[panel].name);
    let title = wrapped(&title, WIDTH - 2).join("\n  ");
    let mut text = format!("  {STRONG}{title}{STRONG:#}\n");
    for row in 0..map.rows {
        text.push_str("   ");
        for column in 0..map.columns {
            text.push_str(&cell(&map, &classes, row * map.columns + column));
        }
        text.push('\n');
    }
    text.push_str(&legend(&classes, wall.power.least_volts, map.volts.contains(&None)));
    text
}

fn ground(classes: &Classes, class: usize) -> Style {
    // The highest class always has the lightest ground.
    let shade = GROUNDS.len() - classes.count().min(GROUNDS.len()) + class;
    let shade = shade.min(GROUNDS.len() - 1);
    let ink = if shade < LIGHT { 231 } else { 16 };
    Style::new()
        .bg_color(Some(Ansi256Color(GROUNDS[shade]).into()))
        .fg_color(Some(Ansi256Color(ink).into()))
}

fn cell(map: &VoltMap, classes: &Classes, field: usize) -> String {
    match map.volts[field] {
        None => " x".to_owned(),
        Some(volts) => {
            let class = classes.class(volts);
            let style = ground(classes, class);
            format!("{style} {}{style:#}", class + 1)
        }
    }
}

fn legend(classes: &Classes, wanted: Volts, dead: bool) -> String {
    let digits = classes.digits();
    let mut text = String::new();
    for class in (0..classes.count()).rev() {
        let [from, to] = classes.ends(class);
        let style = ground(classes, class);
        let mark = if to.0 <= wanted.0 + 1e-9 {
            "  below the wanted voltage"
        } else if from.0 < wanted.0 - 1e-9 {
            "  the wanted voltage lies in it"
        } else {
            ""
        };
        text.push_str(&format!(
            "   {style} {}{style:#}  {:.digits$} to {:.digits$} V{QUIET}{mark}{QUIET:#}\n",
            class + 1,
            from.0,
            to.0
        ));
    }
    if dead {
        text.push_str("    x  no feed reaches it\n");
    }
    text
}
