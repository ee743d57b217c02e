//! PNG and APNG: every colour type to 8-bit red, green, blue, with transparency where there is any.
//!
//! Of 16-bit samples the high byte is taken. Gamma and colour profiles in the file are not read.

use std::io::{Cursor, ErrorKind};
use std::sync::Arc;
use std::time::Duration;

use ::png::{
    BlendOp, ColorType, Decoder, DecodingError, DisposeOp, FrameControl, Limits, OutputInfo,
    Reader, Transformations,
};

use super::canvas::{Blend, Canvas, Dispose, Place};
use super::{Bitmap, Format, Frames, Opened, PictureError, Plays, Turn, check_size, shown_for};
use crate::raster::Layout;

/// What the decoder may take besides the picture: rows and the file's small parts.
const DECODER_BYTES: usize = 64 * 1024 * 1024;

type PngReader = Reader<Cursor<Arc<[u8]>>>;

pub(super) fn open(bytes: &Arc<[u8]>) -> Result<Opened, PictureError> {
    let wrong = |error| tell(Format::Png, 1, error);
    let limits = Limits { bytes: DECODER_BYTES };
    let mut decoder = Decoder::new_with_limits(Cursor::new(Arc::clone(bytes)), limits);
    decoder.set_ignore_text_chunk(true);
    decoder.set_ignore_iccp_chunk(true);
    decoder.set_transformations(Transformations::normalize_to_color8());
    let size = decoder.read_header_info().map_err(wrong)?.size();
    check_size(Format::Png, size)?;
    let mut reader = decoder.read_info().map_err(wrong)?;
    check_palette(&reader)?;
    let buffer_size = reader.output_buffer_size().ok_or(too_big(size))?;
    let Some(control) = reader.info().animation_control else {
        return still(reader, vec![0; buffer_size])
            .map(|bitmap| Opened::Still { format: Format::Png, bitmap, turn: Turn::default() })
            .map_err(wrong);
    };
    // Without a frame header before it, the first picture is for those that know no animations.
    if reader.info().frame_control.is_none() {
        reader.next_frame_info().map_err(|error| tell(Format::Apng, 1, error))?;
    }
    let plays = match control.num_plays {
        0 => Plays::Forever,
        n => Plays::Times(n),
    };
    let frames = ApngFrames {
        reader,
        buffer: vec![0; buffer_size],
        rgba: Vec::new(),
        read: 0,
        declared: control.num_frames,
    };
    Ok(Opened::Animated { format: Format::Apng, size, plays, frames: Box::new(frames) })
}

/// The decoder takes for granted that a palette holds whole colours, and no more transparencies
/// than colours.
fn check_palette(reader: &PngReader) -> Result<(), PictureError> {
    let Some(palette) = &reader.info().palette else { return Ok(()) };
    let transparencies = match reader.info().color_type {
        ColorType::Indexed => reader.info().trns.as_ref().map_or(0, |trns| trns.len()),
        _ => 0,
    };
    if palette.len() % 3 == 0 && transparencies <= palette.len() / 3 {
        return Ok(());
    }
    let what = format!(
        "its palette of {} bytes and {transparencies} transparencies is cut short",
        palette.len()
    );
    Err(PictureError::Broken { format: Format::Png, frame: 1, what })
}

fn still(mut reader: PngReader, mut buffer: Vec<u8>) -> Result<Bitmap, DecodingError> {
    let OutputInfo { width, height, color_type, .. } = reader.next_frame(&mut buffer)?;
    let (layout, bytes) = match color_type {
        ColorType::Rgb | ColorType::Indexed => (Layout::Rgb, buffer),
        ColorType::Rgba => (Layout::Rgba, buffer),
        ColorType::Grayscale => (Layout::Rgb, buffer.iter().flat_map(|&grey| [grey; 3]).collect()),
        ColorType::GrayscaleAlpha => {
            let (pixels, _) = buffer.as_chunks::<2>();
            (Layout::Rgba, pixels.iter().flat_map(|&[g, alpha]| [g, g, g, alpha]).collect())
        }
    };
    Ok(Bitmap { width, height, layout, bytes })
}

struct ApngFrames {
    reader: PngReader,
    /// One frame as the decoder leaves it; large enough for a frame of the whole canvas.
    buffer: Vec<u8>,
    rgba: Vec<u8>,
    read: u32,
    declared: u32,
}

impl Frames for ApngFrames {
    fn next(&mut self, canvas: &mut Canvas) -> Result<Option<Duration>, PictureError> {
        if self.read >= self.declared {
            return Ok(None);
        }
        self.read += 1;
        let wrong = |error| tell(Format::Apng, self.read, error);
        let shape = self.reader.next_frame(&mut self.buffer).map_err(wrong)?;
        let Some(control) = self.reader.info().frame_control else {
            return Err(PictureError::Broken {
                format: Format::Apng,
                frame: self.read,
                what: "a frame without its header".to_owned(),
            });
        };
        // The decoder spaces the rows of an interlaced frame as those of the whole picture.
        let line = match self.reader.info().interlaced {
            true => self.reader.output_line_size(self.reader.info().width).unwrap_or(0),
            false => shape.line_size,
        };
        self.rgba.clear();
        for row in self.buffer.chunks_exact(line.max(1)).take(shape.height as usize) {
            let row = row.get(..shape.line_size).unwrap_or_default();
            extend_rgba(&mut self.rgba, row, shape.color_type);
        }
        let place = Place {
            left: control.x_offset,
            top: control.y_offset,
            width: shape.width,
            height: shape.height,
        };
        let blend = match control.blend_op {
            BlendOp::Source => Blend::Replace,
            BlendOp::Over => Blend::Over,
        };
        let dispose = match control.dispose_op {
            DisposeOp::None => Dispose::Keep,
            DisposeOp::Background => Dispose::Clear,
            DisposeOp::Previous => Dispose::Restore,
        };
        canvas.lay(place, &self.rgba, blend, dispose);
        Ok(Some(shown_for(delay(&control))))
    }
}

fn extend_rgba(rgba: &mut Vec<u8>, row: &[u8], color: ColorType) {
    match color {
        ColorType::Rgba => rgba.extend_from_slice(row),
        ColorType::Rgb | ColorType::Indexed => {
            rgba.extend(row.as_chunks::<3>().0.iter().flat_map(|&[r, g, b]| [r, g, b, 255]));
        }
        ColorType::Grayscale => rgba.extend(row.iter().flat_map(|&grey| [grey, grey, grey, 255])),
        ColorType::GrayscaleAlpha => {
            rgba.extend(row.as_chunks::<2>().0.iter().flat_map(|&[g, alpha]| [g, g, g, alpha]));
        }
    }
}

/// A fraction of a second; a denominator of 0 means hundredths (the APNG specification, from
/// memory).
fn delay(control: &FrameControl) -> Duration {
    let parts = match control.delay_den {
        0 => 100,
        n => u64::from(n),
    };
    Duration::from_micros(u64::from(control.delay_num) * 1_000_000 / parts)
}

fn too_big((width, height): (u32, u32)) -> PictureError {
    PictureError::TooLarge { format: Format::Png, width, height }
}

fn tell(format: Format, frame: u32, error: DecodingError) -> PictureError {
    match error {
        DecodingError::IoError(error) if error.kind() == ErrorKind::UnexpectedEof => {
            PictureError::EndsEarly { format, frame }
        }
        DecodingError::LimitsExceeded => PictureError::Broken {
            format,
            frame,
            what: format!("it asks for more than {} MB", DECODER_BYTES / (1024 * 1024)),
        },
        error => PictureError::Broken { format, frame, what: error.to_string() },
    }
}
