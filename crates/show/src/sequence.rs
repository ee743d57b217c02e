//! Several sources, one after the other, over and over.

use std::time::Duration;

use crate::frame::LinearFrame;
use crate::source::{Drawn, Source, SourceError};

/// Opens a source anew: each turn begins at its beginning.
pub type Opener = Box<dyn Fn() -> Result<Box<dyn Source>, SourceError> + Send>;

/// One turn of a sequence.
pub struct Scene {
    /// Opens what it shows.
    pub open: Opener,
    /// How long it lasts.
    pub length: Duration,
}

/// Several sources, one after the other, over and over.
///
/// A scene that cannot be opened is left out and told as an error of the frame in which its turn
/// came; the scene before it stays on the wall for as long.
pub struct Sequence {
    scenes: Vec<Scene>,
    /// The scene whose turn it is, among `scenes`.
    turn: usize,
    began: Duration,
    /// What is on the wall; `None` before the first frame.
    current: Option<Current>,
}

struct Current {
    source: Box<dyn Source>,
    began: Duration,
}

impl Sequence {
    /// A sequence of scenes in this order. With no scene it stays dark; a scene of no length takes
    /// one frame.
    #[must_use]
    pub fn new(scenes: Vec<Scene>) -> Self {
        Self { scenes, turn: 0, began: Duration::ZERO, current: None }
    }

    /// Whether another scene's turn has come. After a long silence turns are counted from now: what
    /// nobody saw is not made up for.
    fn turns(&mut self, at: Duration) -> bool {
        if self.current.is_none() {
            self.began = at;
            return true;
        }
        let Some(scene) = self.scenes.get(self.turn) else { return false };
        let end = self.began.saturating_add(scene.length);
        if at < end {
            return false;
        }
        self.turn = (self.turn + 1) % self.scenes.len();
        let late = at.saturating_sub(end);
        let in_time = self.scenes.get(self.turn).is_some_and(|next| late < next.length);
        // The next turn begins when it was due, so that turns do not creep.
        self.began = if in_time { end } else { at };
        true
    }
}

impl Source for Sequence {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        if self.turns(at) {
            let Some(scene) = self.scenes.get(self.turn) else { return Ok(Drawn::Ended) };
            match (scene.open)() {
                Ok(source) => {
                    self.current = Some(Current { source, began: self.began });
                    into.clear();
                }
                Err(error) => {
                    // Drawn anew, for `into` may hold something older.
                    into.clear();
                    if let Some(current) = &mut self.current {
                        let since = at.saturating_sub(current.began);
                        current.source.draw(since, into)?;
                    }
                    return Err(error);
                }
            }
        }
        let Some(current) = &mut self.current else { return Ok(Drawn::Same) };
        match current.source.draw(at.saturating_sub(current.began), into)? {
            // Another turn comes.
            Drawn::Ended => Ok(Drawn::Same),
            drawn => Ok(drawn),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::PictureError;

    /// Fills the frame with one value, once.
    struct Plain(u16, bool);

    impl Source for Plain {
        fn draw(&mut self, _: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
            if self.1 && !into.is_blank() {
                return Ok(Drawn::Ended);
            }
            self.1 = true;
            into.values_mut().fill(self.0);
            Ok(Drawn::New)
        }
    }

    fn scene(value: u16, seconds: u64) -> Scene {
        Scene {
            open: Box::new(move || Ok(Box::new(Plain(value, false)))),
            length: Duration::from_secs(seconds),
        }
    }

    fn at(sequence: &mut Sequence, frame: &mut LinearFrame, seconds: f64) -> u16 {
        sequence.draw(Duration::from_secs_f64(seconds), frame).unwrap();
        frame.values()[0]
    }

    #[test]
    fn scenes_take_turns_for_ever() {
        let mut sequence = Sequence::new(vec![scene(1, 10), scene(2, 5)]);
        let mut frame = LinearFrame::new(2, 2);
        let seen: Vec<u16> = [0.0, 9.9, 10.0, 14.9, 15.0, 24.9, 25.1]
            .map(|seconds| at(&mut sequence, &mut frame, seconds))
            .to_vec();
        assert_eq!(seen, [1, 1, 2, 2, 1, 1, 2]);
    }

    #[test]
    fn turns_do_not_creep_and_are_not_made_up_for() {
        let mut sequence = Sequence::new(vec![scene(1, 10), scene(2, 10)]);
        let mut frame = LinearFrame::new(1, 1);
        assert_eq!(at(&mut sequence, &mut frame, 0.0), 1);
        assert_eq!(at(&mut sequence, &mut frame, 13.0), 2);
        assert_eq!(at(&mut sequence, &mut frame, 20.0), 1);
        // Asleep for an hour: the next turn comes, once, and lasts as long as any.
        assert_eq!(at(&mut sequence, &mut frame, 3600.0), 2);
        assert_eq!(at(&mut sequence, &mut frame, 3609.9), 2);
        assert_eq!(at(&mut sequence, &mut frame, 3610.0), 1);
    }

    #[test]
    fn a_scene_that_cannot_be_opened_is_left_out() {
        let broken = Scene {
            open: Box::new(|| Err(SourceError::Picture(PictureError::Empty))),
            length: Duration::from_secs(10),
        };
        let mut sequence = Sequence::new(vec![scene(1, 10), broken]);
        let mut frame = LinearFrame::new(1, 1);
        assert_eq!(at(&mut sequence, &mut frame, 0.0), 1);
        frame.values_mut().fill(99);
        assert!(sequence.draw(Duration::from_secs(10), &mut frame).is_err());
        assert_eq!(frame.values(), [1; 3], "the scene before it is drawn again");
        assert_eq!(at(&mut sequence, &mut frame, 11.0), 1);
        assert_eq!(at(&mut sequence, &mut frame, 20.0), 1);
    }

    #[test]
    fn no_scenes_are_dark() {
        let mut frame = LinearFrame::new(1, 1);
        assert_eq!(Sequence::new(vec![]).draw(Duration::ZERO, &mut frame), Ok(Drawn::Ended));
    }
}
