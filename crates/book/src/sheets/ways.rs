//! Ways to cut a roll: rolls that are cut alike, and in words how.

use std::collections::BTreeMap;

use glowloom_plan::cuts::{Label, Roll};

/// A piece of a roll.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Piece {
    /// How long.
    pub pixels: u32,
    /// Whether the part of the strip that goes before it is cut from elsewhere and joined to it.
    pub joint_before: bool,
    /// The same of the part behind.
    pub joint_behind: bool,
}

/// Rolls that are cut alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Way {
    /// Whether they are part rolls from the shelf.
    pub shelf: bool,
    /// Of each roll.
    pub pixels: u32,
    /// In the order to cut them.
    pub pieces: Vec<Piece>,
    /// Their places in the plan's list, from 0.
    pub rolls: Vec<usize>,
}

/// A strip's name without the letter of its part.
fn whole(label: &Label) -> Label {
    Label { part: None, ..label.clone() }
}

/// Each way, in the order in which they first come up.
pub fn ways(rolls: &[Roll]) -> Vec<Way> {
    let mut last: BTreeMap<Label, u32> = BTreeMap::new();
    for label in rolls.iter().flat_map(|roll| &roll.labels) {
        if let Some(part) = label.part {
            let most = last.entry(whole(label)).or_default();
            *most = part.max(*most);
        }
    }
    let piece = |(pixels, label): (&u32, &Label)| Piece {
        pixels: *pixels,
        joint_before: label.part.is_some_and(|part| part > 0),
        joint_behind: label.part.is_some_and(|part| last.get(&whole(label)) > Some(&part)),
    };
    let mut places: BTreeMap<(bool, u32, Vec<Piece>), usize> = BTreeMap::new();
    let mut ways: Vec<Way> = Vec::new();
    for (number, roll) in rolls.iter().enumerate() {
        let pieces: Vec<Piece> = roll.pieces.iter().zip(&roll.labels).map(piece).collect();
        let key = (roll.shelf, roll.pixels, pieces.clone());
        let place = *places.entry(key).or_insert(ways.len());
        match ways.get_mut(place) {
            Some(way) => way.rolls.push(number),
            None => ways.push(Way {
                shelf: roll.shelf,
                pixels: roll.pixels,
                pieces,
                rolls: vec![number],
            }),
        }
    }
    ways
}

impl Way {
    /// Pixels that are left.
    pub fn left_over(&self) -> u32 {
        let cut: u32 = self.pieces.iter().map(|piece| piece.pixels).sum();
        self.pixels.saturating_sub(cut)
    }

    /// The pieces in the order to cut them: `cut 4 of 32 pixels, then 1 of 20`.
    pub fn order(&self) -> String {
        if self.pieces.len() == 1 && self.left_over() == 0 {
            return "used whole".into();
        }
        let alike = self.pieces.chunk_by(|a, b| a.pixels == b.pixels);
        let runs = alike.filter_map(|run| Some((run.len(), run.first()?.pixels)));
        let words: Vec<String> = runs
            .enumerate()
            .map(|(i, (count, pixels))| match (i, pixels) {
                (0, 1) => format!("{count} of 1 pixel"),
                (0, _) => format!("{count} of {pixels} pixels"),
                _ => format!("{count} of {pixels}"),
            })
            .collect();
        format!("cut {}", words.join(", then "))
    }
}

/// A part of a strip that is joined from several.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Joined {
    /// What is written on it.
    pub label: String,
    /// How long.
    pub pixels: u32,
    /// The roll that it comes from, from 1.
    pub roll: usize,
}

/// Strips that are joined from parts, in the order in which their first parts are cut: what each is called,
/// and its parts as data runs through them.
pub fn joined(rolls: &[Roll]) -> Vec<(String, Vec<Joined>)> {
    let mut all: BTreeMap<Label, BTreeMap<u32, Joined>> = BTreeMap::new();
    let mut order: Vec<Label> = Vec::new();
    for (number, roll) in rolls.iter().enumerate() {
        for (pixels, label) in roll.pieces.iter().zip(&roll.labels) {
            if let Some(part) = label.part {
                if part == 0 {
                    order.push(whole(label));
                }
                let joined = Joined { label: label.to_string(), pixels: *pixels, roll: number + 1 };
                all.entry(whole(label)).or_default().insert(part, joined);
            }
        }
    }
    let named = |label: Label| {
        let parts = all.remove(&label).unwrap_or_default();
        (label.to_string(), parts.into_values().collect())
    };
    order.into_iter().map(named).collect()
}

#[cfg(test)]
mod tests {
    use glowloom_plan::cuts::Place;

    use super::*;

    fn roll(pieces: &[(u32, u32, Option<u32>)], pixels: u32, shelf: bool) -> Roll {
        let label = |(_, strip, part): &(u32, u32, Option<u32>)| Label {
            panel: "west".into(),
            place: Place::Strip(*strip),
            part: *part,
        };
        Roll {
            pieces: pieces.iter().map(|piece| piece.0).collect(),
            labels: pieces.iter().map(label).collect(),
            left_over: pixels - pieces.iter().map(|piece| piece.0).sum::<u32>(),
            pixels,
            shelf,
            connector: false,
        }
    }

    #[test]
    fn rolls_cut_alike_are_one_way() {
        let rolls = [
            roll(&[(20, 1, None)], 90, true),
            roll(&[(50, 2, None), (32, 3, None), (32, 4, None)], 150, false),
            roll(&[(32, 5, None), (50, 6, None), (32, 7, None)], 150, false),
            roll(&[(50, 8, None), (32, 9, None), (32, 10, None)], 150, false),
            roll(&[(20, 11, None)], 90, false),
            roll(&[(90, 12, None)], 90, true),
        ];
        let found: Vec<_> = ways(&rolls)
            .iter()
            .map(|way| (way.shelf, way.rolls.clone(), way.order(), way.left_over()))
            .collect();
        // The order matters, and so does whether the roll is whole.
        let wanted = [
            (true, vec![0], "cut 1 of 20 pixels", 70),
            (false, vec![1, 3], "cut 1 of 50 pixels, then 2 of 32", 36),
            (false, vec![2], "cut 1 of 32 pixels, then 1 of 50, then 1 of 32", 36),
            (false, vec![4], "cut 1 of 20 pixels", 70),
            (true, vec![5], "used whole", 0),
        ];
        let wanted =
            wanted.map(|(shelf, rolls, order, left)| (shelf, rolls, order.to_owned(), left));
        assert_eq!(found, wanted);
    }

    #[test]
    fn joints_are_at_the_ends_that_meet() {
        let rolls = [
            roll(&[(32, 1, None), (10, 2, Some(0))], 42, false),
            roll(&[(12, 2, Some(1))], 12, true),
            roll(&[(10, 2, Some(2)), (32, 3, None)], 42, false),
        ];
        let ends: Vec<Vec<(bool, bool)>> = ways(&rolls)
            .iter()
            .map(|way| way.pieces.iter().map(|p| (p.joint_before, p.joint_behind)).collect())
            .collect();
        assert_eq!(
            ends,
            [
                vec![(false, false), (false, true)],
                vec![(true, true)],
                vec![(true, false), (false, false)]
            ]
        );
        let [(strip, parts)] = &*joined(&rolls) else { panic!("one strip is joined") };
        let parts: Vec<_> = parts.iter().map(|p| (p.label.as_str(), p.pixels, p.roll)).collect();
        assert_eq!(strip, "west 2");
        assert_eq!(parts, [("west 2 a", 10, 1), ("west 2 b", 12, 2), ("west 2 c", 10, 3)]);
    }
}
