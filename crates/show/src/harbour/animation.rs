//! The harbour as a small animation: the water moves, the boats rock.

use std::collections::BTreeMap;

use gif::{DisposalMethod, Encoder, EncodingError, Frame, Repeat};

use super::palette::{Colour, Palette};
use super::picture_at;

/// Hundredths of a second in one round.
const ROUND: u16 = 384;
/// Colours of the palette; the last number is kept for pixels that have not changed.
const COLOURS: usize = 255;
const UNCHANGED: u8 = 255;

/// An animated GIF of the harbour: 120 x 64 pixels, 48 frames in 3.84 seconds, for ever. Always the
/// same bytes.
///
/// # Errors
/// None is known: the picture's size and palette keep the rules of the format.
pub fn animation() -> Result<Vec<u8>, EncodingError> {
    encode(120, 64, 48)
}

fn encode(width: u16, height: u16, frames: u16) -> Result<Vec<u8>, EncodingError> {
    let moment = |number: u16| f32::from(number) / f32::from(frames);
    let frames: Vec<Vec<Colour>> =
        (0..frames).map(|number| frame(width, height, moment(number))).collect();
    let mut counted = BTreeMap::new();
    for &colour in frames.iter().flatten() {
        *counted.entry(colour).or_insert(0) += 1;
    }
    let palette = Palette::new(&counted, COLOURS);
    let mut table = palette.colours().to_vec();
    table.resize(COLOURS + 1, [0; 3]);
    let mut encoder = Encoder::new(Vec::new(), width, height, table.as_flattened())?;
    encoder.set_repeat(Repeat::Infinite)?;
    let mut seen = vec![UNCHANGED; usize::from(width) * usize::from(height)];
    for colours in &frames {
        let numbers: Vec<u8> = colours.iter().map(|&colour| palette.number(colour)).collect();
        let changed = changes(usize::from(width), &seen, &numbers);
        encoder.write_frame(&Frame { delay: ROUND / frames.len() as u16, ..changed })?;
        seen = numbers;
    }
    encoder.into_inner()
}

/// One frame, its 8-bit codes shifted by less than four steps in a fixed pattern, so that shades do
/// not turn into bands when the palette is cut down.
fn frame(width: u16, height: u16, moment: f32) -> Vec<Colour> {
    /// An ordered pattern of 4 x 4 thresholds (common practice, no source).
    const PATTERN: [[i16; 4]; 4] = [[0, 8, 2, 10], [12, 4, 14, 6], [3, 11, 1, 9], [15, 7, 13, 5]];
    let pixels = picture_at(u32::from(width), u32::from(height), moment);
    let (pixels, _) = pixels.as_chunks::<3>();
    pixels
        .iter()
        .enumerate()
        .map(|(n, pixel)| {
            let (column, row) = (n % usize::from(width), n / usize::from(width));
            let shift = (PATTERN[row % 4][column % 4] - 7) / 2;
            pixel.map(|code| (i16::from(code) + shift).clamp(0, 255) as u8)
        })
        .collect()
}

/// The smallest frame that holds all changes; what has not changed in it is transparent.
fn changes(width: usize, seen: &[u8], wanted: &[u8]) -> Frame<'static> {
    let changed = |n: usize| seen[n] != wanted[n];
    let all = || (0..wanted.len()).filter(|&n| changed(n));
    let top = all().map(|n| n / width).min().unwrap_or(0);
    let foot = all().map(|n| n / width).max().unwrap_or(0);
    let left = all().map(|n| n % width).min().unwrap_or(0);
    let right = all().map(|n| n % width).max().unwrap_or(0);
    let buffer: Vec<u8> = (top..=foot)
        .flat_map(|row| (left..=right).map(move |column| row * width + column))
        .map(|n| if changed(n) { wanted[n] } else { UNCHANGED })
        .collect();
    Frame {
        dispose: DisposalMethod::Keep,
        transparent: Some(UNCHANGED),
        left: left as u16,
        top: top as u16,
        width: (right - left + 1) as u16,
        height: (foot - top + 1) as u16,
        buffer: buffer.into(),
        ..Frame::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::{Format, Picture};
    use crate::{Brightness, Channels, Finish, LinearFrame, Pipeline, Sizing};
    use std::time::Duration;

    #[test]
    fn it_is_small() {
        let file = animation().unwrap();
        assert!(file.len() < 300_000, "{} bytes", file.len());
        let picture = Picture::open(file).unwrap();
        assert_eq!((picture.format(), picture.size()), (Format::Gif, (120, 64)));
    }

    #[test]
    fn it_is_always_the_same() {
        assert_eq!(encode(30, 16, 3).unwrap(), encode(30, 16, 3).unwrap());
    }

    /// Every frame of the file is the drawn one, as near as its palette allows.
    #[test]
    fn its_frames_are_the_harbour() {
        let file = encode(60, 32, 12).unwrap();
        let mut source = Picture::open(file).unwrap().into_source(Sizing::Stretch);
        let mut shown = LinearFrame::new(60, 32);
        for number in 0..12u8 {
            let at = Duration::from_millis(u64::from(number) * 320 + 1);
            source.draw(at, &mut shown).unwrap();
            let wanted = picture_at(60, 32, f32::from(number) / 12.0);
            let found = shown.to_rgb8();
            let off = found.iter().zip(&wanted).map(|(&a, &b)| a.abs_diff(b));
            let (most, sum) = off.fold((0, 0u64), |(m, s), d| (d.max(m), s + u64::from(d)));
            assert!(most < 40 && sum < 6 * wanted.len() as u64, "frame {number}: {most} {sum}");
        }
    }

    /// It is calm: the flash guard has nothing to do.
    #[test]
    fn it_passes_the_flash_guard_untouched() {
        let finish = Finish { channels: Channels::Rgb, ceiling: 255 };
        let mut pipeline = Pipeline::new(60, 32, finish, Brightness::FULL);
        let file = encode(60, 32, 48).unwrap();
        let source = Picture::open(file).unwrap().into_source(Sizing::Fill);
        pipeline.show(source, Duration::ZERO);
        let mut device = pipeline.device_frame();
        for tick in 0..300 {
            pipeline.frame(Duration::from_millis(33) * tick, &mut device).unwrap();
        }
        assert_eq!(pipeline.held(), 0);
    }
}
