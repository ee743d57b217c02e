//! What can be wrong with a picture, in words for the person who chose it.

use std::fmt;

use super::Format;
use crate::raster::LONGEST_SIDE;

/// The most pixels that a picture may have: 100 million, 400 MB once decoded.
pub const MOST_PIXELS: u64 = 100_000_000;

/// Why a picture cannot be shown, or not to its end.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum PictureError {
    /// There are no bytes at all.
    Empty,
    /// The bytes are none of the formats that are read.
    NotAPicture {
        /// The first bytes of the file, at most 8.
        begins: Vec<u8>,
    },
    /// More pixels than [`MOST_PIXELS`], or a side longer than [`LONGEST_SIDE`].
    TooLarge {
        /// What the file is.
        format: Format,
        /// Pixels across, as its header says.
        width: u32,
        /// Pixels down, as its header says.
        height: u32,
    },
    /// A picture with no width or no height.
    NoSize {
        /// What the file is.
        format: Format,
    },
    /// An animation without a single frame.
    NoFrames {
        /// What the file is.
        format: Format,
    },
    /// The file ends before the picture does.
    EndsEarly {
        /// What the file is.
        format: Format,
        /// The frame in which it ends, counted from 1.
        frame: u32,
    },
    /// The file breaks the rules of its format, or uses a part of it that is not read.
    Broken {
        /// What the file is.
        format: Format,
        /// The frame that cannot be read, counted from 1.
        frame: u32,
        /// What is wrong, in the decoder's words.
        what: String,
    },
}

impl fmt::Display for PictureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "the file is empty; {WANTED}"),
            Self::NotAPicture { begins } => {
                write!(f, "not a picture this program reads: it begins with {}", Begins(begins))?;
                write!(f, "; {WANTED}")
            }
            Self::TooLarge { format, width, height } => write!(
                f,
                "{format} picture of {width} x {height} pixels; at most {} million pixels and \
                 {LONGEST_SIDE} on a side can be read: save it smaller",
                MOST_PIXELS / 1_000_000
            ),
            Self::NoSize { format } => write!(
                f,
                "{format} picture without width or height; a picture needs at least one pixel: \
                 save it again"
            ),
            Self::NoFrames { format } => {
                write!(f, "{format} file without a single picture in it: save it again")
            }
            Self::EndsEarly { format, frame } => write!(
                f,
                "{format} file that ends in the middle of {}: copy it again from where it came",
                Frame(*frame)
            ),
            Self::Broken { format, frame, what } => write!(
                f,
                "{format} file with {} that cannot be read ({what}): save it again in a picture \
                 program",
                Frame(*frame)
            ),
        }
    }
}

impl std::error::Error for PictureError {}

const WANTED: &str = "give a PNG, JPEG, GIF, APNG or WebP picture";

/// "its picture" for the first frame, which a still has too; "frame 12" for a later one.
struct Frame(u32);

impl fmt::Display for Frame {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            1 => write!(f, "its first picture"),
            n => write!(f, "frame {n}"),
        }
    }
}

/// The first bytes of a file: as text if they are plain letters, else in hexadecimal.
struct Begins<'a>(&'a [u8]);

impl fmt::Display for Begins<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match std::str::from_utf8(self.0) {
            Ok(text) if text.chars().all(|c| c.is_ascii_graphic() || c == ' ') => {
                write!(f, "\"{text}\"")
            }
            _ => {
                let hex: Vec<String> = self.0.iter().map(|byte| format!("{byte:02x}")).collect();
                write!(f, "the bytes {}", hex.join(" "))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_say_what_was_found_and_what_to_do() {
        let say = |error: PictureError| error.to_string();
        assert_eq!(
            say(PictureError::TooLarge { format: Format::Png, width: 60_000, height: 60_000 }),
            "PNG picture of 60000 x 60000 pixels; at most 100 million pixels and 65535 on a side \
             can be read: save it smaller"
        );
        assert_eq!(
            say(PictureError::NotAPicture { begins: b"Dear all".to_vec() }),
            "not a picture this program reads: it begins with \"Dear all\"; give a PNG, JPEG, GIF, \
             APNG or WebP picture"
        );
        assert_eq!(
            say(PictureError::NotAPicture { begins: vec![0, 0xFF] }),
            "not a picture this program reads: it begins with the bytes 00 ff; give a PNG, JPEG, \
             GIF, APNG or WebP picture"
        );
        assert_eq!(
            say(PictureError::EndsEarly { format: Format::Gif, frame: 12 }),
            "GIF file that ends in the middle of frame 12: copy it again from where it came"
        );
    }
}
