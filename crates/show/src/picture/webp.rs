//! WebP, still and animated.
//!
//! The container is walked here and each frame handed to the decoder as a picture of its own, so
//! that the sizes of all parts are checked first, and the canvas keeps the rules of disposal.

use std::io::{Cursor, ErrorKind};
use std::ops::Range;
use std::sync::Arc;
use std::time::Duration;

use image_webp::{DecodingError, WebPDecoder};

use super::canvas::{Blend, Canvas, Dispose, Place};
use super::{Bitmap, Format, Frames, Opened, PictureError, Plays, Turn, check_size, shown_for};
use crate::raster::Layout;

/// Bytes before the first chunk: "RIFF", a length, "WEBP".
const RIFF_HEADER: usize = 12;
/// Bytes of a frame's chunk before its picture.
const FRAME_HEADER: usize = 16;

/// The file without what may hang on behind the length that its header gives.
fn inside_riff(file: &[u8]) -> &[u8] {
    let Some(&[l0, l1, l2, l3]) = file.get(4..8) else { return file };
    let end = (u32::from_le_bytes([l0, l1, l2, l3]) as usize).saturating_add(8);
    file.get(..end).unwrap_or(file)
}

/// One chunk of the container: its name and where its content lies.
struct Chunk {
    name: [u8; 4],
    content: Range<usize>,
}

/// The chunk at `at`, and where the next one begins. `None` at the end of `bytes`.
///
/// A name of four letters, the length of the content (32 bits, little-endian), the content, and a
/// byte more if the length is odd (RFC 9649 section 2.3, from memory).
fn chunk(bytes: &[u8], at: usize) -> Result<Option<(Chunk, usize)>, Cut> {
    let rest = bytes.get(at..).unwrap_or_default();
    let [a, b, c, d, l0, l1, l2, l3, ..] = *rest else {
        return if rest.is_empty() { Ok(None) } else { Err(Cut) };
    };
    let length = u32::from_le_bytes([l0, l1, l2, l3]) as usize;
    let content = at + 8..(at + 8).saturating_add(length);
    if content.end > bytes.len() {
        return Err(Cut);
    }
    let next = content.end + length % 2;
    Ok(Some((Chunk { name: [a, b, c, d], content }, next)))
}

/// The file ends inside of a chunk.
struct Cut;

/// The chunks that hold one picture.
#[derive(Default)]
struct Parts {
    alpha: Option<Range<usize>>,
    /// The chunk's name, which tells lossy from lossless, and its content.
    image: Option<([u8; 4], Range<usize>)>,
}

impl Parts {
    /// Takes the chunk if it is one of a picture's.
    fn take(&mut self, chunk: Chunk) {
        match &chunk.name {
            b"ALPH" if self.image.is_none() => self.alpha = Some(chunk.content),
            b"VP8 " | b"VP8L" if self.image.is_none() => {
                self.image = Some((chunk.name, chunk.content));
            }
            _ => {}
        }
    }
}

pub(super) fn open(file: &Arc<[u8]>) -> Result<Opened, PictureError> {
    let bytes = inside_riff(file);
    let ends_early = |_| PictureError::EndsEarly { format: Format::WebP, frame: 1 };
    let first = chunk(bytes, RIFF_HEADER).map_err(ends_early)?;
    let Some((first, next)) = first else {
        return Err(PictureError::EndsEarly { format: Format::WebP, frame: 1 });
    };
    if &first.name != b"VP8X" {
        let mut parts = Parts::default();
        parts.take(first);
        let size = size_in_image(bytes, &parts, 1)?;
        check_size(Format::WebP, size)?;
        return decode(bytes, &parts, size, 1, &mut Vec::new()).map(still);
    }
    let [flags, _, _, _, w0, w1, w2, h0, h1, h2, ..] = bytes[first.content] else {
        return Err(broken(1, "its header is too short"));
    };
    let side = |bytes: [u8; 3]| u24(bytes) + 1;
    let size = (side([w0, w1, w2]), side([h0, h1, h2]));
    check_size(Format::WebP, size)?;
    if flags & ANIMATED == 0 {
        let mut parts = Parts::default();
        let mut at = next;
        while let (None, Some((chunk, next))) =
            (&parts.image, chunk(bytes, at).map_err(ends_early)?)
        {
            parts.take(chunk);
            at = next;
        }
        return decode(bytes, &parts, size, 1, &mut Vec::new()).map(still);
    }
    let frames = WebPFrames {
        bytes: Arc::clone(file),
        end: bytes.len(),
        at: next,
        read: 0,
        container: Vec::new(),
        rgba: Vec::new(),
    };
    let plays = plays(bytes, next);
    Ok(Opened::Animated { format: Format::WebP, size, plays, frames: Box::new(frames) })
}

fn still(bitmap: Bitmap) -> Opened {
    Opened::Still { format: Format::WebP, bitmap, turn: Turn::default() }
}

/// The flag of an animation in the first byte of `VP8X` (RFC 9649 section 2.7, from memory).
const ANIMATED: u8 = 0b10;
/// The flag of transparency in the same byte.
const TRANSPARENT: u8 = 0b1_0000;

/// How often it is played: bytes 4 and 5 of `ANIM`, 0 for ever. A file without says once.
fn plays(bytes: &[u8], mut at: usize) -> Plays {
    while let Ok(Some((chunk, next))) = chunk(bytes, at) {
        if &chunk.name == b"ANIM"
            && let [_, _, _, _, low, high, ..] = bytes[chunk.content]
        {
            return match u16::from_le_bytes([low, high]) {
                0 => Plays::Forever,
                n => Plays::Times(u32::from(n)),
            };
        }
        at = next;
    }
    Plays::Times(1)
}

struct WebPFrames {
    bytes: Arc<[u8]>,
    /// Where the container ends.
    end: usize,
    at: usize,
    read: u32,
    container: Vec<u8>,
    rgba: Vec<u8>,
}

impl Frames for WebPFrames {
    fn next(&mut self, canvas: &mut Canvas) -> Result<Option<Duration>, PictureError> {
        let number = self.read + 1;
        let ends_early = |_| PictureError::EndsEarly { format: Format::WebP, frame: number };
        loop {
            let inside = self.bytes.get(..self.end).unwrap_or_default();
            let Some((chunk, next)) = chunk(inside, self.at).map_err(ends_early)? else {
                return Ok(None);
            };
            self.at = next;
            if &chunk.name == b"ANMF" {
                self.read = number;
                return self.lay(chunk.content, number, canvas).map(Some);
            }
        }
    }
}

impl WebPFrames {
    /// Lays the frame of one `ANMF` chunk: its place in steps of two pixels, its size, its time in
    /// milliseconds, and its flags (RFC 9649 section 2.7.1.1, from memory).
    fn lay(
        &mut self,
        content: Range<usize>,
        number: u32,
        canvas: &mut Canvas,
    ) -> Result<Duration, PictureError> {
        let end = content.end;
        let header = self.bytes.get(content.start..content.start + FRAME_HEADER);
        let Some(&[x0, x1, x2, y0, y1, y2, w0, w1, w2, h0, h1, h2, t0, t1, t2, flags]) =
            header.filter(|_| content.len() >= FRAME_HEADER)
        else {
            return Err(broken(number, "its frame header is too short"));
        };
        let place = Place {
            left: u24([x0, x1, x2]) * 2,
            top: u24([y0, y1, y2]) * 2,
            width: u24([w0, w1, w2]) + 1,
            height: u24([h0, h1, h2]) + 1,
        };
        let size = (place.width, place.height);
        check_size(Format::WebP, size)?;
        let inside = &self.bytes[..end];
        let mut parts = Parts::default();
        let mut at = content.start + FRAME_HEADER;
        while let (None, Ok(Some((chunk, next)))) = (&parts.image, chunk(inside, at)) {
            parts.take(chunk);
            at = next;
        }
        let bitmap = decode(&self.bytes, &parts, size, number, &mut self.container)?;
        let blend = if flags & 0b10 == 0 { Blend::Over } else { Blend::Replace };
        let dispose = if flags & 1 == 0 { Dispose::Keep } else { Dispose::Clear };
        match bitmap.layout {
            Layout::Rgb => {
                self.rgba.clear();
                let (pixels, _) = bitmap.bytes.as_chunks::<3>();
                self.rgba.extend(pixels.iter().flat_map(|&[r, g, b]| [r, g, b, 255]));
                canvas.lay(place, &self.rgba, blend, dispose);
            }
            Layout::Rgba | Layout::RgbaOpaque => canvas.lay(place, &bitmap.bytes, blend, dispose),
        }
        Ok(shown_for(Duration::from_millis(u64::from(u24([t0, t1, t2])))))
    }
}

/// Decodes one picture, which must have the size that its container says.
fn decode(
    bytes: &[u8],
    parts: &Parts,
    size: (u32, u32),
    number: u32,
    container: &mut Vec<u8>,
) -> Result<Bitmap, PictureError> {
    let found = size_in_image(bytes, parts, number)?;
    if found != size {
        let what = format!(
            "its picture is {} x {} where {} x {} is announced",
            found.0, found.1, size.0, size.1
        );
        return Err(PictureError::Broken { format: Format::WebP, frame: number, what });
    }
    wrap(bytes, parts, size, container);
    let wrong = |error| tell(number, error);
    let mut decoder = WebPDecoder::new(Cursor::new(&container[..])).map_err(wrong)?;
    let layout = if decoder.has_alpha() { Layout::Rgba } else { Layout::Rgb };
    let mut pixels = vec![0; size.0 as usize * size.1 as usize * layout.stride()];
    decoder.read_image(&mut pixels).map_err(wrong)?;
    Ok(Bitmap { width: size.0, height: size.1, layout, bytes: pixels })
}

/// The size in the header of the picture itself: 14 bits each (`VP8 `: RFC 6386 section 9.1;
/// `VP8L`: RFC 9649 section 3.4; both from memory).
fn size_in_image(bytes: &[u8], parts: &Parts, number: u32) -> Result<(u32, u32), PictureError> {
    let Some((name, content)) = &parts.image else {
        return Err(broken(number, "it holds no picture"));
    };
    let found = match (name, &bytes[content.clone()]) {
        (b"VP8 ", [_, _, _, 0x9D, 0x01, 0x2A, w0, w1, h0, h1, ..]) => {
            let side = |low, high| u32::from(u16::from_le_bytes([low, high]) & 0x3FFF);
            Some((side(*w0, *w1), side(*h0, *h1)))
        }
        (b"VP8L", [0x2F, b0, b1, b2, b3, ..]) => {
            let bits = u32::from_le_bytes([*b0, *b1, *b2, *b3]);
            Some(((bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1))
        }
        _ => None,
    };
    found.ok_or_else(|| broken(number, "the header of its picture is wrong"))
}

/// Writes a file of one picture into `container`.
fn wrap(bytes: &[u8], parts: &Parts, (width, height): (u32, u32), container: &mut Vec<u8>) {
    container.clear();
    container.extend(*b"RIFF\0\0\0\0WEBP");
    let mut add = |name: &[u8; 4], content: &[u8]| {
        container.extend(name);
        container.extend((content.len() as u32).to_le_bytes());
        container.extend(content);
        if content.len() % 2 == 1 {
            container.push(0);
        }
    };
    let Some((name, image)) = &parts.image else { return };
    // Transparency beside a lossy picture; a lossless one has its own.
    if let (b"VP8 ", Some(alpha)) = (name, &parts.alpha) {
        let [w0, w1, w2, _] = (width - 1).to_le_bytes();
        let [h0, h1, h2, _] = (height - 1).to_le_bytes();
        add(b"VP8X", &[TRANSPARENT, 0, 0, 0, w0, w1, w2, h0, h1, h2]);
        add(b"ALPH", &bytes[alpha.clone()]);
    }
    add(name, &bytes[image.clone()]);
    let length = (container.len() as u32 - 8).to_le_bytes();
    container[4..8].copy_from_slice(&length);
}

fn u24([low, middle, high]: [u8; 3]) -> u32 {
    u32::from_le_bytes([low, middle, high, 0])
}

fn broken(frame: u32, what: &str) -> PictureError {
    PictureError::Broken { format: Format::WebP, frame, what: what.to_owned() }
}

fn tell(frame: u32, error: DecodingError) -> PictureError {
    let format = Format::WebP;
    match error {
        DecodingError::IoError(error) if error.kind() == ErrorKind::UnexpectedEof => {
            PictureError::EndsEarly { format, frame }
        }
        error => PictureError::Broken { format, frame, what: error.to_string() },
    }
}
