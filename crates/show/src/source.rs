//! What yields frames.

use std::fmt;
use std::time::Duration;

use crate::frame::LinearFrame;
use crate::picture::PictureError;

/// Anything that yields frames of the wall: a picture, an animation, light made by code.
///
/// A source reads no clock. It is told how long ago it began, and the same times give the same
/// frames.
pub trait Source: Send {
    /// Draws what is to be seen `at` this long after the source began. Times never go back; they may
    /// skip.
    ///
    /// A source writes every pixel of `into` or none. It draws all of it when `into` is blank
    /// ([`LinearFrame::is_blank`]); else the caller vouches that what this source drew last is still
    /// to hand, though not that it is still in `into`.
    ///
    /// # Errors
    /// When the source cannot go on as it should. `into` is then drawn, with the last good picture,
    /// and later calls go on with that one.
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError>;
}

/// What a call of [`Source::draw`] did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drawn {
    /// The frame was drawn.
    New,
    /// Nothing has changed since the last call; nothing was drawn.
    Same,
    /// The source has come to its end and its last picture stays; nothing was drawn.
    Ended,
}

/// Why a source cannot go on as it should.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum SourceError {
    /// A later part of a picture's file cannot be read.
    Picture(PictureError),
    /// No more frames come from elsewhere, or none have come yet: why, in one line with no full stop.
    Frames(String),
}

impl fmt::Display for SourceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Picture(error) => write!(f, "{error}; the last good picture stays"),
            Self::Frames(why) => f.write_str(why),
        }
    }
}

impl std::error::Error for SourceError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Picture(error) => Some(error),
            Self::Frames(_) => None,
        }
    }
}

impl From<PictureError> for SourceError {
    fn from(error: PictureError) -> Self {
        Self::Picture(error)
    }
}
