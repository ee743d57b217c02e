//! Writing pictures.

use std::io::Cursor;

use ::png::{BitDepth, ColorType, Encoder, EncodingError, ScaledFloat, SrgbRenderingIntent};

/// A PNG file of `width` x `height` pixels of 8-bit sRGB, row-major, three bytes to a pixel. The
/// same pixels give the same bytes.
///
/// # Errors
/// When a side is 0, or when there are not exactly as many bytes as the sides ask for.
pub fn encode_rgb8(width: u32, height: u32, pixels: &[u8]) -> Result<Vec<u8>, EncodeError> {
    encode((width, height), pixels, |encoder| {
        encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    })
}

/// A PNG file of linear light in 8 bits: the values are written as they are, and the file says that
/// its gamma is 1, so that a viewer that heeds it shows them as they look.
///
/// # Errors
/// As [`encode_rgb8`].
pub fn encode_linear_rgb8(width: u32, height: u32, pixels: &[u8]) -> Result<Vec<u8>, EncodeError> {
    encode((width, height), pixels, |encoder| {
        encoder.set_source_gamma(ScaledFloat::new(1.0));
    })
}

fn encode(
    size: (u32, u32),
    pixels: &[u8],
    meaning: impl FnOnce(&mut Encoder<&mut Cursor<Vec<u8>>>),
) -> Result<Vec<u8>, EncodeError> {
    let refused = || EncodeError { width: size.0, height: size.1, bytes: pixels.len() };
    let mut file = Cursor::new(Vec::new());
    write(&mut file, size, pixels, meaning).map_err(|_| refused())?;
    Ok(file.into_inner())
}

fn write(
    file: &mut Cursor<Vec<u8>>,
    (width, height): (u32, u32),
    pixels: &[u8],
    meaning: impl FnOnce(&mut Encoder<&mut Cursor<Vec<u8>>>),
) -> Result<(), EncodingError> {
    let mut encoder = Encoder::new(file, width, height);
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    meaning(&mut encoder);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(pixels)?;
    writer.finish()
}

/// Pixels that make no picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EncodeError {
    width: u32,
    height: u32,
    bytes: usize,
}

impl std::fmt::Display for EncodeError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { width, height, bytes } = self;
        write!(f, "{bytes} bytes make no picture of {width} x {height} pixels of 3 bytes each")
    }
}

impl std::error::Error for EncodeError {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_back() {
        let pixels: Vec<u8> = (0..5 * 3 * 3).map(|n| n * 5).collect();
        let file = encode_rgb8(5, 3, &pixels).unwrap();
        let mut reader = ::png::Decoder::new(Cursor::new(&file)).read_info().unwrap();
        let mut read = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut read).unwrap();
        assert_eq!((info.width, info.height, info.color_type), (5, 3, ColorType::Rgb));
        assert_eq!(read, pixels);
        assert_eq!(encode_rgb8(5, 3, &pixels), Ok(file));
    }

    #[test]
    fn linear_light_says_that_it_is() {
        let file = encode_linear_rgb8(1, 1, &[1, 2, 3]).unwrap();
        let mut reader = ::png::Decoder::new(Cursor::new(&file)).read_info().unwrap();
        assert_eq!(reader.info().gamma().map(ScaledFloat::into_value), Some(1.0));
        let mut read = [0; 3];
        reader.next_frame(&mut read).unwrap();
        assert_eq!(read, [1, 2, 3]);
    }

    #[test]
    fn pixels_must_fill_the_sides() {
        for (width, height, bytes) in [(0, 1, 0), (1, 0, 0), (2, 2, 11), (2, 2, 13)] {
            assert!(encode_rgb8(width, height, &vec![0; bytes]).is_err(), "{width} x {height}");
        }
    }
}
