//! Pixels of the picture that no panel shows, as rectangles: few, however many pixels they hold.

use std::collections::BTreeSet;

use glowloom_design::wall::Parts;
use glowloom_units::Metres;

use crate::built::Outline;

/// A rectangle of the picture, pixels from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Gap {
    /// First row.
    pub row: u32,
    /// First column.
    pub column: u32,
    /// At least 1.
    pub columns: u32,
    /// At least 1.
    pub rows: u32,
}

impl Gap {
    /// How many pixels it holds.
    #[must_use]
    pub fn pixels(&self) -> u32 {
        self.columns * self.rows
    }

    /// Where it is on the wall: no panel is there, so it is counted in pitches.
    #[must_use]
    pub fn outline(&self, wall: &Parts) -> Outline {
        let pitch = wall.pitch();
        let at = |i: u32| -> Metres { pitch * f64::from(i) };
        Outline {
            left: at(self.column),
            top: at(self.row),
            right: at(self.column + self.columns),
            bottom: at(self.row + self.rows),
        }
    }
}

/// The pixels that no panel shows, each in one rectangle, from the top, then from the left.
#[must_use]
pub fn gaps(wall: &Parts) -> Vec<Gap> {
    let mut panels: Vec<_> = wall.panels.iter().map(|panel| (panel.at, panel.hung())).collect();
    panels.sort_unstable();
    // Between two of these rows nothing changes.
    let mut breaks = BTreeSet::from([0, wall.rows]);
    for ((_, top), (_, rows)) in &panels {
        breaks.extend([*top, top + rows]);
    }
    let breaks: Vec<u32> = breaks.into_iter().collect();
    let mut open: Vec<Gap> = Vec::new();
    let mut closed = Vec::new();
    for band in breaks.windows(2) {
        let (top, bottom) = (band[0], band[1]);
        let mut next = Vec::new();
        let mut column = 0;
        let here = panels.iter().filter(|((_, y), (_, rows))| *y <= top && bottom <= y + rows);
        let spans = here.map(|((x, _), (columns, _))| (*x, x + columns));
        for (left, right) in spans.chain([(wall.columns, wall.columns)]) {
            if left > column {
                next.push(Gap { row: top, column, columns: left - column, rows: bottom - top });
            }
            column = column.max(right);
        }
        // A gap goes on where the one above has the same columns.
        for gap in open.drain(..) {
            let below = next.binary_search_by_key(&gap.column, |n| n.column).ok();
            match below.map(|i| &mut next[i]).filter(|below| below.columns == gap.columns) {
                Some(below) => *below = Gap { rows: gap.rows + below.rows, ..gap },
                None => closed.push(gap),
            }
        }
        open = next;
    }
    closed.extend(open);
    closed.sort_unstable();
    closed
}
