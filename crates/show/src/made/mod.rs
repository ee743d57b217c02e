//! Pictures made by code: a function of size and time and of nothing else.

mod count;
mod drift;
mod marks;
pub(crate) mod ramp;
mod tide;

use crate::source::Source;

pub use self::count::{Count, PixelsPerSecond};
pub use self::drift::Drift;
pub use self::marks::{Marks, Scene};
pub use self::tide::Tide;

/// A picture made by code, as it is offered to a person.
#[derive(Clone, Copy, Debug)]
pub struct Made {
    /// The word that asks for it: lower-case letters.
    pub name: &'static str,
    /// What it shows, in one line.
    pub line: &'static str,
    make: fn() -> Box<dyn Source>,
}

impl Made {
    /// The picture as a source.
    #[must_use]
    pub fn source(&self) -> Box<dyn Source> {
        (self.make)()
    }
}

/// All pictures made by code.
#[must_use]
pub fn made_by_code() -> &'static [Made] {
    &[
        Made {
            name: "tide",
            line: "water that rises and falls slowly under an evening sky",
            make: || Box::new(Tide::default()),
        },
        Made {
            name: "drift",
            line: "colours that drift into one another",
            make: || Box::new(Drift::default()),
        },
        Made {
            name: "count",
            line: "every pixel in turn, row by row, with tens and hundreds marked, 20 a second",
            make: || Box::new(Count::default()),
        },
    ]
}

/// Seconds into a round of `round` seconds, so that precision does not fade with the hours.
pub(crate) fn seconds_into(at: std::time::Duration, round: u32) -> f32 {
    let whole = at.as_secs() % u64::from(round);
    whole as f32 + at.subsec_nanos() as f32 / 1e9
}

/// One turn of a circle for every `period` seconds.
pub(crate) fn turns(seconds: f32, period: f32) -> f32 {
    seconds / period * std::f32::consts::TAU
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::LinearFrame;
    use crate::source::Drawn;
    use std::time::Duration;

    #[test]
    fn names_are_single_words_and_differ() {
        let mut names: Vec<&str> = made_by_code().iter().map(|made| made.name).collect();
        assert!(names.iter().all(|name| name.bytes().all(|b| b.is_ascii_lowercase())));
        assert!(made_by_code().iter().all(|made| !made.line.is_empty()));
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), made_by_code().len());
    }

    /// The same time gives the same frame, whatever was drawn before, and every pixel is written.
    #[test]
    fn frames_depend_on_size_and_time_alone() {
        for made in made_by_code() {
            for (columns, rows) in [(1, 1), (1, 9), (60, 32), (7, 3)] {
                let at = Duration::from_millis(12_345);
                let mut straight = LinearFrame::new(columns, rows);
                made.source().draw(at, &mut straight).unwrap();
                let mut source = made.source();
                source.draw(Duration::from_secs(3), &mut LinearFrame::new(5, 5)).unwrap();
                let mut later = LinearFrame::new(columns, rows);
                source.draw(Duration::from_secs(7), &mut later).unwrap();
                let before = later.clone();
                later.values_mut().fill(0xA5A5);
                match source.draw(at, &mut later).unwrap() {
                    Drawn::New => {}
                    _ => later = before,
                }
                assert_eq!(straight, later, "{} {columns} x {rows}", made.name);
            }
        }
    }
}
