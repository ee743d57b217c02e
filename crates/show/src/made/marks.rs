//! Test pictures: a few pixels marked at a time, one scene after the other.

use std::time::Duration;

use super::ramp::{rgb, values};
use crate::frame::LinearFrame;
use crate::source::{Drawn, Source, SourceError};

/// One scene: pixels of the picture, row by row from the top left, each with its sRGB colour; all others dark.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scene {
    /// Pixel and colour, 0xRRGGBB.
    pub marks: Vec<(u32, u32)>,
    /// How long it is shown.
    pub lasts: Duration,
}

/// Scenes in turn, from the start again after the last.
#[derive(Debug)]
pub struct Marks {
    scenes: Vec<Scene>,
    last: Option<usize>,
}

impl Marks {
    /// Shows these; nothing but darkness where there are none.
    #[must_use]
    pub fn new(scenes: Vec<Scene>) -> Self {
        Self { scenes, last: None }
    }

    /// Which scene it is then.
    fn scene(&self, at: Duration) -> usize {
        let round: Duration = self.scenes.iter().map(|scene| scene.lasts).sum();
        if round.is_zero() {
            return 0;
        }
        // In nanoseconds, so that a long round does not drift.
        let mut left = at.as_nanos() % round.as_nanos();
        let reached = |scene: &Scene| {
            let within = left < scene.lasts.as_nanos();
            left = left.saturating_sub(scene.lasts.as_nanos());
            within
        };
        self.scenes.iter().position(reached).unwrap_or(0)
    }
}

impl Source for Marks {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let scene = self.scene(at);
        if self.last.replace(scene) == Some(scene) {
            return Ok(Drawn::Same);
        }
        into.values_mut().fill(0);
        for (pixel, colour) in self.scenes.get(scene).into_iter().flat_map(|scene| &scene.marks) {
            let place = *pixel as usize * 3;
            if let Some(to) = into.values_mut().get_mut(place..place + 3) {
                to.copy_from_slice(&values(rgb(*colour)));
            }
        }
        Ok(Drawn::New)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scenes_come_in_turn() {
        let scene = |marks: &[(u32, u32)], millis| Scene {
            marks: marks.to_vec(),
            lasts: Duration::from_millis(millis),
        };
        let mut marks =
            Marks::new(vec![scene(&[(0, 0xff_00_00)], 100), scene(&[(1, 0x00_00_ff), (9, 1)], 50)]);
        let mut frame = LinearFrame::new(2, 1);
        let mut at = |millis: u64| {
            let drawn = marks.draw(Duration::from_millis(millis), &mut frame).unwrap();
            (drawn, frame.values().to_vec())
        };
        let (first, second) = (vec![65_535, 0, 0, 0, 0, 0], vec![0, 0, 0, 0, 0, 65_535]);
        assert_eq!(at(0), (Drawn::New, first.clone()));
        assert_eq!(at(99), (Drawn::Same, first.clone()));
        assert_eq!(at(100), (Drawn::New, second.clone()));
        assert_eq!(at(149), (Drawn::Same, second));
        assert_eq!(at(150), (Drawn::New, first));
        let mut none = Marks::new(Vec::new());
        assert_eq!(none.draw(Duration::ZERO, &mut frame), Ok(Drawn::New));
        assert_eq!(frame.values(), [0; 6]);
    }
}
