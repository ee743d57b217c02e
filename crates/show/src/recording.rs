//! What was sent, kept exactly: each frame of device bytes as a PNG of its own, with what it takes to send the same
//! bytes again.
//!
//! The file says that its gamma is 1, so that a viewer that heeds it shows device bytes as they look. Of pixels of
//! four channels the white is kept below the colours, as grey, in a picture of twice the rows: a picture's fourth channel
//! would be taken for transparency.

use std::fmt;
use std::io::Cursor;
use std::time::Duration;

use ::png::text_metadata::TEXtChunk;
use ::png::{BitDepth, ColorType, Compression, Decoder, Encoder, Limits, ScaledFloat};

use crate::finish::Channels;
use crate::raster::LONGEST_SIDE;

/// Under which word the file says what it is.
const KEYWORD: &str = "Glowloom";
/// What the decoder may take besides the picture.
const DECODER_BYTES: usize = 16 << 20;

/// What a recorded frame is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Head {
    /// Pixels of the wall across.
    pub columns: u32,
    /// And down.
    pub rows: u32,
    /// What the bytes of a pixel are.
    pub channels: Channels,
}

/// One frame of a recording.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recorded {
    /// What it is of.
    pub head: Head,
    /// How long after the first one it is due.
    pub at: Duration,
    /// The bytes that were sent: row by row from the top left, red, green, blue (and white) of each pixel.
    pub bytes: Vec<u8>,
}

/// Why a file is no frame of a recording.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum RecordingError {
    /// Not as many bytes as the wall has.
    Bytes {
        /// As many.
        found: usize,
        /// As many it should be.
        wanted: usize,
    },
    /// No PNG that can be read: why, in the decoder's words.
    Broken(String),
    /// A PNG, but not of a recording.
    NoRecording,
    /// A recording by another version.
    Unknown(String),
}

impl fmt::Display for RecordingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Bytes { found, wanted } => {
                write!(f, "a frame has {found} bytes, and the wall has {wanted}")
            }
            Self::Broken(why) => write!(f, "it is broken: {why}"),
            Self::NoRecording => f.write_str(
                "it is a picture and no frame of a recording, which `glowloom show --record` writes",
            ),
            Self::Unknown(text) => write!(f, "it says that it is {text:?}, which is not known here"),
        }
    }
}

impl std::error::Error for RecordingError {}

impl Head {
    /// Bytes of a frame.
    #[must_use]
    pub fn frame_bytes(&self) -> usize {
        self.columns as usize * self.rows as usize * self.channels.count()
    }

    fn picture_rows(&self) -> u32 {
        match self.channels {
            Channels::Rgb => self.rows,
            Channels::Rgbw => self.rows * 2,
        }
    }
}

impl Recorded {
    /// A frame as a PNG file. The same frame gives the same bytes.
    ///
    /// # Errors
    /// Where the bytes are not those of the wall.
    pub fn encode(head: Head, at: Duration, bytes: &[u8]) -> Result<Vec<u8>, RecordingError> {
        let wanted = head.frame_bytes();
        if bytes.len() != wanted || wanted == 0 {
            return Err(RecordingError::Bytes { found: bytes.len(), wanted });
        }
        let Head { columns, rows, channels } = head;
        let count = channels.count();
        let nanoseconds = at.as_nanos();
        let text = format!(
            "recording 1: {columns} x {rows} pixels of {count} bytes, {nanoseconds} ns after the first"
        );
        let apart = (channels == Channels::Rgbw).then(|| {
            let (pixels, _) = bytes.as_chunks::<4>();
            let colours = pixels.iter().flat_map(|&[red, green, blue, _]| [red, green, blue]);
            colours.chain(pixels.iter().flat_map(|&[.., white]| [white; 3])).collect::<Vec<u8>>()
        });
        let mut file = Cursor::new(Vec::new());
        let write = |file: &mut Cursor<Vec<u8>>| {
            let mut encoder = Encoder::new(file, columns, head.picture_rows());
            encoder.set_color(ColorType::Rgb);
            encoder.set_depth(BitDepth::Eight);
            encoder.set_compression(Compression::Fast);
            encoder.set_source_gamma(ScaledFloat::new(1.0));
            encoder.add_text_chunk(KEYWORD.into(), text)?;
            let mut writer = encoder.write_header()?;
            writer.write_image_data(apart.as_deref().unwrap_or(bytes))?;
            writer.finish()
        };
        write(&mut file).map_err(|error| RecordingError::Broken(error.to_string()))?;
        Ok(file.into_inner())
    }

    /// Reads a frame back.
    ///
    /// # Errors
    /// Where the file is not one that [`Recorded::encode`] made.
    pub fn decode(file: &[u8]) -> Result<Self, RecordingError> {
        let wrong = |error: ::png::DecodingError| RecordingError::Broken(error.to_string());
        let limits = Limits { bytes: DECODER_BYTES };
        let decoder = Decoder::new_with_limits(Cursor::new(file), limits);
        let mut reader = decoder.read_info().map_err(wrong)?;
        let info = reader.info();
        let said = |text: &&TEXtChunk| text.keyword == KEYWORD;
        let text = info.uncompressed_latin1_text.iter().find(said);
        let text = text.map(|text| text.text.clone()).ok_or(RecordingError::NoRecording)?;
        let (head, at) = understood(&text)
            .ok_or_else(|| RecordingError::Unknown(text.chars().take(80).collect()))?;
        let size = (info.width, info.height, info.color_type, info.bit_depth);
        if size != (head.columns, head.picture_rows(), ColorType::Rgb, BitDepth::Eight) {
            return Err(RecordingError::Broken("its size is not the one that it tells".into()));
        }
        let mut pixels = vec![0; head.columns as usize * head.picture_rows() as usize * 3];
        reader.next_frame(&mut pixels).map_err(wrong)?;
        let bytes = match head.channels {
            Channels::Rgb => pixels,
            Channels::Rgbw => {
                let (colours, white) = pixels.split_at(pixels.len() / 2);
                let (colours, white) = (colours.as_chunks::<3>().0, white.as_chunks::<3>().0);
                let pixels = colours.iter().zip(white);
                pixels.flat_map(|(&[r, g, b], &[white, ..])| [r, g, b, white]).collect()
            }
        };
        Ok(Self { head, at, bytes })
    }
}

/// What the text in a file says.
fn understood(text: &str) -> Option<(Head, Duration)> {
    let (size, rest) = text.strip_prefix("recording 1: ")?.split_once(" pixels of ")?;
    let (columns, rows) = size.split_once(" x ")?;
    let (count, at) = rest.split_once(" bytes, ")?;
    let side = |text: &str| text.parse().ok().filter(|side| (1..=LONGEST_SIDE / 2).contains(side));
    let channels = match count {
        "3" => Channels::Rgb,
        "4" => Channels::Rgbw,
        _ => return None,
    };
    let at = at.strip_suffix(" ns after the first")?.parse().ok()?;
    let head = Head { columns: side(columns)?, rows: side(rows)?, channels };
    Some((head, Duration::from_nanos(at)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const HEAD: Head = Head { columns: 3, rows: 2, channels: Channels::Rgb };

    proptest! {
        /// Every byte and the time come back as they were.
        #[test]
        fn frames_come_back(white: bool, columns in 1u32..20, rows in 1u32..20, at: u64, seed: u8) {
            let channels = if white { Channels::Rgbw } else { Channels::Rgb };
            let head = Head { columns, rows, channels };
            let bytes: Vec<u8> =
                (0..head.frame_bytes()).map(|n| (n as u8).wrapping_mul(31).wrapping_add(seed)).collect();
            let at = Duration::from_nanos(at);
            let file = Recorded::encode(head, at, &bytes).unwrap();
            prop_assert_eq!(Recorded::decode(&file), Ok(Recorded { head, at, bytes }));
        }

        #[test]
        fn broken_files_are_told(at in 0usize..200, byte: u8) {
            let mut file = Recorded::encode(HEAD, Duration::ZERO, &[7; 18]).unwrap();
            // What stands behind the pixels tells nothing.
            let at = at % (file.len() - 20);
            file[at] = byte;
            // Whatever comes of it: no panic.
            let _ = Recorded::decode(&file);
            prop_assert!(Recorded::decode(&file[..at]).is_err());
        }
    }

    #[test]
    fn other_pictures_are_refused() {
        let picture = crate::png::encode_rgb8(3, 2, &[1; 18]).unwrap();
        assert_eq!(Recorded::decode(&picture), Err(RecordingError::NoRecording));
        assert!(matches!(Recorded::decode(b"words"), Err(RecordingError::Broken(_))));
        assert_eq!(
            Recorded::encode(HEAD, Duration::ZERO, &[1; 17]),
            Err(RecordingError::Bytes { found: 17, wanted: 18 })
        );
        for text in [
            "recording 2: 3 x 2 pixels of 3 bytes, 0 ns after the first",
            "recording 1: 3 x 2 pixels of 5 bytes, 0 ns after the first",
            "recording 1: 0 x 2 pixels of 3 bytes, 0 ns after the first",
            "recording 1: 60000 x 2 pixels of 3 bytes, 0 ns after the first",
        ] {
            assert_eq!(understood(text), None, "{text}");
        }
    }
}
