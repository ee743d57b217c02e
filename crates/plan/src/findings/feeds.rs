//! Strips that no feed reaches.

use std::collections::BTreeSet;

use glowloom_design::Wall;
use glowloom_design::wall::{Jumpers, Panel};

use super::words::names;
use super::{key_place, panel_place};
use crate::finding::{Code, Finding};
use crate::path::{PanelPath, Shares};
use crate::power::search::even_strips;

/// Strips that stay dark because no plus reaches them: one finding, with the panels in it.
pub(super) fn dead(wall: &Wall) -> Option<Finding> {
    let dead: Vec<(&Panel, Vec<u32>)> = wall
        .panels
        .iter()
        .map(|panel| (panel, dead_strips(wall, panel)))
        .filter(|(_, strips)| !strips.is_empty())
        .collect();
    let (first, _) = dead.first()?;
    let panels: Vec<&str> = dead.iter().map(|(panel, _)| panel.name.as_str()).collect();
    let strips: Vec<String> = dead
        .iter()
        .take(3)
        .map(|(panel, strips)| format!("{} of {}", ranges(strips), panel.name))
        .collect();
    let own = panel_place(wall, first, "feeds");
    let place = if wall.place(&[&format!("panels.{}.feeds", first.number)]).line > 1 {
        own
    } else {
        key_place(wall, "power", "feeds")
    };
    Some(Finding::new(
        Code::DeadStrips,
        place,
        format!("strips that no feed reaches on {}", names(&panels)),
        format!(
            "Dark: strips {}. Power crosses the joints of a data line only, within one supply's \
             strips, and only where jumpers carry it",
            strips.join("; strips ")
        ),
        remedy(wall, &dead),
    ))
}

/// The least `feeds = n` that leaves nothing dark; or a feed more for each dark part, where panels need
/// different numbers.
fn remedy(wall: &Wall, dead: &[(&Panel, Vec<u32>)]) -> String {
    let supplies = wall.power.supplies_per_panel;
    let reaches = |panel: &Panel, count: u32| {
        let fed = even_strips(panel.strip_count(), supplies, count).into_iter().collect();
        dark(wall, panel, &fed).is_empty()
    };
    let panels: Vec<&Panel> = dead.iter().map(|(panel, _)| *panel).collect();
    let own = |panel: &&Panel| wall.place(&[&format!("panels.{}.feeds", panel.number)]).line > 1;
    let most = panels.iter().map(|panel| panel.strip_count()).min().unwrap_or(0);
    let fewest = panels.iter().map(|panel| panel.feeds.len()).min().unwrap_or(0);
    let from = u32::try_from(fewest).unwrap_or(most).saturating_add(1);
    // Where some of the panels have feeds of their own, `[power]` does not speak for them.
    let place = if panels.len() == wall.panels.len() && !panels.iter().any(own) {
        "[power]".to_owned()
    } else {
        let called: Vec<&str> = panels.iter().map(|panel| panel.name.as_str()).collect();
        let entries = if called.len() == 1 { "entry" } else { "entries" };
        format!("the [[panels]] {entries} of {}", names(&called))
    };
    match (from..=most).find(|count| panels.iter().all(|panel| reaches(panel, *count))) {
        Some(count) => format!("Set feeds = {count} in {place}."),
        None => format!(
            "List a feed for each part that is dark in feeds in {place}, such as {{ strip = {}, edge = \
             \"near\" }}.",
            dead[0].1[0]
        ),
    }
}

/// The strips of a panel, from 1, that no feed reaches by plus.
fn dead_strips(wall: &Wall, panel: &Panel) -> Vec<u32> {
    dark(wall, panel, &panel.feeds.iter().map(|feed| feed.strip).collect())
}

/// Those that feeds on these strips do not reach.
fn dark(wall: &Wall, panel: &Panel, fed: &BTreeSet<u32>) -> Vec<u32> {
    let zones = Shares::new(panel.strip_count(), wall.power.supplies_per_panel);
    let mut dead = Vec::new();
    for line in PanelPath::of(panel).lines() {
        let strips: Vec<u32> = (line.first_strip..line.first_strip + line.strips).collect();
        let joined = |a: &u32, b: &u32| {
            panel.jumpers == Jumpers::PowerAndData && zones.taker_of(a - 1) == zones.taker_of(b - 1)
        };
        for island in strips.chunk_by(joined) {
            if !island.iter().any(|strip| fed.contains(strip)) {
                dead.extend(island);
            }
        }
    }
    dead
}

/// `1 to 4, 7 and 9 to 12`
fn ranges(strips: &[u32]) -> String {
    let parts: Vec<String> = strips
        .chunk_by(|a, b| a + 1 == *b)
        .map(|run| match run {
            [one] => one.to_string(),
            run => format!("{} to {}", run[0], run[run.len() - 1]),
        })
        .collect();
    let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
    names(&parts)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dead(panel: &str, power: &str) -> Vec<u32> {
        let text = format!(
            "format = 1\n[wall]\nname = \"W\"\ncolumns = 8\nrows = 2\n[strip]\npart = \"ws2812b-30\"\n\
             [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 8\nrows = 2\n{panel}\n[power]\n{power}\n"
        );
        let wall = glowloom_design::read(text.as_bytes()).unwrap();
        dead_strips(&wall, &wall.panels[0])
    }

    #[test]
    fn power_reaches_as_far_as_joints_carry_it() {
        assert!(dead("", "").is_empty());
        assert_eq!(dead("", "feeds = 0"), [1, 2, 3, 4, 5, 6, 7, 8]);
        // One feed on strip 4: the second data line and the second supply's strips are islands.
        assert_eq!(dead("data_lines = 2", "feeds = 1"), [5, 6, 7, 8]);
        let one = "feeds = [{ strip = 2, edge = \"far\" }]";
        assert_eq!(dead("", &format!("supplies_per_panel = 2\n{one}")), [5, 6, 7, 8]);
        assert_eq!(dead("jumpers = \"data\"", one), [1, 3, 4, 5, 6, 7, 8]);
    }

    #[test]
    fn runs_are_told_as_runs() {
        assert_eq!(ranges(&[1, 2, 3, 5, 7, 8]), "1 to 3, 5 and 7 to 8");
    }
}
