//! GIF: frames of palette colours, one of which may be transparent.

use std::io::{Chain, Cursor, Read};
use std::num::NonZeroU64;
use std::sync::Arc;
use std::time::Duration;

use ::gif::{DecodeOptions, Decoder, DecodingError, DisposalMethod, MemoryLimit, Repeat};

use super::canvas::{Blend, Canvas, Dispose, Place};
use super::{Format, Frames, MOST_PIXELS, Opened, PictureError, Plays, check_size, shown_for};

/// The byte that ends a GIF. One more is put behind the file: many files lack it, and where one is
/// cut off in the middle of a frame it is not taken for an end.
const TRAILER: &[u8] = b";";

type GifDecoder = Decoder<Chain<Cursor<Arc<[u8]>>, &'static [u8]>>;

pub(super) fn open(bytes: &Arc<[u8]>) -> Result<Opened, PictureError> {
    let [w0, w1, h0, h1] = *bytes.get(6..10).unwrap_or_default() else {
        return Err(PictureError::EndsEarly { format: Format::Gif, frame: 1 });
    };
    let size = (u32::from(u16::from_le_bytes([w0, w1])), u32::from(u16::from_le_bytes([h0, h1])));
    check_size(Format::Gif, size)?;
    let mut options = DecodeOptions::new();
    // Indices, one byte to a pixel.
    if let Some(limit) = NonZeroU64::new(MOST_PIXELS) {
        options.set_memory_limit(MemoryLimit::Bytes(limit));
    }
    let decoder = options
        .read_info(Cursor::new(Arc::clone(bytes)).chain(TRAILER))
        .map_err(|error| tell(bytes, 1, error))?;
    // The number in the file counts repetitions, so the first play comes on top: common practice
    // of browsers, from memory. A file without a number is read as 0 repetitions.
    let plays = match decoder.repeat() {
        Repeat::Infinite => Plays::Forever,
        Repeat::Finite(n) => Plays::Times(u32::from(n) + 1),
    };
    let frames = GifFrames {
        bytes: Arc::clone(bytes),
        decoder,
        indices: Vec::new(),
        rgba: Vec::new(),
        read: 0,
    };
    Ok(Opened::Animated { format: Format::Gif, size, plays, frames: Box::new(frames) })
}

struct GifFrames {
    bytes: Arc<[u8]>,
    decoder: GifDecoder,
    indices: Vec<u8>,
    rgba: Vec<u8>,
    read: u32,
}

impl Frames for GifFrames {
    fn next(&mut self, canvas: &mut Canvas) -> Result<Option<Duration>, PictureError> {
        let number = self.read + 1;
        let wrong = |error| tell(&self.bytes, number, error);
        let Some(frame) = self.decoder.next_frame_info().map_err(wrong)? else {
            return Ok(None);
        };
        let place = Place {
            left: u32::from(frame.left),
            top: u32::from(frame.top),
            width: u32::from(frame.width),
            height: u32::from(frame.height),
        };
        let transparent = frame.transparent;
        let dispose = match frame.dispose {
            DisposalMethod::Any | DisposalMethod::Keep => Dispose::Keep,
            DisposalMethod::Background => Dispose::Clear,
            DisposalMethod::Previous => Dispose::Restore,
        };
        let shown = shown_for(Duration::from_millis(u64::from(frame.delay) * 10));
        check_size(Format::Gif, (place.width, place.height))?;
        self.indices.resize(place.width as usize * place.height as usize, 0);
        self.decoder.read_into_buffer(&mut self.indices).map_err(wrong)?;
        self.read = number;
        let palette = self.decoder.palette().map_err(wrong)?.as_chunks::<3>().0;
        self.rgba.clear();
        self.rgba.extend(self.indices.iter().flat_map(|&index| {
            // An index without a colour shows what is under it, as a transparent one does.
            match palette.get(usize::from(index)) {
                Some(&[r, g, b]) if transparent != Some(index) => [r, g, b, 255],
                _ => [0; 4],
            }
        }));
        canvas.lay(place, &self.rgba, Blend::Over, dispose);
        Ok(Some(shown))
    }
}

fn tell(bytes: &[u8], frame: u32, error: DecodingError) -> PictureError {
    let format = Format::Gif;
    if is_cut(bytes) {
        return PictureError::EndsEarly { format, frame };
    }
    PictureError::Broken { format, frame, what: error.to_string() }
}

/// Whether the file ends inside of a block. The decoder cannot always tell: what it finds there may
/// look like wrong data before it runs out.
///
/// Blocks as in the GIF89a specification, from memory: an extension is a byte for its kind and
/// sub-blocks; a picture is nine bytes, perhaps colours, a byte for its codes and sub-blocks.
fn is_cut(bytes: &[u8]) -> bool {
    // The header of 6 bytes and the screen of 7, with its colours.
    let Some(&flags) = bytes.get(10) else { return true };
    let mut at = 13 + colours(flags);
    loop {
        let behind = match bytes.get(at) {
            Some(0x21) => at + 2,
            Some(0x2C) => match bytes.get(at + 9) {
                Some(&flags) => at + 11 + colours(flags),
                None => return true,
            },
            // The end, said or not, or something that is no block.
            _ => return at > bytes.len(),
        };
        match after_sub_blocks(bytes, behind) {
            Some(next) => at = next,
            None => return true,
        }
    }
}

/// The length of a table of colours, by the flags before it.
fn colours(flags: u8) -> usize {
    if flags & 0x80 == 0 { 0 } else { 3 << ((flags & 7) + 1) }
}

/// Where the sub-blocks that start at `at` end; `None` if the file ends before.
fn after_sub_blocks(bytes: &[u8], mut at: usize) -> Option<usize> {
    loop {
        match *bytes.get(at)? {
            0 => return Some(at + 1),
            length => at += 1 + usize::from(length),
        }
    }
}
