//! What was kept of a show, sent again: the very bytes, past no colours, brightness or dither, which they have been
//! through.
//!
//! They have passed the flash guard as well. Each frame is sealed to the one before it, and one that is not as it was
//! recorded, or out of its place, is not sent; so nothing flashes that did not pass. What is new is the turn from the last
//! frame to the first one: both stay for a second then, longer than the guard's window. Bytes above the ceiling are held to it
//! and frames above a limit of the supplies dimmed, for these may have changed since; of the same wall not a byte is.

use std::time::Duration;

use glowloom_show::Channels;
use glowloom_show::recording::{Head, Recorded, Seal};
use glowloom_wire::{Patch, patch};

use crate::{Change, DriveError, FrameError, Frames, SupplyGuard};

/// How long the last frame and the first one stay at the turn.
const TURN: Duration = Duration::from_secs(1);
/// Ticks are rounded up to nanoseconds; a frame is due as well if so little is wanting.
const SLACK: Duration = Duration::from_micros(1);

/// Where a recording is read from: frame after frame.
pub trait Reel: Send {
    /// The next frame; `None` at the end.
    ///
    /// # Errors
    /// Why it cannot be read, in one line with no full stop; the one after it may be.
    fn next(&mut self) -> Option<Result<Recorded, String>>;

    /// Begins anew.
    fn rewind(&mut self);
}

/// A recording as frames for the panels, over and over.
pub struct Replay {
    reel: Box<dyn Reel>,
    head: Head,
    ceiling: u8,
    supply: Option<SupplyGuard>,
    /// The frame that is shown, as it was kept.
    shown: Vec<u8>,
    /// The one that the supply guard is to hold, before it does.
    whole: Vec<u8>,
    next: Option<Recorded>,
    seal: Seal,
    /// The show's time at the recording's first frame, in its first turn and in those after it.
    began: Option<Duration>,
    /// When the last frame that was shown was due.
    last: Duration,
    trouble: Option<String>,
}

impl Replay {
    /// Reads the first frame, and sees that it is of this wall.
    ///
    /// # Errors
    /// [`DriveError::Replay`]: there is none, or it is of another wall.
    pub fn new(reel: Box<dyn Reel>, patch: &Patch) -> Result<Self, DriveError> {
        let common = patch.common();
        let channels = match common.channels {
            patch::Channels::Three => Channels::Rgb,
            patch::Channels::Four => Channels::Rgbw,
        };
        let head = Head { columns: common.columns, rows: common.rows, channels };
        let mut replay = Self {
            reel,
            head,
            ceiling: common.ceiling,
            supply: SupplyGuard::of(patch),
            shown: vec![0; head.frame_bytes()],
            whole: vec![0; head.frame_bytes()],
            next: None,
            seal: Seal::START,
            began: None,
            last: Duration::ZERO,
            trouble: None,
        };
        replay.next = replay.read();
        match (replay.trouble.take(), &replay.next) {
            (Some(why), _) => Err(DriveError::Replay(why)),
            (None, None) => Err(DriveError::Replay("there is no frame in it".into())),
            (None, Some(_)) => Ok(replay),
        }
    }

    /// Takes the frame that is due.
    fn take(&mut self, at: Duration) {
        let mut began = *self.began.get_or_insert(at);
        if self.next.is_none() && at.saturating_sub(began) > self.last.saturating_add(TURN) {
            // A recording that ends with trouble ends there.
            if self.trouble.is_none() {
                self.reel.rewind();
                (self.seal, self.last) = (Seal::START, Duration::ZERO);
                self.next = self.read();
                if let Some(first) = &mut self.next {
                    self.shown.copy_from_slice(&first.bytes);
                    self.next = self.read();
                }
                began = at.saturating_add(TURN);
                self.began = Some(began);
            }
        }
        let due = at.saturating_add(SLACK).checked_sub(began);
        let is_due = |next: &Recorded| due.is_some_and(|due| next.at <= due);
        while let Some(next) = self.next.take_if(|next| is_due(next)) {
            self.last = next.at;
            self.shown.copy_from_slice(&next.bytes);
            self.next = self.read();
        }
    }

    /// The next frame, if it is of this wall and the one that was recorded next.
    fn read(&mut self) -> Option<Recorded> {
        let why = match self.reel.next()? {
            Ok(next) => match (of_another_wall(self.head, next.head), next.follows(self.seal)) {
                (None, Ok(())) => {
                    self.seal = next.seal;
                    return Some(next);
                }
                (Some(why), _) => why,
                (None, Err(error)) => error.to_string(),
            },
            Err(why) => why,
        };
        self.trouble = Some(why);
        None
    }
}

/// Why a frame is not one of this wall, if it is not.
fn of_another_wall(wall: Head, found: Head) -> Option<String> {
    let told = |head: Head| {
        format!("{} x {} pixels of {} bytes", head.columns, head.rows, head.channels.count())
    };
    (wall != found).then(|| format!("it is of {}, and the wall has {}", told(found), told(wall)))
}

impl Frames for Replay {
    fn frame(&mut self, at: Duration, into: &mut [u8]) -> Result<Change, FrameError> {
        if into.len() != self.shown.len() {
            return Err(FrameError("the recording is of another wall".into()));
        }
        self.take(at);
        for (byte, shown) in into.iter_mut().zip(&self.shown) {
            *byte = (*shown).min(self.ceiling);
        }
        if let Some(supply) = &mut self.supply {
            let whole = &mut self.whole;
            whole.copy_from_slice(into);
            let dimmed = |share: f32, into: &mut [u8]| {
                for (byte, whole) in into.iter_mut().zip(&*whole) {
                    *byte = (f32::from(*whole) * share) as u8;
                }
            };
            let share = supply.begin(at);
            if share < 1.0 {
                dimmed(share, into);
            }
            supply.hold(into, dimmed);
        }
        match &self.trouble {
            Some(why) if self.next.is_none() => {
                let why =
                    format!("the recording cannot be sent further: {why}; its last frame stays");
                Ok(Change::Marred(FrameError(why)))
            }
            _ => Ok(Change::New),
        }
    }

    fn dimmed(&self) -> u64 {
        self.supply.as_ref().map_or(0, SupplyGuard::held)
    }
}

impl std::fmt::Debug for Replay {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Replay").finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests;
