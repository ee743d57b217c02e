//! Files that are no pictures, too large, cut short or damaged: an error in words, never a panic.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

mod common;

use std::time::Duration;

use common::*;
use glowloom_show::picture::{Format, Picture, PictureError};
use glowloom_show::{Drawn, LinearFrame, Sizing, SourceError};
use png::ColorType;

fn refused(file: &[u8]) -> PictureError {
    Picture::open(file).unwrap_err()
}

#[test]
fn what_is_no_picture_is_said_to_be_none() {
    assert_eq!(refused(b""), PictureError::Empty);
    for file in [
        &b"Dear all,\nthe tide table for"[..],
        b"\0",
        b"<svg xmlns=",
        b"BM6\x04",
        &[0xFF, 0xD8],
        b"RIFF\x04\0\0\0WAVEfmt ",
    ] {
        let error = refused(file);
        assert!(matches!(error, PictureError::NotAPicture { .. }), "{error:?}");
        let said = error.to_string();
        assert!(said.contains("not a picture this program reads"), "{said}");
        assert!(said.contains("PNG, JPEG, GIF, APNG or WebP"), "{said}");
    }
}

/// The header alone is looked at: none of these files holds a pixel.
#[test]
fn too_large_is_told_from_the_header() {
    let webp_canvas = [&[0; 4][..], &[0x5F, 0xEA, 0], &[0x5F, 0xEA, 0]].concat();
    let lossless = [0x2F, 0xFF, 0xFF, 0xFF, 0x0F, 0, 0];
    let gif = [&b"GIF89a"[..], &60_000u16.to_le_bytes(), &60_000u16.to_le_bytes(), &[0, 0, 0]];
    let jpeg_sizes = [0xEA, 0x60, 0xEA, 0x60];
    let jpeg = [
        &[0xFF, 0xD8, 0xFF, 0xC0, 0, 17, 8][..],
        &jpeg_sizes,
        &[3, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0],
        &[0xFF, 0xDA, 0, 12, 3, 1, 0, 2, 0, 3, 0, 0, 63, 0],
    ];
    for (format, size, file) in [
        (
            Format::Png,
            (60_000, 60_000),
            raw_png(&[(b"IHDR", ihdr((60_000, 60_000), ColorType::Rgb, false))]),
        ),
        (Format::Png, (65_536, 2), raw_png(&[(b"IHDR", ihdr((65_536, 2), ColorType::Rgb, false))])),
        (Format::Gif, (60_000, 60_000), gif.concat()),
        (Format::Jpeg, (60_000, 60_000), jpeg.concat()),
        (
            Format::WebP,
            (60_000, 60_000),
            chunk(b"RIFF", &[b"WEBP".to_vec(), chunk(b"VP8X", &webp_canvas)].concat()),
        ),
        (
            Format::WebP,
            (16_384, 16_384),
            chunk(b"RIFF", &[b"WEBP".to_vec(), chunk(b"VP8L", &lossless)].concat()),
        ),
    ] {
        let (width, height) = size;
        assert_eq!(refused(&file), PictureError::TooLarge { format, width, height });
    }
    let said = PictureError::TooLarge { format: Format::Png, width: 60_000, height: 60_000 };
    assert!(said.to_string().contains("60000 x 60000"));
}

#[test]
fn a_frame_larger_than_can_be_is_refused() {
    // A canvas of one pixel, a frame that says 65,535 x 65,535.
    let mut file = gif((1, 1), Some(0), &[Frame::row(0, &[RED], 100)]);
    let image = file.iter().rposition(|&byte| byte == 0x2C).unwrap();
    file[image + 5..image + 9].fill(0xFF);
    assert!(matches!(refused(&file), PictureError::TooLarge { format: Format::Gif, .. }));
    // A picture inside of a WebP that is larger than its canvas.
    let inner = &webp((64, 64), &[RED; 64 * 64])[12..];
    let header = [&[0; 4][..], &[0; 3], &[0; 3]].concat();
    let file = chunk(b"RIFF", &[&b"WEBP"[..], &chunk(b"VP8X", &header), inner].concat());
    assert!(matches!(refused(&file), PictureError::Broken { format: Format::WebP, .. }));
}

#[test]
fn nothing_to_show_is_refused() {
    assert_eq!(refused(&gif((2, 2), Some(0), &[])), PictureError::NoFrames { format: Format::Gif });
    assert_eq!(
        refused(&animated_webp((2, 2), 0, &[])),
        PictureError::NoFrames { format: Format::WebP }
    );
    assert_eq!(
        refused(&[&b"GIF89a"[..], &[0, 0, 0, 0, 0, 0, 0, b';']].concat()),
        PictureError::NoSize { format: Format::Gif }
    );
    // An APNG that says it has no frames is a PNG.
    let pixel = zlib(&[0, 77]);
    let file = raw_png(&[
        (b"IHDR", ihdr((1, 1), ColorType::Grayscale, false)),
        (b"acTL", vec![0; 8]),
        (b"IDAT", pixel),
        (b"IEND", Vec::new()),
    ]);
    assert_eq!(shown(&file, 0), [[77; 3]]);
}

fn moving() -> [(Format, Vec<u8>); 3] {
    let frames: Vec<Frame> = [RED, GREEN, BLUE]
        .into_iter()
        .map(|colour| {
            let pixels: Vec<Rgba> =
                (0..64).map(|n| if n * 7 % 3 == 0 { colour } else { WHITE }).collect();
            Frame { width: 8, height: 8, ..Frame::row(0, &pixels, 100) }
        })
        .collect();
    [
        (Format::Gif, gif((8, 8), Some(0), &frames)),
        (Format::Apng, apng((8, 8), 0, &frames)),
        (Format::WebP, animated_webp((8, 8), 0, &frames)),
    ]
}

/// A file cut in its last frame plays the frames before it, says so once, and stays there.
#[test]
fn a_broken_later_frame_ends_the_animation() {
    for (format, file) in moving() {
        let cut = match format {
            Format::Gif => file.len() - 4,
            Format::Apng => file.len() - 30,
            _ => file.len() - 6,
        };
        let cut = &file[..cut];
        let mut source = Picture::open(cut).unwrap().into_source(Sizing::Stretch);
        let mut wall = LinearFrame::new(8, 8);
        let ms = Duration::from_millis;
        assert_eq!(source.draw(ms(0), &mut wall), Ok(Drawn::New), "{format}");
        assert_eq!(source.draw(ms(100), &mut wall), Ok(Drawn::New), "{format}");
        let second = wall.clone();
        wall.clear();
        let error = source.draw(ms(200), &mut wall).unwrap_err();
        let wanted = PictureError::EndsEarly { format, frame: 3 };
        assert_eq!(error, SourceError::Picture(wanted), "{format}");
        assert!(error.to_string().contains("frame 3"), "{error}");
        assert_eq!(wall, second, "{format}: the last good picture is drawn");
        assert_eq!(source.draw(ms(300), &mut wall), Ok(Drawn::Ended), "{format}");
        assert_eq!(source.draw(ms(9000), &mut wall), Ok(Drawn::Ended), "{format}");
    }
}

/// Many programs leave out the last byte of a GIF; all frames are there.
#[test]
fn a_gif_without_its_last_byte_is_whole() {
    let (_, file) = &moving()[0];
    let cut = &file[..file.len() - 1];
    assert_eq!(shown(cut, 200), shown(file, 200));
    assert_eq!(shown(cut, 300), shown(file, 300));
}

fn samples() -> Vec<Vec<u8>> {
    let pixels: Vec<Rgba> = (0..64u8).map(|n| [n * 4, 255 - n, n, 255 - n % 7 * 30]).collect();
    let mut samples: Vec<Vec<u8>> = moving().into_iter().map(|(_, file)| file).collect();
    samples.extend([
        png((8, 8), ColorType::Rgba, png::BitDepth::Eight, None, pixels.as_flattened()),
        webp((8, 8), &pixels),
        turned(JPEG, 6),
    ]);
    for file in [JPEG, JPEG_PROGRESSIVE, JPEG_CMYK, JPEG_GREY, WEBP_LOSSY, WEBP_ALPHA, WEBP_MOVING]
    {
        samples.push(file.to_vec());
    }
    samples
}

/// Opens and plays a file, whatever is in it.
fn play(file: &[u8]) {
    let Ok(picture) = Picture::open(file) else { return };
    let mut source = picture.into_source(Sizing::Fit);
    let mut wall = LinearFrame::new(5, 4);
    for ms in [0, 100, 250, 1000, 100_000] {
        let drawn = source.draw(Duration::from_millis(ms), &mut wall);
        if let Err(error) = drawn {
            assert!(!error.to_string().is_empty());
        }
    }
}

#[test]
fn a_still_cut_short_is_refused() {
    let animated = |file: &[u8]| Picture::open(file).is_ok_and(|picture| picture.is_animated());
    for file in samples().iter().filter(|file| !animated(file)) {
        // The last ten bytes may hold nothing of the picture.
        for length in 0..file.len() - 10 {
            assert!(Picture::open(&file[..length]).is_err(), "{length} of {}", file.len());
        }
    }
}

#[test]
fn files_cut_anywhere_do_no_harm() {
    for file in samples() {
        for length in 0..file.len() {
            play(&file[..length]);
        }
    }
}

#[test]
fn damaged_files_do_no_harm() {
    // A plain xorshift: the same damage every time.
    let mut state = 0x2545_F491_4F6C_DD1Du64;
    let mut next = move |below: usize| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 16) as usize % below
    };
    for file in samples() {
        for _ in 0..150 {
            let mut damaged = file.clone();
            for _ in 0..=next(4) {
                let at = next(damaged.len());
                damaged[at] = [0, 0xFF, 0x80, next(256) as u8][next(4)];
            }
            play(&damaged);
        }
    }
}

/// The decoder itself breaks down over these; so they must not come so far.
#[test]
fn palettes_that_are_no_palettes_are_refused() {
    let header = ihdr((1, 1), ColorType::Indexed, false);
    let data = zlib(&[0, 0]);
    let picture = |palette: &[u8], transparencies: &[u8]| {
        raw_png(&[
            (b"IHDR", header.clone()),
            (b"PLTE", palette.to_vec()),
            (b"tRNS", transparencies.to_vec()),
            (b"IDAT", data.clone()),
            (b"IEND", vec![]),
        ])
    };
    assert!(Picture::open(picture(&[9, 8, 7], &[255])).is_ok());
    for (palette, transparencies) in
        [(&[9, 8][..], &[255][..]), (&[9, 8, 7, 6], &[255]), (&[9, 8, 7], &[1, 2, 3]), (&[], &[1])]
    {
        let error = refused(&picture(palette, transparencies));
        assert!(matches!(error, PictureError::Broken { .. }), "{palette:?}: {error}");
    }
}
