//! Pictures of a sound: what is heard is drawn as it sounds.

mod lamps;
mod rings;
mod swell;

use std::time::Duration;

use glowloom_sound::{Analyser, Ballistics, Fed, Feed, Impression, Latency, Rate};
use glowloom_units::DecibelsPerSecond;

use crate::frame::LinearFrame;
use crate::source::{Drawn, Source, SourceError};

pub use self::lamps::Lamps;
pub use self::rings::Rings;
pub use self::swell::Swell;

/// Something that draws a sound.
pub trait SoundPicture: Send {
    /// Draws every pixel of what is to be seen `at` this long after the source began.
    fn paint(&mut self, at: Duration, heard: &Impression, into: &mut LinearFrame);
}

/// A picture of a sound, as it is offered to a person.
#[derive(Clone, Copy, Debug)]
pub struct Hearing {
    /// The word that asks for it: lower-case letters.
    pub name: &'static str,
    /// What it shows, in one line.
    pub line: &'static str,
    make: fn() -> Box<dyn SoundPicture>,
}

impl Hearing {
    /// The picture.
    #[must_use]
    pub fn picture(&self) -> Box<dyn SoundPicture> {
        (self.make)()
    }
}

/// All pictures of a sound.
#[must_use]
pub fn pictures_of_sound() -> &'static [Hearing] {
    &[
        Hearing {
            name: "swell",
            line: "the sea, as high at each place as the sound is loud, from low tones left to high right",
            make: || Box::new(Swell::default()),
        },
        Hearing {
            name: "lamps",
            line: "lamps along the quay and their light in the water, one for each range of tones",
            make: || Box::new(Lamps::default()),
        },
        Hearing {
            name: "rings",
            line: "the still harbour at night, into which a drop falls with each beat",
            make: || Box::new(Rings::default()),
        },
    ]
}

/// How fast what is drawn rises and falls: twice as fast as the needle of a meter, from full to nothing in
/// little more than half a second (a choice by eye).
const LIVELY: Ballistics =
    Ballistics { attack: DecibelsPerSecond(1500.0), release: DecibelsPerSecond(70.0) };

/// A sound that is drawn.
pub struct Sounding {
    feed: Box<dyn Feed>,
    analyser: Analyser,
    impression: Impression,
    picture: Box<dyn SoundPicture>,
    /// Lent to the feed.
    samples: Vec<f32>,
}

impl Sounding {
    /// Draws what comes from a feed.
    #[must_use]
    pub fn new(feed: Box<dyn Feed>, picture: Box<dyn SoundPicture>) -> Self {
        let rate = feed.rate();
        let analyser = Analyser::new(rate, LIVELY);
        let impression = Impression::of(&analyser);
        let samples = Vec::with_capacity(rate.get() as usize);
        Self { feed, analyser, impression, picture, samples }
    }

    /// The rate of the sound, and how late its figures are.
    #[must_use]
    pub fn latency(&self) -> (Rate, Latency) {
        (self.analyser.rate(), self.analyser.latency())
    }
}

impl Source for Sounding {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        self.samples.clear();
        let fed = self.feed.feed(at, &mut self.samples);
        let impression = &mut self.impression;
        self.analyser.hear(&self.samples, |heard| impression.take(&heard));
        self.picture.paint(at, &self.impression, into);
        match fed {
            Fed::Well => Ok(Drawn::New),
            Fed::Silent(why) => Err(SourceError::Frames(why)),
        }
    }
}

/// What lies at `place`, 0 to 1, in a row of shares: smooth between the middles of each.
fn between(shares: &[f32], place: f32) -> f32 {
    let last = shares.len().saturating_sub(1);
    let at = (place * shares.len() as f32 - 0.5).clamp(0.0, last as f32);
    let below = (at as usize).min(last);
    let of = |n: usize| shares.get(n).copied().unwrap_or(0.0);
    let part = crate::made::ramp::smooth(0.0, 1.0, at - below as f32);
    of(below) + (of((below + 1).min(last)) - of(below)) * part
}

/// How much of a beat is still seen: 1 when it comes, half after `half`.
#[derive(Clone, Copy, Debug, Default)]
struct Glow {
    beats: u64,
    glow: f32,
    seen: Duration,
}

impl Glow {
    fn after(&mut self, beats: u64, at: Duration, half: f32) -> f32 {
        let since = at.saturating_sub(self.seen).as_secs_f32();
        self.glow *= 0.5f32.powf(since / half);
        if beats != self.beats {
            self.glow = 1.0;
        }
        (self.beats, self.seen) = (beats, at);
        self.glow
    }
}

#[cfg(test)]
mod tests;
