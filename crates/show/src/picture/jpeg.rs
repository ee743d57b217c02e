//! JPEG: baseline and progressive; grey, colour and CMYK to 8-bit red, green, blue.

use std::sync::Arc;

use zune_jpeg::JpegDecoder;
use zune_jpeg::errors::DecodeErrors;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::turn::Turn;
use super::{Bitmap, Format, Opened, PictureError, check_size};
use crate::raster::{LONGEST_SIDE, Layout};

/// Decodes a whole picture and tells how it is to be turned.
pub(super) fn open(bytes: &Arc<[u8]>) -> Result<Opened, PictureError> {
    let options = DecoderOptions::default()
        .set_max_width(LONGEST_SIDE as usize)
        .set_max_height(LONGEST_SIDE as usize)
        // A broken file is told, not shown grey from where it breaks.
        .set_strict_mode(true)
        .jpeg_set_out_colorspace(ColorSpace::RGB);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(&bytes[..]), options);
    decoder.decode_headers().map_err(tell)?;
    let info = decoder.info().ok_or_else(|| broken("it has no header".to_owned()))?;
    let (width, height) = (u32::from(info.width), u32::from(info.height));
    check_size(Format::Jpeg, (width, height))?;
    let turn = info.exif_data.as_deref().map_or(Turn::default(), Turn::from_exif);
    let mut pixels = vec![0; width as usize * height as usize * Layout::Rgb.stride()];
    decoder.decode_into(&mut pixels).map_err(tell)?;
    let bitmap = Bitmap { width, height, layout: Layout::Rgb, bytes: pixels };
    Ok(Opened::Still { format: Format::Jpeg, bitmap, turn })
}

fn tell(error: DecodeErrors) -> PictureError {
    match error {
        DecodeErrors::ZeroError => PictureError::NoSize { format: Format::Jpeg },
        DecodeErrors::ExhaustedData | DecodeErrors::IoErrors(_) => {
            PictureError::EndsEarly { format: Format::Jpeg, frame: 1 }
        }
        error => broken(error.to_string()),
    }
}

fn broken(what: String) -> PictureError {
    PictureError::Broken { format: Format::Jpeg, frame: 1, what }
}
