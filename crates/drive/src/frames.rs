//! Where frames come from.

use std::time::Duration;

use crate::Rate;

/// What a source did with the frame that it was asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// Every byte was written.
    New,
    /// Every byte was written, but not with what the source should have drawn.
    Marred(FrameError),
    /// The frame is the one before; the bytes that were lent are not looked at.
    Same,
}

/// Why a source has no frame: one line for people, no full stop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FrameError(pub String);

impl std::fmt::Display for FrameError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for FrameError {}

/// Anything that draws frames.
pub trait Frames: Send {
    /// Draws the frame for the time `at` after the show began. Times rise from call to call; frames
    /// that nobody would see in time are not asked for.
    ///
    /// `into` has [`frame_bytes`](glowloom_wire::Patch::frame_bytes) bytes: rows from the top, the
    /// slots of a pixel together, red first. It holds an older frame or zeros, so every byte has to
    /// be written.
    ///
    /// # Errors
    /// [`FrameError`] leaves the last frame on the panels; the source is asked again.
    fn frame(&mut self, at: Duration, into: &mut [u8]) -> Result<Change, FrameError>;

    /// Frames come at another rate from now on.
    fn paced(&mut self, _rate: Rate) {}

    /// How many frames had to be dimmed so far, so that no supply, wire or joint is overloaded.
    fn dimmed(&self) -> u64 {
        0
    }
}
