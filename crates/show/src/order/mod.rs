//! The running order: sources that take turns, by the clock on the wall too, and fade into each other.
//!
//! No clock is read here: how long the show has been on and what a clock on the wall reads are handed in.
//! What is new is opened and drawn unseen until its first frame is there; until then what was there before
//! goes on, so that the wall is never black between two turns.

mod hours;
mod lay;
mod playing;
mod quiet;
mod turns;
mod voice;

use std::time::Duration;

use self::lay::{mix, mix_in};
use self::playing::Playing;
use self::turns::{Now, Turns};
use crate::frame::LinearFrame;
use crate::source::{Drawn, Source, SourceError};

pub use self::hours::{Hours, LocalTime};
pub use self::quiet::{Dimmer, QuietHours};
pub use self::turns::Progress;
pub use self::voice::PATIENCE;

/// Opens a source anew: each turn begins at its beginning.
pub type Opener = Box<dyn Fn() -> Result<Box<dyn Source>, SourceError> + Send>;

/// How long the wall takes to go dark when nothing is due any more.
const TO_DARK: Duration = Duration::from_secs(1);

/// One entry of the order.
pub struct Scene {
    /// Opens what it shows.
    pub open: Opener,
    /// How long it lasts each time; a scene of no length takes one frame.
    pub length: Duration,
    /// How often it plays from its beginning before the next has its turn; 0 counts as 1.
    pub rounds: u32,
    /// When it is due.
    pub hours: Hours,
    /// How long it fades in over what was there before.
    pub fade: Duration,
    /// A source laid over it, with a strength of 0 to 1: it covers as it is bright.
    pub over: Option<(Opener, f32)>,
    /// What is shown when it fails.
    pub on_failure: OnFailure,
}

impl Scene {
    /// A source that plays for so long, at any time, and cuts in.
    #[must_use]
    pub fn new(open: Opener, length: Duration) -> Self {
        Self {
            open,
            length,
            rounds: 1,
            hours: Hours::ALWAYS,
            fade: Duration::ZERO,
            over: None,
            on_failure: OnFailure::Keep,
        }
    }
}

/// What is shown when a source cannot be opened, or has been in trouble for longer than [`PATIENCE`].
pub enum OnFailure {
    /// Its last frame stays; if it has none, what was there before.
    Keep,
    /// The next scene has its turn.
    Next,
    /// Another source, until the first is well again.
    StandIn(Opener),
}

/// What the order is doing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Standing {
    /// Which scene's turn it is and how far it is; `None`: none is due, and the wall is dark.
    pub progress: Option<Progress>,
    /// Whether another source stands in for one that fails.
    pub stand_in: bool,
}

/// A running order that plays.
pub struct Order {
    scenes: Vec<Scene>,
    turns: Turns,
    /// What is on the wall, or fades in.
    seen: Seen,
    /// What is not seen yet, and the picture of it.
    coming: Option<Coming>,
    unseen: LinearFrame,
    /// What fades out, and the two pictures of the fade.
    fading: Option<Fading>,
    before: LinearFrame,
    after: LinearFrame,
}

/// What draws a picture.
enum Seen {
    Dark,
    Playing(Box<Playing>),
    /// The picture that is in the frame already stays.
    Held,
}

struct Coming {
    seen: Seen,
    /// How long it fades in.
    fade: Duration,
}

struct Fading {
    from: Seen,
    began: Duration,
    length: Duration,
}

impl Order {
    /// Scenes in this order, over and over, from where they were left if that is told. Where none is due it
    /// is dark.
    #[must_use]
    pub fn new(scenes: Vec<Scene>, from: Option<Progress>) -> Self {
        let blank = || LinearFrame::new(0, 0);
        Self {
            scenes,
            turns: Turns::new(from),
            seen: Seen::Dark,
            coming: None,
            unseen: blank(),
            fading: None,
            before: blank(),
            after: blank(),
        }
    }

    /// Other scenes from now on. What is on the wall stays there until the first of them is ready.
    pub fn replace(&mut self, scenes: Vec<Scene>, from: Option<Progress>) {
        self.scenes = scenes;
        self.turns = Turns::new(from);
        self.coming = None;
    }

    /// Draws what is to be seen `at` this long after the show began, when a clock on the wall reads `time`:
    /// as [`Source::draw`].
    ///
    /// # Errors
    /// While something is wrong with a source whose turn it is. `into` is then drawn all the same.
    pub fn draw(
        &mut self,
        at: Duration,
        time: LocalTime,
        into: &mut LinearFrame,
    ) -> Result<Drawn, SourceError> {
        let (now, mut trouble) = (self.turns.now(at), None);
        self.take_turns(now, time, &mut trouble);
        self.stand_in(now, &mut trouble);
        self.begin_what_came(now, into);
        let mut drawn = self.render(now, into);
        let trouble = trouble.or_else(|| self.playing().and_then(Playing::error).cloned());
        if trouble.is_some() && !drawn {
            // Whoever is told of trouble looks at the frame.
            into.clear();
            drawn = self.render(now, into);
        }
        match trouble {
            Some(error) => Err(error),
            None if drawn => Ok(Drawn::New),
            None => Ok(Drawn::Same),
        }
    }

    /// What it is doing, as of the last frame.
    #[must_use]
    pub fn standing(&self) -> Standing {
        let stand_in = self.playing().is_some_and(Playing::has_stand_in);
        Standing { progress: self.turns.progress(), stand_in }
    }

    /// What has its turn, seen or not yet.
    fn playing(&self) -> Option<&Playing> {
        match self.coming.as_ref().map_or(&self.seen, |coming| &coming.seen) {
            Seen::Playing(playing) => Some(playing),
            Seen::Dark | Seen::Held => None,
        }
    }

    fn playing_mut(&mut self) -> Option<&mut Playing> {
        match self.coming.as_mut().map_or(&mut self.seen, |coming| &mut coming.seen) {
            Seen::Playing(playing) => Some(playing),
            Seen::Dark | Seen::Held => None,
        }
    }

    fn on_failure(&self) -> Option<&OnFailure> {
        let scene = self.turns.progress()?.scene;
        self.scenes.get(scene).map(|scene| &scene.on_failure)
    }

    /// Opens whatever has its turn now.
    fn take_turns(&mut self, now: Duration, time: LocalTime, trouble: &mut Option<SourceError>) {
        let failed = self.playing().is_some_and(|playing| playing.has_failed(now));
        let mut on = failed && matches!(self.on_failure(), Some(OnFailure::Next));
        if on && let Some(playing) = self.playing_mut() {
            // It stays if no other can be opened; it is not failed over and over.
            playing.give_up();
        }
        // Each scene is tried once at most in one frame.
        for _ in 0..self.scenes.len().max(1) {
            match self.turns.turn(&self.scenes, now, time, on) {
                Now::AsBefore => return,
                Now::Dark => return self.bring(Seen::Dark, TO_DARK),
                Now::Scene(scene) => match self.open(scene) {
                    Ok(()) => return,
                    Err((error, next)) => {
                        trouble.get_or_insert(error);
                        on = next;
                        if !next {
                            return;
                        }
                    }
                },
            }
        }
    }

    /// Opens a scene, or what stands in for it; else why not, and whether the next is to be tried.
    fn open(&mut self, scene: usize) -> Result<(), (SourceError, bool)> {
        let began = self.turns.began();
        let Some(scene) = self.scenes.get(scene) else { return Ok(()) };
        let base = match ((scene.open)(), &scene.on_failure) {
            (Ok(base), _) => base,
            (Err(error), OnFailure::Keep) => return Err((error, false)),
            (Err(error), OnFailure::Next) => return Err((error, true)),
            (Err(error), OnFailure::StandIn(open)) => open().map_err(|_| (error, false))?,
        };
        let over = match &scene.over {
            Some((open, strength)) => Some((open().map_err(|error| (error, false))?, *strength)),
            None => None,
        };
        let fade = scene.fade;
        self.bring(Seen::Playing(Box::new(Playing::new(base, over, began))), fade);
        Ok(())
    }

    fn bring(&mut self, seen: Seen, fade: Duration) {
        self.unseen.clear();
        self.coming = Some(Coming { seen, fade });
    }

    /// Lets another source stand in for one that fails.
    fn stand_in(&mut self, now: Duration, trouble: &mut Option<SourceError>) {
        if !self.playing().is_some_and(|playing| playing.has_failed(now)) {
            return;
        }
        let Some(OnFailure::StandIn(open)) = self.on_failure() else { return };
        let opened = open();
        let Some(playing) = self.playing_mut() else { return };
        match opened {
            Ok(source) => playing.stand_in(source, now),
            Err(error) => {
                playing.give_up();
                *trouble = Some(error);
            }
        }
    }

    /// Draws what comes unseen, and begins to show it once its first frame is there.
    fn begin_what_came(&mut self, now: Duration, into: &mut LinearFrame) {
        let Some(coming) = &mut self.coming else { return };
        self.unseen.resize(into.columns(), into.rows());
        coming.seen.draw(now, &mut self.unseen);
        if !coming.seen.has_begun() {
            return;
        }
        let Some(Coming { seen, fade }) = self.coming.take() else { return };
        let was = std::mem::replace(&mut self.seen, seen);
        if fade.is_zero() {
            self.fading = None;
            into.clear();
            return;
        }
        let from = match self.fading.take() {
            // The mixture of the fade that is on stays as it is, and fades out.
            Some(fading) => {
                mix_in(&mut self.before, &self.after, fading.share(now));
                Seen::Held
            }
            None => {
                self.before.resize(into.columns(), into.rows());
                self.before.clear();
                was
            }
        };
        std::mem::swap(&mut self.after, &mut self.unseen);
        self.fading = Some(Fading { from, began: now, length: fade });
    }

    /// Draws what is seen; `true` if `into` was drawn.
    fn render(&mut self, now: Duration, into: &mut LinearFrame) -> bool {
        if self.fading.as_ref().is_some_and(|fading| fading.share(now) >= 1.0) {
            self.fading = None;
            into.clear();
        }
        let Some(fading) = &mut self.fading else { return self.seen.draw(now, into) };
        fading.from.draw(now, &mut self.before);
        self.seen.draw(now, &mut self.after);
        mix(&self.before, &self.after, fading.share(now), into);
        true
    }
}

impl Seen {
    /// Draws what is due; `true` if `into` was drawn.
    fn draw(&mut self, now: Duration, into: &mut LinearFrame) -> bool {
        match self {
            Self::Playing(playing) => playing.draw(now, into),
            Self::Dark if into.is_blank() => {
                into.values_mut().fill(0);
                true
            }
            Self::Dark | Self::Held => false,
        }
    }

    fn has_begun(&self) -> bool {
        match self {
            Self::Playing(playing) => playing.has_begun(),
            Self::Dark | Self::Held => true,
        }
    }
}

impl Fading {
    /// How far it is, 0 to 1.
    fn share(&self, now: Duration) -> f32 {
        let since = now.saturating_sub(self.began).as_secs_f32();
        (since / self.length.as_secs_f32()).min(1.0)
    }
}

#[cfg(test)]
mod tests;
