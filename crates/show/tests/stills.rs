//! Still pictures of every format and colour type.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

mod common;

use common::*;
use glowloom_show::picture::{Format, Picture};
use png::{BitDepth, ColorType};

const EIGHT: BitDepth = BitDepth::Eight;

#[test]
fn png_colour_types() {
    let of = |colour, depth, palette, data: &[u8]| png((2, 1), colour, depth, palette, data);
    let cases = [
        (
            "colour",
            of(ColorType::Rgb, EIGHT, None, &[10, 20, 30, 250, 240, 230]),
            [[10, 20, 30], [250, 240, 230]],
        ),
        (
            "colour of 16 bits",
            of(ColorType::Rgb, BitDepth::Sixteen, None, &[10, 0, 20, 9, 30, 255, 1, 1, 2, 2, 3, 3]),
            [[10, 20, 30], [1, 2, 3]],
        ),
        (
            "one colour transparent",
            of(ColorType::Rgb, EIGHT, Some((&[], &[0, 10, 0, 20, 0, 30])), &[10, 20, 30, 4, 5, 6]),
            [[0, 0, 0], [4, 5, 6]],
        ),
        (
            "transparency",
            of(ColorType::Rgba, EIGHT, None, &[200, 100, 50, 255, 200, 100, 50, 0]),
            [[200, 100, 50], [0, 0, 0]],
        ),
        ("grey", of(ColorType::Grayscale, EIGHT, None, &[7, 200]), [[7; 3], [200; 3]]),
        (
            "grey of one bit",
            of(ColorType::Grayscale, BitDepth::One, None, &[0b0100_0000]),
            [[0; 3], [255; 3]],
        ),
        (
            "grey and transparency",
            of(ColorType::GrayscaleAlpha, EIGHT, None, &[90, 255, 90, 0]),
            [[90; 3], [0; 3]],
        ),
        (
            "palette of two bits",
            of(
                ColorType::Indexed,
                BitDepth::Two,
                Some((&[1, 2, 3, 40, 50, 60, 7, 8, 9], &[])),
                &[0b0110_0000],
            ),
            [[40, 50, 60], [7, 8, 9]],
        ),
        (
            "palette with transparency",
            of(ColorType::Indexed, EIGHT, Some((&[1, 2, 3, 40, 50, 60], &[0])), &[0, 1]),
            [[0, 0, 0], [40, 50, 60]],
        ),
    ];
    for (what, file, wanted) in cases {
        assert_eq!(shown(&file, 0), wanted, "{what}");
        let picture = Picture::open(file).unwrap();
        assert_eq!((picture.format(), picture.is_animated()), (Format::Png, false), "{what}");
    }
}

/// Half there is half the light, on black.
#[test]
fn half_there_is_half_the_light() {
    for file in [
        png((1, 1), ColorType::Rgba, EIGHT, None, &[255, 255, 255, 128]),
        webp((1, 1), &[[255, 255, 255, 128]]),
    ] {
        // 128 / 255 of the light, by IEC 61966-2-1: code 188.2.
        assert_eq!(shown(&file, 0), [[188; 3]]);
    }
}

/// Left and right half of the pictures in `tests/pictures`.
fn halves(file: &[u8]) -> [[u8; 3]; 2] {
    let source = &mut *Picture::open(file).unwrap().into_source(glowloom_show::Sizing::Stretch);
    let both = seen(source, 0, (2, 1));
    [both[0], both[1]]
}

fn near(found: [[u8; 3]; 2], wanted: [[u8; 3]; 2]) -> bool {
    let off = found.as_flattened().iter().zip(wanted.as_flattened()).map(|(&a, &b)| a.abs_diff(b));
    off.max().is_some_and(|off| off <= 6)
}

/// What the files were drawn with.
const HALVES: [[u8; 3]; 2] = [[200, 30, 40], [20, 60, 210]];

#[test]
fn jpeg_kinds() {
    for (what, file, wanted) in [
        ("baseline", JPEG, HALVES),
        ("progressive", JPEG_PROGRESSIVE, HALVES),
        ("CMYK", JPEG_CMYK, HALVES),
        ("grey", JPEG_GREY, [[60; 3], [220; 3]]),
    ] {
        let picture = Picture::open(file).unwrap();
        assert_eq!((picture.format(), picture.size()), (Format::Jpeg, (32, 16)), "{what}");
        assert!(near(halves(file), wanted), "{what}: {:?}", halves(file));
    }
}

/// Photographs are shown upright: 3 is upside down, 6 and 8 lie on one side (Exif tag 274, from
/// memory).
#[test]
fn jpeg_orientation() {
    let [left, right] = HALVES;
    assert!(near(halves(&turned(JPEG, 1)), [left, right]));
    assert!(near(halves(&turned(JPEG, 2)), [right, left]));
    assert!(near(halves(&turned(JPEG, 3)), [right, left]));
    assert!(near(halves(&turned(JPEG, 4)), [left, right]));
    // Lying on a side: the halves are above one another.
    for (orientation, top, foot) in
        [(5, left, right), (6, left, right), (7, right, left), (8, right, left)]
    {
        let picture = Picture::open(turned(JPEG, orientation)).unwrap();
        assert_eq!(picture.size(), (16, 32), "{orientation}");
        let both = seen(&mut *picture.into_source(glowloom_show::Sizing::Stretch), 0, (1, 2));
        assert!(near([both[0], both[1]], [top, foot]), "{orientation}: {both:?}");
    }
}

#[test]
fn webp_kinds() {
    let [left, _] = HALVES;
    assert!(near(halves(WEBP_LOSSY), HALVES), "{:?}", halves(WEBP_LOSSY));
    assert!(near(halves(WEBP_ALPHA), [left, [0; 3]]), "{:?}", halves(WEBP_ALPHA));
    let pixels = [RED, GREEN, BLUE, NONE, WHITE, [200, 100, 50, 255]];
    assert_eq!(shown(&webp((3, 2), &pixels), 0), solid(&pixels));
    // What hangs on behind the container is not looked at.
    assert_eq!(shown(&[&webp((3, 2), &pixels)[..], b"more"].concat(), 0), solid(&pixels));
}

#[test]
fn a_gif_of_one_frame_is_a_still() {
    let pixels = [RED, GREEN, BLUE, NONE];
    let frame = Frame { width: 2, height: 2, ..Frame::row(0, &pixels, 100) };
    let file = gif((2, 2), Some(0), &[frame]);
    for ms in [0, 99, 100, 1_000_000] {
        assert_eq!(shown(&file, ms), solid(&pixels));
    }
    let mut source = Picture::open(file).unwrap().into_source(glowloom_show::Sizing::Stretch);
    let mut wall = glowloom_show::LinearFrame::new(2, 2);
    source.draw(std::time::Duration::ZERO, &mut wall).unwrap();
    let later = std::time::Duration::from_secs(9);
    assert_eq!(source.draw(later, &mut wall), Ok(glowloom_show::Drawn::Same));
}

#[test]
fn the_thinnest_pictures() {
    for (width, height) in [(1u32, 1u32), (1, 300), (300, 1)] {
        let count = (width * height) as usize;
        let pixels = vec![[9, 200, 77, 255]; count];
        let rgb = [9, 200, 77].repeat(count);
        for file in [
            png((width, height), ColorType::Rgb, EIGHT, None, &rgb),
            webp((width, height), &pixels),
            gif(
                (width as u16, height as u16),
                None,
                &[Frame { width, height, ..Frame::row(0, &vec![GREEN; count], 0) }],
            ),
        ] {
            let found = shown(&file, 0);
            assert_eq!(found.len(), count);
            assert!(found.windows(2).all(|two| two[0] == two[1]));
            assert!(found[0] == [9, 200, 77] || found[0] == [0, 255, 0]);
        }
    }
}

/// A still that has been drawn once is drawn again for a wall of another size.
#[test]
fn a_still_fits_any_wall() {
    let file = png((2, 1), ColorType::Grayscale, EIGHT, None, &[0, 255]);
    let mut source = Picture::open(file).unwrap().into_source(glowloom_show::Sizing::Stretch);
    assert_eq!(seen(&mut *source, 0, (2, 1)), [[0; 3], [255; 3]]);
    assert_eq!(seen(&mut *source, 0, (1, 1)), [[188; 3]]);
    assert_eq!(seen(&mut *source, 0, (2, 2)), [[0; 3], [255; 3], [0; 3], [255; 3]]);
}
