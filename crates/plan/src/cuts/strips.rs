//! The strips of a wall as pieces to cut, each under its name.
//!
//! Spare pixels sit ahead of the picture, so they are cut in one piece with the first strip of their
//! data line. Where that would fit no roll they are a piece of their own; and where the receiver's
//! level wants it (`data_level = "spare pixel"`), since their plus comes through a diode then.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use glowloom_design::Wall;
use glowloom_design::wall::{DataLevel, Panel};
use serde::{Serialize, Serializer};

use crate::path::PanelPath;

/// What a piece becomes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// The strip of that number, from 1.
    Strip(u32),
    /// The strip of that number with so many spare pixels ahead.
    WithSpare(u32, u32),
    /// The spare pixels of the data line of that number, from 1.
    Spare(u32),
}

/// The name of a piece: what is written on it. Serialises as its text: `west 3`,
/// `west 1 + 2 spare`, `west line 1 spare`, and of a joined piece `west 3 a`, `west 3 b`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Label {
    /// The panel's name.
    pub panel: Arc<str>,
    /// Where on it.
    pub place: Place,
    /// Which part of a joined piece, from 0, as data runs.
    pub part: Option<u32>,
}

impl fmt::Display for Label {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.panel)?;
        match self.place {
            Place::Strip(strip) => write!(f, " {strip}")?,
            Place::WithSpare(strip, spare) => write!(f, " {strip} + {spare} spare")?,
            Place::Spare(line) => write!(f, " line {line} spare")?,
        }
        match self.part {
            Some(part) => write!(f, " {}", letters(part)),
            None => Ok(()),
        }
    }
}

impl Serialize for Label {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

/// `a` to `z`, `aa`, `ab` and so on.
fn letters(mut number: u32) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'a' + (number % 26) as u8));
        number /= 26;
        match number.checked_sub(1) {
            Some(next) => number = next,
            None => break,
        }
    }
    letters.iter().rev().collect()
}

/// Pieces of one length: those at which a data line starts, and the others; in the order of the
/// file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Strips {
    /// At the head of a data line.
    pub starts: Vec<Label>,
    /// All others.
    pub others: Vec<Label>,
}

impl Strips {
    /// How many.
    #[must_use]
    pub fn count(&self) -> u32 {
        u32::try_from(self.starts.len() + self.others.len()).unwrap_or(u32::MAX)
    }
}

/// The pieces of some panels by their pixels. `longest` is the longest roll there is; without
/// splices no piece is made longer than that on purpose.
pub fn strips<'w>(
    wall: &Wall,
    panels: impl Iterator<Item = &'w Panel>,
    longest: u32,
) -> BTreeMap<u32, Strips> {
    let mut pieces: BTreeMap<u32, Strips> = BTreeMap::new();
    for panel in panels {
        let name: Arc<str> = panel.name.as_str().into();
        let label = |place| Label { panel: name.clone(), place, part: None };
        let (pixels, spare) = (panel.strip_pixels(), panel.spare_pixels);
        let fits = wall.cuts.splices || pixels > longest || pixels + spare <= longest;
        let apart = wall.receiver.data_level == DataLevel::SparePixel || !fits;
        for line in PanelPath::of(panel).lines() {
            let first = line.first_strip;
            if spare > 0 && apart {
                let own = pieces.entry(spare).or_default();
                own.starts.push(label(Place::Spare(line.number)));
                pieces.entry(pixels).or_default().others.push(label(Place::Strip(first)));
            } else if spare > 0 {
                let with = pieces.entry(pixels + spare).or_default();
                with.starts.push(label(Place::WithSpare(first, spare)));
            } else {
                pieces.entry(pixels).or_default().starts.push(label(Place::Strip(first)));
            }
            let rest = (first + 1)..(first + line.strips);
            if !rest.is_empty() {
                let others = &mut pieces.entry(pixels).or_default().others;
                others.extend(rest.map(|strip| label(Place::Strip(strip))));
            }
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_lettered() {
        let found: Vec<_> = [0, 1, 25, 26, 27, 51, 52, 701, 702].map(letters).into();
        assert_eq!(found, ["a", "b", "z", "aa", "ab", "az", "ba", "zz", "aaa"]);
    }

    #[test]
    fn names_as_they_are_written_on_a_piece() {
        let named = |place, part| Label { panel: "west".into(), place, part }.to_string();
        assert_eq!(named(Place::Strip(3), None), "west 3");
        assert_eq!(named(Place::Strip(3), Some(1)), "west 3 b");
        assert_eq!(named(Place::WithSpare(1, 2), Some(0)), "west 1 + 2 spare a");
        assert_eq!(named(Place::Spare(4), None), "west line 4 spare");
    }
}
