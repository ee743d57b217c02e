//! What was sent, kept exactly: each frame of device bytes as a PNG of its own, with what it takes to send the same
//! bytes again.
//!
//! The file says that its gamma is 1, so that a viewer that heeds it shows device bytes as they look. Of pixels of
//! four channels the white is kept below the colours, as grey, in a picture of twice the rows: a picture's fourth channel
//! would be taken for transparency.
//!
//! What was recorded has passed the flash guard, and is sent again as it is. So that this holds, each frame carries a seal
//! over itself and the seal before it: a frame that was changed, moved or left out since is refused. The seal (FNV-1a) is
//! against tools and accidents; whoever forges one knows what he does.

pub mod animated;

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
    /// What the file says of itself and all before it.
    pub seal: Seal,
}

/// A number over a frame and all frames before it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Seal(u64);

impl Seal {
    /// What the first frame of a recording follows.
    pub const START: Self = Self(0);

    /// The seal of a frame that follows this one.
    #[must_use]
    pub fn then(self, head: Head, at: Duration, bytes: &[u8]) -> Self {
        let mut seal = 0xcbf2_9ce4_8422_2325_u64;
        let mut add = |bytes: &[u8]| {
            for byte in bytes {
                seal = (seal ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
            }
        };
        add(&self.0.to_le_bytes());
        add(&head.columns.to_le_bytes());
        add(&head.rows.to_le_bytes());
        add(&head.channels.count().to_le_bytes());
        add(&at.as_nanos().to_le_bytes());
        add(bytes);
        Self(seal)
    }
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
    /// It is not the frame that was recorded there.
    Changed,
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
            Self::Changed => f.write_str(
                "it is not as it was recorded, or one before it is missing; pictures that were changed are shown \
                 as pictures",
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
    /// A frame as a PNG file, and its seal. The same frame gives the same bytes.
    ///
    /// # Errors
    /// Where the bytes are not those of the wall.
    pub fn encode(
        head: Head,
        at: Duration,
        bytes: &[u8],
        before: Seal,
    ) -> Result<(Vec<u8>, Seal), RecordingError> {
        let wanted = head.frame_bytes();
        if bytes.len() != wanted || wanted == 0 {
            return Err(RecordingError::Bytes { found: bytes.len(), wanted });
        }
        let Head { columns, rows, channels } = head;
        let count = channels.count();
        let nanoseconds = at.as_nanos();
        let seal = before.then(head, at, bytes);
        let text = format!(
            "recording 1: {columns} x {rows} pixels of {count} bytes, {nanoseconds} ns after the first, seal \
             {:016x}",
            seal.0
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
        Ok((file.into_inner(), seal))
    }

    /// Whether this is the frame that was recorded after the one with that seal.
    ///
    /// # Errors
    /// [`RecordingError::Changed`] if not.
    pub fn follows(&self, before: Seal) -> Result<(), RecordingError> {
        let wanted = before.then(self.head, self.at, &self.bytes);
        if wanted == self.seal { Ok(()) } else { Err(RecordingError::Changed) }
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
        let (head, at, seal) = understood(&text)
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
        Ok(Self { head, at, bytes, seal })
    }
}

/// What the text in a file says.
fn understood(text: &str) -> Option<(Head, Duration, Seal)> {
    let (size, rest) = text.strip_prefix("recording 1: ")?.split_once(" pixels of ")?;
    let (columns, rows) = size.split_once(" x ")?;
    let (count, at) = rest.split_once(" bytes, ")?;
    let side = |text: &str| text.parse().ok().filter(|side| (1..=LONGEST_SIDE / 2).contains(side));
    let channels = match count {
        "3" => Channels::Rgb,
        "4" => Channels::Rgbw,
        _ => return None,
    };
    let (at, seal) = at.split_once(" ns after the first, seal ")?;
    let (at, seal) = (at.parse().ok()?, u64::from_str_radix(seal, 16).ok()?);
    let head = Head { columns: side(columns)?, rows: side(rows)?, channels };
    Some((head, Duration::from_nanos(at), Seal(seal)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const HEAD: Head = Head { columns: 3, rows: 2, channels: Channels::Rgb };

    proptest! {
        /// Every byte and the time come back as they were.
        #[test]
        fn frames_come_back(white: bool, columns in 1u32..20, rows in 1u32..20, at in 0..u64::MAX, seed: u8) {
            let channels = if white { Channels::Rgbw } else { Channels::Rgb };
            let head = Head { columns, rows, channels };
            let bytes: Vec<u8> =
                (0..head.frame_bytes()).map(|n| (n as u8).wrapping_mul(31).wrapping_add(seed)).collect();
            let at = Duration::from_nanos(at);
            let (file, seal) = Recorded::encode(head, at, &bytes, Seal(77)).unwrap();
            let back = Recorded::decode(&file).unwrap();
            prop_assert_eq!(back.follows(Seal(77)), Ok(()));
            prop_assert_eq!(back.follows(Seal::START), Err(RecordingError::Changed));
            prop_assert_eq!(&back, &Recorded { head, at, bytes, seal });
            let mut other = back.clone();
            other.bytes[0] ^= 1;
            prop_assert_eq!(other.follows(Seal(77)), Err(RecordingError::Changed));
            let other = Recorded { at: at + Duration::from_nanos(1), ..back };
            prop_assert_eq!(other.follows(Seal(77)), Err(RecordingError::Changed));
        }

        #[test]
        fn broken_files_are_told(at in 0usize..200, byte: u8) {
            let (mut file, _) = Recorded::encode(HEAD, Duration::ZERO, &[7; 18], Seal::START).unwrap();
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
            Recorded::encode(HEAD, Duration::ZERO, &[1; 17], Seal::START),
            Err(RecordingError::Bytes { found: 17, wanted: 18 })
        );
        for text in [
            "recording 2: 3 x 2 pixels of 3 bytes, 0 ns after the first, seal 00",
            "recording 1: 3 x 2 pixels of 5 bytes, 0 ns after the first, seal 00",
            "recording 1: 0 x 2 pixels of 3 bytes, 0 ns after the first, seal 00",
            "recording 1: 60000 x 2 pixels of 3 bytes, 0 ns after the first, seal 00",
        ] {
            assert_eq!(understood(text), None, "{text}");
        }
    }
}
