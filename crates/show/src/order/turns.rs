//! Whose turn it is.

use std::time::Duration;

use super::{LocalTime, Scene};

/// The order's own clock starts so late that a turn can have begun before the show: it goes on where an
/// earlier show left it.
const BEFORE: Duration = Duration::from_secs(400 * 24 * 3600);

/// How far an order is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Which scene, from 0.
    pub scene: usize,
    /// Which time it plays, from 0.
    pub round: u32,
    /// How long it has played this time.
    pub since: Duration,
}

/// What has its turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Now {
    /// What had it before.
    AsBefore,
    /// Nothing.
    Dark,
    /// This scene, from its beginning or from where it was left.
    Scene(usize),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// Nothing has had a turn yet.
    Start(Option<Progress>),
    Dark,
    Turn {
        scene: usize,
        round: u32,
        began: Duration,
    },
}

#[derive(Debug)]
pub(super) struct Turns {
    state: State,
    now: Duration,
}

impl Turns {
    pub(super) fn new(from: Option<Progress>) -> Self {
        Self { state: State::Start(from), now: BEFORE }
    }

    /// The order's own time, so long after the show began.
    pub(super) fn now(&self, at: Duration) -> Duration {
        at.saturating_add(BEFORE)
    }

    /// When the turn that is on began.
    pub(super) fn began(&self) -> Duration {
        match self.state {
            State::Turn { began, .. } => began,
            State::Start(_) | State::Dark => self.now,
        }
    }

    pub(super) fn progress(&self) -> Option<Progress> {
        match self.state {
            State::Turn { scene, round, began } => {
                Some(Progress { scene, round, since: self.now.saturating_sub(began) })
            }
            State::Start(from) => from,
            State::Dark => None,
        }
    }

    /// Whose turn it is; `on`: the one that has it is to give it up.
    pub(super) fn turn(
        &mut self,
        scenes: &[Scene],
        now: Duration,
        time: LocalTime,
        on: bool,
    ) -> Now {
        self.now = now;
        let due = |nth: usize| scenes.get(nth).filter(|scene| scene.hours.hold(time));
        // After the last comes the first; the one itself is the last that is asked.
        let next = |after: usize| {
            (1..=scenes.len())
                .map(|step| (after + step) % scenes.len())
                .find(|&nth| due(nth).is_some())
        };
        let first = scenes.len().checked_sub(1).and_then(next);
        match self.state {
            State::Start(from) => {
                if let Some(Progress { scene, round, since }) = from
                    && due(scene).is_some_and(|scene| since < scene.length)
                {
                    return self.begin(scene, round, now.saturating_sub(since));
                }
                let after = from.map(|from| from.scene).filter(|&scene| scene < scenes.len());
                self.go_to(after.map_or(first, next), now)
            }
            State::Dark => match first {
                Some(scene) => self.begin(scene, 0, now),
                None => Now::AsBefore,
            },
            State::Turn { scene, .. } if on || due(scene).is_none() => {
                self.go_to(if scene < scenes.len() { next(scene) } else { first }, now)
            }
            State::Turn { scene, round, began } => {
                let Some(playing) = due(scene) else { return Now::AsBefore };
                let end = began.saturating_add(playing.length);
                if now < end {
                    return Now::AsBefore;
                }
                let again = round.saturating_add(1) < playing.rounds;
                let (to, round) = if again { (Some(scene), round + 1) } else { (next(scene), 0) };
                let Some(to) = to else { return self.go_to(None, now) };
                // It begins when it was due, so that turns do not creep; what nobody saw is not made up for.
                let late = now.saturating_sub(end);
                let in_time = due(to).is_some_and(|next| late < next.length);
                self.begin(to, round, if in_time { end } else { now })
            }
        }
    }

    fn go_to(&mut self, scene: Option<usize>, now: Duration) -> Now {
        match scene {
            Some(scene) => self.begin(scene, 0, now),
            None => {
                self.state = State::Dark;
                Now::Dark
            }
        }
    }

    fn begin(&mut self, scene: usize, round: u32, began: Duration) -> Now {
        self.state = State::Turn { scene, round, began };
        Now::Scene(scene)
    }
}
