//! A picture that moves, by its own times.

use std::time::Duration;

use crate::average::Averager;
use crate::frame::LinearFrame;
use crate::picture::{PictureError, Plays, Reel};
use crate::sizing::Laying;
use crate::source::{Drawn, Source, SourceError};

/// How many canvas pixels a single call may decode to catch up with the time. A picture too large
/// to keep its times is slowed down rather than shown in jerks: about a tenth of a second's work.
const CATCH_UP_PIXELS: u64 = 16_000_000;

/// An animation as a source.
pub(crate) struct Animation {
    reel: Reel,
    averager: Averager,
    laying: Laying,
    /// Whether the frame on the canvas has not been drawn yet.
    changed: bool,
    /// How long the frame on the canvas is shown, and when that is over.
    lasts: Duration,
    until: Duration,
    /// When this round began, and how many of its frames have been laid.
    round_began: Duration,
    laid: u32,
    /// How long a round is, once one is over.
    round: Option<Duration>,
    /// Rounds to go, this one included; `None` for ever.
    left: Option<u32>,
    state: State,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Playing,
    /// There is only one frame: a still.
    Holding,
    Ended,
}

impl Animation {
    /// An animation whose first frame is on its canvas.
    pub(crate) fn new(reel: Reel, laying: Laying) -> Self {
        let left = match reel.plays() {
            Plays::Forever => None,
            Plays::Times(n) => Some(n.max(1)),
        };
        Self {
            averager: Averager::new(),
            laying,
            changed: true,
            lasts: reel.first_for(),
            until: reel.first_for(),
            round_began: Duration::ZERO,
            laid: 1,
            round: None,
            left,
            state: State::Playing,
            reel,
        }
    }

    /// Brings the canvas to the frame that is due.
    fn advance(&mut self, at: Duration) -> Result<(), PictureError> {
        self.skip_rounds(at);
        let mut decoded = 0;
        while self.state == State::Playing && at >= self.until {
            if decoded >= CATCH_UP_PIXELS {
                self.slip(at);
                break;
            }
            decoded += self.reel.pixels();
            match self.reel.next()? {
                Some(lasts) => self.laid_one(lasts),
                None => self.end_round(at)?,
            }
        }
        Ok(())
    }

    fn laid_one(&mut self, lasts: Duration) {
        self.lasts = lasts;
        self.until += lasts;
        self.laid += 1;
        self.changed = true;
    }

    fn end_round(&mut self, at: Duration) -> Result<(), PictureError> {
        if self.laid == 1 {
            self.state = State::Holding;
            return Ok(());
        }
        self.left = self.left.map(|left| left.saturating_sub(1));
        if self.left == Some(0) {
            self.state = State::Ended;
            return Ok(());
        }
        self.round = Some(self.until.saturating_sub(self.round_began));
        self.round_began = self.until;
        self.skip_rounds(at);
        self.reel.rewind()?;
        self.laid = 0;
        self.laid_one(self.reel.first_for());
        Ok(())
    }

    /// Passes over whole rounds without decoding them, all but the last.
    fn skip_rounds(&mut self, at: Duration) {
        let Some(round) = self.round.filter(|round| !round.is_zero()) else { return };
        let behind = at.saturating_sub(self.until).as_nanos() / round.as_nanos();
        let most = self.left.map_or(u32::MAX, |left| left.saturating_sub(1));
        let rounds = u32::try_from(behind).unwrap_or(u32::MAX).min(most);
        let skipped = round.saturating_mul(rounds);
        self.until = self.until.saturating_add(skipped);
        self.round_began = self.round_began.saturating_add(skipped);
        self.left = self.left.map(|left| left - rounds);
    }

    /// Lets the time lost go: the frame on the canvas is due now.
    fn slip(&mut self, at: Duration) {
        let until = at + self.lasts;
        self.round_began += until.saturating_sub(self.until);
        self.until = until;
    }
}

impl Source for Animation {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let advanced = self.advance(at);
        if advanced.is_err() {
            self.state = State::Ended;
        }
        let drawn = if self.changed || into.is_blank() || advanced.is_err() {
            if let Some(raster) = self.reel.raster() {
                self.averager.draw(raster, self.laying, into);
            }
            self.changed = false;
            Drawn::New
        } else if self.state == State::Ended {
            Drawn::Ended
        } else {
            Drawn::Same
        };
        advanced?;
        Ok(drawn)
    }
}
