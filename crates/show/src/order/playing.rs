//! What one turn shows: a source, one laid over it, and one that stands in when the first fails.

use std::time::Duration;

use super::lay::lay;
use super::voice::Voice;
use crate::frame::LinearFrame;
use crate::source::{Source, SourceError};

/// A turn while it is on the wall, or about to be.
pub(super) struct Playing {
    base: Voice,
    /// Shown while the source fails.
    stand_in: Option<Voice>,
    /// Whether nothing is done any more about its failing.
    given_up: bool,
    /// Whether what draws is another than the last time.
    anew: bool,
    over: Option<Upper>,
    /// What lies below, where something is laid over it.
    lower: LinearFrame,
    /// What the source that has failed draws meanwhile.
    unseen: LinearFrame,
}

struct Upper {
    voice: Voice,
    strength: f32,
    frame: LinearFrame,
}

impl Playing {
    /// A source, and one that is laid over it with a strength; both begin at this time.
    pub(super) fn new(
        base: Box<dyn Source>,
        over: Option<(Box<dyn Source>, f32)>,
        began: Duration,
    ) -> Self {
        let blank = || LinearFrame::new(0, 0);
        let over = over.map(|(source, strength)| Upper {
            voice: Voice::new(source, began),
            strength,
            frame: blank(),
        });
        let base = Voice::new(base, began);
        Self {
            base,
            stand_in: None,
            given_up: false,
            anew: false,
            over,
            lower: blank(),
            unseen: blank(),
        }
    }

    /// Draws what is due; `true` if `into` was drawn.
    pub(super) fn draw(&mut self, now: Duration, into: &mut LinearFrame) -> bool {
        let Some(mut over) = self.over.take() else { return self.draw_base(now, into) };
        let size = (into.columns(), into.rows());
        let mut lower = std::mem::replace(&mut self.lower, LinearFrame::new(0, 0));
        lower.resize(size.0, size.1);
        over.frame.resize(size.0, size.1);
        let below = self.draw_base(now, &mut lower);
        let above = over.voice.draw(now, &mut over.frame);
        let changed = below || above || into.is_blank();
        if changed {
            lay(&lower, &over.frame, over.strength, into);
        }
        self.lower = lower;
        self.over = Some(over);
        changed
    }

    fn draw_base(&mut self, now: Duration, into: &mut LinearFrame) -> bool {
        if std::mem::take(&mut self.anew) {
            into.clear();
        }
        let Some(stand_in) = &mut self.stand_in else { return self.base.draw(now, into) };
        self.unseen.resize(into.columns(), into.rows());
        self.base.draw(now, &mut self.unseen);
        if !self.base.is_well() {
            return stand_in.draw(now, into);
        }
        self.stand_in = None;
        into.clear();
        self.base.draw(now, into)
    }

    /// Whether there is something to see.
    pub(super) fn has_begun(&self) -> bool {
        self.stand_in.as_ref().unwrap_or(&self.base).has_begun()
    }

    /// Whether its source has failed and something is to be done about it.
    pub(super) fn has_failed(&self, now: Duration) -> bool {
        self.stand_in.is_none() && !self.given_up && self.base.has_failed(now)
    }

    /// Lets it fail.
    pub(super) fn give_up(&mut self) {
        self.given_up = true;
    }

    /// Lets another source stand in until the first is well again.
    pub(super) fn stand_in(&mut self, source: Box<dyn Source>, now: Duration) {
        self.stand_in = Some(Voice::new(source, now));
        self.anew = true;
    }

    /// Whether another source stands in.
    pub(super) fn has_stand_in(&self) -> bool {
        self.stand_in.is_some()
    }

    /// What is wrong: with the source first.
    pub(super) fn error(&self) -> Option<&SourceError> {
        let stand_in = || self.stand_in.as_ref().and_then(Voice::error);
        let over = || self.over.as_ref().and_then(|over| over.voice.error());
        self.base.error().or_else(stand_in).or_else(over)
    }
}
