//! Pictures as they come in files: PNG, JPEG, GIF, APNG and WebP, told apart by their content.
//!
//! An animation is decoded as it is played: the compressed bytes are held, and one canvas. What a
//! file can make this program take is bounded: 400 MB for a picture of [`MOST_PIXELS`], three times
//! that for an animation (canvas, frame, and what is under it), and what the decoder of the format
//! needs besides, at most about as much again. Sizes are checked in the header before any of it is
//! taken.

mod canvas;
mod error;
mod gif;
mod jpeg;
mod png;
mod turn;
mod webp;

use std::sync::Arc;
use std::time::Duration;

use self::canvas::Canvas;
use crate::animation::Animation;
use crate::raster::{LONGEST_SIDE, Layout, Raster};
use crate::sizing::Laying;
use crate::source::Source;
use crate::still::Still;

pub use self::error::{MOST_PIXELS, PictureError};
pub(crate) use self::turn::Turn;

/// How a picture is stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Format {
    /// Portable Network Graphics: one picture.
    Png,
    /// JPEG: one picture.
    Jpeg,
    /// GIF: one picture or several.
    Gif,
    /// Animated PNG.
    Apng,
    /// WebP: one picture or several.
    WebP,
}

impl Format {
    /// What a file is by its first bytes; 12 are enough. `None`: no picture that is known.
    #[must_use]
    pub fn of(first: &[u8]) -> Option<Self> {
        detect(first).ok()
    }
}

impl std::fmt::Display for Format {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Png => "PNG",
            Self::Jpeg => "JPEG",
            Self::Gif => "GIF",
            Self::Apng => "APNG",
            Self::WebP => "WebP",
        })
    }
}

/// A frame said to be shown for this long or less is shown for [`SHORT_FRAME`]: common practice of
/// browsers, no source.
pub const TOO_SHORT: Duration = Duration::from_millis(10);

/// What a frame that says no or hardly any time is shown for.
pub const SHORT_FRAME: Duration = Duration::from_millis(100);

/// How long a frame is shown, if its file says `said`.
fn shown_for(said: Duration) -> Duration {
    if said <= TOO_SHORT { SHORT_FRAME } else { said }
}

/// How often an animation is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Plays {
    /// Again and again.
    Forever,
    /// This many times in all; the last frame then stays.
    Times(u32),
}

/// The frames of an animation, one after the other.
pub(crate) trait Frames: Send {
    /// Decodes the next frame and lays it on the canvas; how long it is shown, or `None` when all
    /// have been.
    fn next(&mut self, canvas: &mut Canvas) -> Result<Option<Duration>, PictureError>;
}

/// One decoded picture.
#[derive(Debug)]
pub(crate) struct Bitmap {
    width: u32,
    height: u32,
    layout: Layout,
    bytes: Vec<u8>,
}

impl Bitmap {
    pub(crate) fn raster(&self) -> Option<Raster<'_>> {
        Raster::new(self.width, self.height, self.layout, &self.bytes)
    }
}

/// A picture whose file has been looked into: it can be shown, at least its first frame.
pub struct Picture {
    format: Format,
    size: (u32, u32),
    content: Content,
}

enum Content {
    Still { bytes: Arc<[u8]>, bitmap: Bitmap, turn: Turn },
    Animated(Box<Reel>),
}

/// An animation with its first frame on the canvas.
pub(crate) struct Reel {
    bytes: Arc<[u8]>,
    format: Format,
    plays: Plays,
    frames: Box<dyn Frames>,
    canvas: Canvas,
    first_for: Duration,
}

impl Picture {
    /// Reads a picture from the bytes of its file and decodes its first frame.
    ///
    /// # Errors
    /// When the bytes are no picture that is read, when the picture is too large, and when its
    /// first frame is broken. What is wrong with a later frame is told when it is due.
    pub fn open(bytes: impl Into<Arc<[u8]>>) -> Result<Self, PictureError> {
        let bytes = bytes.into();
        match open(&bytes)? {
            Opened::Still { format, bitmap, turn } => {
                let size = turn.turned((bitmap.width, bitmap.height));
                Ok(Self { format, size, content: Content::Still { bytes, bitmap, turn } })
            }
            Opened::Animated { format, size, plays, mut frames } => {
                let mut canvas = Canvas::new(size.0, size.1);
                let first_for =
                    frames.next(&mut canvas)?.ok_or(PictureError::NoFrames { format })?;
                let reel = Reel { bytes, format, plays, frames, canvas, first_for };
                Ok(Self { format, size, content: Content::Animated(Box::new(reel)) })
            }
        }
    }

    /// How the picture is stored.
    #[must_use]
    pub fn format(&self) -> Format {
        self.format
    }

    /// Pixels across and down, as the picture is to be seen.
    #[must_use]
    pub fn size(&self) -> (u32, u32) {
        self.size
    }

    /// Whether it is made to have several frames.
    #[must_use]
    pub fn is_animated(&self) -> bool {
        matches!(self.content, Content::Animated(_))
    }

    /// The picture as a source, laid on the wall as a [`Sizing`](crate::Sizing) or a [`Laying`] says.
    #[must_use]
    pub fn into_source(self, laying: impl Into<Laying>) -> Box<dyn Source> {
        let laying = laying.into();
        match self.content {
            Content::Still { bytes, bitmap, turn } => {
                Box::new(Still::new(bytes, bitmap, turn, laying))
            }
            Content::Animated(reel) => Box::new(Animation::new(*reel, laying)),
        }
    }
}

impl std::fmt::Debug for Picture {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Picture")
            .field("format", &self.format)
            .field("size", &self.size)
            .finish_non_exhaustive()
    }
}

impl Reel {
    /// How long the first frame is shown.
    pub(crate) fn first_for(&self) -> Duration {
        self.first_for
    }

    /// How often the animation is played.
    pub(crate) fn plays(&self) -> Plays {
        self.plays
    }

    /// Pixels of the canvas.
    pub(crate) fn pixels(&self) -> u64 {
        self.raster().map_or(1, |raster| u64::from(raster.width()) * u64::from(raster.height()))
    }

    /// The frame on the canvas.
    pub(crate) fn raster(&self) -> Option<Raster<'_>> {
        self.canvas.raster()
    }

    /// Lays the next frame; how long it is shown, or `None` when all have been.
    pub(crate) fn next(&mut self) -> Result<Option<Duration>, PictureError> {
        self.frames.next(&mut self.canvas)
    }

    /// Starts again, with the first frame on an empty canvas.
    pub(crate) fn rewind(&mut self) -> Result<(), PictureError> {
        if let Opened::Animated { frames, .. } = open(&self.bytes)? {
            self.frames = frames;
            self.canvas.clear();
            self.first_for = self.next()?.ok_or(PictureError::NoFrames { format: self.format })?;
        }
        Ok(())
    }
}

/// A file looked into by the decoder of its format: a still is decoded, an animation is not yet.
enum Opened {
    Still { format: Format, bitmap: Bitmap, turn: Turn },
    Animated { format: Format, size: (u32, u32), plays: Plays, frames: Box<dyn Frames> },
}

fn open(bytes: &Arc<[u8]>) -> Result<Opened, PictureError> {
    match detect(bytes)? {
        Format::Png | Format::Apng => png::open(bytes),
        Format::Gif => gif::open(bytes),
        Format::WebP => webp::open(bytes),
        Format::Jpeg => jpeg::open(bytes),
    }
}

/// Decodes a still once more, from the bytes that it was opened from.
pub(crate) fn decode_still(bytes: &Arc<[u8]>) -> Result<Bitmap, PictureError> {
    match open(bytes)? {
        Opened::Still { bitmap, .. } => Ok(bitmap),
        Opened::Animated { format, .. } => Err(PictureError::NoFrames { format }),
    }
}

/// Tells formats apart by the first bytes: the signatures of the formats' specifications.
fn detect(bytes: &[u8]) -> Result<Format, PictureError> {
    match bytes {
        [] => Err(PictureError::Empty),
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1A, b'\n', ..] => Ok(Format::Png),
        [0xFF, 0xD8, 0xFF, ..] => Ok(Format::Jpeg),
        [b'G', b'I', b'F', b'8', b'7' | b'9', b'a', ..] => Ok(Format::Gif),
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Ok(Format::WebP),
        _ => {
            let begins = bytes.iter().copied().take(8).collect();
            Err(PictureError::NotAPicture { begins })
        }
    }
}

/// Refuses sizes before anything is decoded.
fn check_size(format: Format, (width, height): (u32, u32)) -> Result<(), PictureError> {
    if width == 0 || height == 0 {
        return Err(PictureError::NoSize { format });
    }
    let pixels = u64::from(width) * u64::from(height);
    if pixels > MOST_PIXELS || width.max(height) > LONGEST_SIDE {
        return Err(PictureError::TooLarge { format, width, height });
    }
    Ok(())
}
