//! How strips are cut out of rolls: one row for each way in which a roll is cut.

use std::collections::BTreeMap;

use glowloom_plan::cuts::{Cuts, Pieces, Roll};

use super::schedule::{Schedule, grouped};

/// Most ways of cutting a roll that the page lists.
const MOST_PATTERNS: usize = 24;

/// The table.
pub fn table(cuts: &Cuts) -> String {
    let mut table = Schedule::new("Cuts");
    for Pieces { pixels, count } in &cuts.pieces {
        let each = format!("of {} pixels", grouped(*pixels));
        table.row("pieces", &grouped(*count), "", &each);
    }
    for Pieces { pixels, count } in &cuts.too_long {
        let each = format!("of {} pixels: no roll is long enough", grouped(*pixels));
        table.row("not cut", &grouped(*count), "", &each);
    }
    let proof = match cuts.proven_least {
        true => "the fewest, proven".to_owned(),
        false if cuts.too_long.is_empty() => {
            format!("the best found; no way takes fewer than {}", cuts.least_rolls_to_buy)
        }
        false => "without what is not cut".to_owned(),
    };
    let bought = format!("of {} pixels, {proof}", grouped(cuts.roll_pixels));
    table.row("rolls to buy", &grouped(cuts.rolls_to_buy), "", &bought);
    let shelf = cuts.rolls - cuts.rolls_to_buy;
    if shelf > 0 || !cuts.shelf_untouched.is_empty() {
        let rest = format!("cut; {} stay on the shelf", grouped(cuts.shelf_untouched.len() as u64));
        table.row("part rolls", &grouped(shelf), "", &rest);
    }
    let patterns = patterns(&cuts.rolls_cut);
    for (pattern, rolls) in patterns.iter().take(MOST_PATTERNS) {
        table.row("", &grouped(*rolls), "", &pattern.text());
    }
    if let Some(more) = patterns.get(MOST_PATTERNS..).filter(|more| !more.is_empty()) {
        let rolls: u64 = more.iter().map(|(_, rolls)| rolls).sum();
        let ways = format!("in {} more ways: --json lists every roll", more.len());
        table.row("", &grouped(rolls), "", &ways);
    }
    if cuts.joints > 0 {
        let proof = match cuts.joints_proven_least {
            true => "between two pieces of a strip, the fewest, proven".to_owned(),
            false => format!(
                "between two pieces of a strip, the best found; no way takes fewer than {}",
                cuts.least_joints
            ),
        };
        table.row("joints", &grouped(cuts.joints), "", &proof);
    }
    table.row("left over", &grouped(cuts.left_over_pixels), "pixels", "of all rolls");
    let proof = match cuts.left_over_proven_longest {
        true => "the longest single piece, proven",
        false => "the longest single piece, the best found",
    };
    table.row("", &grouped(cuts.longest_left_over), "pixels", proof);
    table.row(
        "connectors",
        &grouped(cuts.lines_at_connector),
        "",
        "data lines that start at a new roll's own connector",
    );
    table.text()
}

/// A way to cut a roll.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Pattern {
    shelf: bool,
    pixels: u32,
    /// Longest first.
    pieces: Vec<u32>,
}

impl Pattern {
    fn of(roll: &Roll) -> Self {
        let mut pieces = roll.pieces.clone();
        pieces.sort_unstable_by(|a, b| b.cmp(a));
        Self { shelf: roll.shelf, pixels: roll.pixels, pieces }
    }

    /// `cut 4 x 32, 22 left`
    fn text(&self) -> String {
        let alike = self.pieces.chunk_by(|a, b| a == b);
        let pieces: Vec<String> = alike
            .filter_map(|alike| alike.first().map(|pixels| format!("{} x {pixels}", alike.len())))
            .collect();
        let left = self.pixels - self.pieces.iter().sum::<u32>();
        let from =
            if self.shelf { format!("part roll of {} ", self.pixels) } else { String::new() };
        format!("{from}cut {}, {left} left", pieces.join(" + "))
    }
}

/// Each way with how many rolls are cut so, in the order of the list.
fn patterns(rolls: &[Roll]) -> Vec<(Pattern, u64)> {
    let mut places: BTreeMap<Pattern, usize> = BTreeMap::new();
    let mut patterns: Vec<(Pattern, u64)> = Vec::new();
    for roll in rolls {
        let pattern = Pattern::of(roll);
        let place = *places.entry(pattern.clone()).or_insert(patterns.len());
        match patterns.get_mut(place) {
            Some((_, rolls)) => *rolls += 1,
            None => patterns.push((pattern, 1)),
        }
    }
    patterns
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rolls_cut_alike_are_one_row() {
        let roll = |pieces: &[u32], pixels, shelf| Roll {
            pieces: pieces.to_vec(),
            labels: Vec::new(),
            left_over: pixels - pieces.iter().sum::<u32>(),
            pixels,
            shelf,
            connector: false,
        };
        let rolls = [
            roll(&[20], 90, true),
            roll(&[32, 50, 32], 150, false),
            roll(&[50, 32, 32], 150, false),
            roll(&[32], 150, false),
        ];
        let found: Vec<_> =
            patterns(&rolls).iter().map(|(pattern, rolls)| (pattern.text(), *rolls)).collect();
        let wanted = [
            ("part roll of 90 cut 1 x 20, 70 left", 1),
            ("cut 1 x 50 + 2 x 32, 36 left", 2),
            ("cut 1 x 32, 118 left", 1),
        ];
        assert_eq!(found, wanted.map(|(text, rolls)| (text.to_owned(), rolls)));
    }
}
