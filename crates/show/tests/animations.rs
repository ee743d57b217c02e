//! Animations of every format: their times, rounds, and how their frames are laid.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

mod common;

use std::time::Duration;

use common::*;
use glowloom_show::picture::{Format, Picture};
use glowloom_show::{Drawn, LinearFrame, Sizing, Source};

fn open(file: Vec<u8>) -> Box<dyn Source> {
    Picture::open(file).unwrap().into_source(Sizing::Stretch)
}

fn three(ms: [u16; 3]) -> [Frame; 3] {
    [
        Frame::row(0, &[RED, RED], ms[0]),
        Frame::row(0, &[GREEN, GREEN], ms[1]),
        Frame::row(0, &[BLUE, BLUE], ms[2]),
    ]
}

/// One animation in each format, played for ever.
fn all_formats(frames: &[Frame], size: (u32, u32)) -> [(Format, Vec<u8>); 3] {
    [
        (Format::Gif, gif((size.0 as u16, size.1 as u16), Some(0), frames)),
        (Format::Apng, apng(size, 0, frames)),
        (Format::WebP, animated_webp(size, 0, frames)),
    ]
}

#[test]
fn frames_are_shown_for_their_times() {
    for (format, file) in all_formats(&three([50, 120, 200]), (2, 1)) {
        let picture = Picture::open(&file[..]).unwrap();
        assert_eq!((picture.format(), picture.is_animated()), (format, true));
        for (ms, colour) in [
            (0, RED),
            (49, RED),
            (50, GREEN),
            (169, GREEN),
            (170, BLUE),
            (369, BLUE),
            (370, RED),
            (419, RED),
            (420, GREEN),
            (370 * 1_000_000 + 170, BLUE),
        ] {
            assert_eq!(shown(&file, ms), solid(&[colour; 2]), "{format} at {ms} ms");
        }
    }
}

/// The same times give the same frames, however many calls there were before.
#[test]
fn calls_in_between_change_nothing() {
    for (format, file) in all_formats(&three([30, 40, 50]), (2, 1)) {
        let mut source = open(file.clone());
        let mut wall = LinearFrame::new(2, 1);
        for ms in (0..1000).step_by(7) {
            source.draw(Duration::from_millis(ms), &mut wall).unwrap();
            let found = wall.to_rgb8().as_chunks::<3>().0.to_vec();
            assert_eq!(found, shown(&file, ms), "{format} at {ms} ms");
        }
    }
}

/// 0 or 10 ms are shown for 100 ms: common practice of browsers, no source.
#[test]
fn hardly_any_time_is_a_tenth_of_a_second() {
    for (format, file) in all_formats(&three([0, 10, 20]), (2, 1)) {
        for (ms, colour) in
            [(0, RED), (99, RED), (100, GREEN), (199, GREEN), (200, BLUE), (220, RED)]
        {
            assert_eq!(shown(&file, ms), solid(&[colour; 2]), "{format} at {ms} ms");
        }
    }
}

#[test]
fn a_source_tells_when_nothing_is_new() {
    for (format, file) in all_formats(&three([50, 50, 50]), (2, 1)) {
        let mut source = open(file);
        let mut wall = LinearFrame::new(2, 1);
        let mut draw = |ms| source.draw(Duration::from_millis(ms), &mut wall).unwrap();
        let found = [0, 0, 49, 50, 60, 151].map(&mut draw);
        use Drawn::{New, Same};
        assert_eq!(found, [New, Same, Same, New, Same, New], "{format}");
        wall.clear();
        assert_eq!(source.draw(Duration::from_millis(152), &mut wall), Ok(New), "{format}");
    }
}

/// GIF counts repetitions (common practice of browsers, from memory), APNG and WebP count plays.
#[test]
fn rounds_are_counted() {
    let frames = three([100, 100, 100]);
    for (what, file, plays) in [
        ("GIF without a number", gif((2, 1), None, &frames), 1),
        ("GIF of 2 repetitions", gif((2, 1), Some(2), &frames), 3),
        ("APNG", apng((2, 1), 2, &frames), 2),
        ("WebP", animated_webp((2, 1), 2, &frames), 2),
    ] {
        let end = 300 * plays;
        for (ms, colour) in [(end - 300, RED), (end - 1, BLUE), (end, BLUE), (end + 100, BLUE)] {
            assert_eq!(shown(&file, ms), solid(&[colour; 2]), "{what} at {ms} ms");
        }
        let mut source = open(file);
        let mut wall = LinearFrame::new(2, 1);
        let mut draw = |ms| source.draw(Duration::from_millis(ms), &mut wall).unwrap();
        assert_eq!(draw(end - 1), Drawn::New, "{what}");
        assert_eq!(draw(end), Drawn::Ended, "{what}");
        assert_eq!(draw(end * 1000), Drawn::Ended, "{what}");
        // To the end in one leap: first the last frame, then nothing new.
        wall.clear();
        assert_eq!(source.draw(Duration::from_millis(end * 1000), &mut wall), Ok(Drawn::New));
    }
}

/// What is left of a frame when the next one comes, in a canvas of four.
#[test]
fn disposal() {
    let frames = |dispose| {
        [
            Frame::row(0, &[RED; 4], 50),
            Frame::row(0, &[GREEN, GREEN], 50).dispose(dispose),
            Frame::row(2, &[NONE, BLUE], 50),
        ]
    };
    let after = |left: [Rgba; 2]| solid(&[left[0], left[1], RED, BLUE]);
    for (dispose, left) in
        [(Dispose::Keep, [GREEN; 2]), (Dispose::Clear, [NONE; 2]), (Dispose::Restore, [RED; 2])]
    {
        let frames = frames(dispose);
        for (format, file) in all_formats(&frames, (4, 1)) {
            if format == Format::WebP && dispose == Dispose::Restore {
                continue; // WebP knows no such thing
            }
            assert_eq!(shown(&file, 50), solid(&[GREEN, GREEN, RED, RED]), "{format} {dispose:?}");
            assert_eq!(shown(&file, 100), after(left), "{format} {dispose:?}");
        }
    }
}

/// A frame either lets through what is under it, or takes its place.
#[test]
fn blending() {
    let under = Frame::row(0, &[RED; 4], 50);
    let above = Frame::row(2, &[[0, 0, 255, 128], NONE], 50);
    for (replace, last) in [(false, [255, 0, 0]), (true, [0; 3])] {
        let above = if replace { above.clone().replace() } else { above.clone() };
        let frames = [under.clone(), above];
        for file in [apng((4, 1), 0, &frames), animated_webp((4, 1), 0, &frames)] {
            let found = shown(&file, 50);
            assert_eq!(found[..2], [[255, 0, 0]; 2]);
            assert_eq!(found[3], last);
            // Laid over: half blue on the codes; alone: half the light of blue on black.
            let wanted = if replace { [0, 0, 188] } else { [127, 0, 128] };
            assert_eq!(found[2], wanted, "replaced: {replace}");
        }
    }
}

/// A second round begins on an empty canvas.
#[test]
fn every_round_begins_afresh() {
    let frames = [Frame::row(0, &[RED, NONE], 50), Frame::row(0, &[NONE, BLUE], 50)];
    for (format, file) in all_formats(&frames, (2, 1)) {
        assert_eq!(shown(&file, 50), solid(&[RED, BLUE]), "{format}");
        assert_eq!(shown(&file, 100), solid(&[RED, NONE]), "{format}");
    }
}

#[test]
fn lossy_frames_move_too() {
    let mut source = Picture::open(WEBP_MOVING).unwrap().into_source(Sizing::Stretch);
    let near = |found: [u8; 3], wanted: [u8; 3]| {
        found.iter().zip(wanted).all(|(&a, b)| a.abs_diff(b) <= 8)
    };
    let first = seen(&mut *source, 0, (2, 1));
    assert!(near(first[0], [200, 30, 40]) && first[1] == [0; 3], "{first:?}");
    let second = seen(&mut *source, 120, (2, 1));
    assert!(near(second[0], [30, 190, 60]) && second[1] == [0; 3], "{second:?}");
}

/// The picture for those that know no animations is not shown.
#[test]
fn the_default_picture_of_an_apng_is_left_out() {
    let file = {
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, 2, 1);
        encoder.set_color(png::ColorType::Rgba);
        encoder.set_animated(2, 0).unwrap();
        encoder.set_sep_def_img(true).unwrap();
        encoder.set_frame_delay(100, 1000).unwrap();
        let mut writer = encoder.write_header().unwrap();
        for colour in [WHITE, RED, GREEN] {
            writer.write_image_data([colour; 2].as_flattened()).unwrap();
        }
        writer.finish().unwrap();
        file
    };
    assert_eq!(shown(&file, 0), solid(&[RED; 2]));
    assert_eq!(shown(&file, 100), solid(&[GREEN; 2]));
    assert_eq!(shown(&file, 200), solid(&[RED; 2]));
}

/// The seven passes of an interlaced PNG, in a frame smaller than the canvas (PNG specification,
/// from memory): of 3 x 3 pixels the order is 0; 2; 6 8; 1; 7; 3 4 5, of 2 x 1 it is 0; 1.
#[test]
fn interlaced_frames() {
    let grey = [10, 11, 12, 13, 14, 15, 16, 17, 18];
    let rows = |rows: &[&[usize]], of: &[u8]| -> Vec<u8> {
        rows.iter().flat_map(|row| std::iter::once(0).chain(row.iter().map(|&n| of[n]))).collect()
    };
    let whole = zlib(&rows(&[&[0], &[2], &[6, 8], &[1], &[7], &[3, 4, 5]], &grey));
    let part = zlib(&rows(&[&[0], &[1]], &[200, 201]));
    let file = raw_png(&[
        (b"IHDR", ihdr((3, 3), png::ColorType::Grayscale, true)),
        (b"acTL", [2u32, 0].into_iter().flat_map(u32::to_be_bytes).collect()),
        (b"fcTL", fctl(0, (0, 0), (3, 3))),
        (b"IDAT", whole),
        (b"fcTL", fctl(1, (1, 2), (2, 1))),
        (b"fdAT", [&2u32.to_be_bytes()[..], &part].concat()),
        (b"IEND", Vec::new()),
    ]);
    assert_eq!(shown(&file, 0), grey.map(|code| [code; 3]));
    let second = [10, 11, 12, 13, 14, 15, 16, 200, 201];
    assert_eq!(shown(&file, 100), second.map(|code| [code; 3]));
}

/// A hundred thousand frames: each is shown in its turn, a jump to the last one finds it, and no more memory is
/// held than for a few.
#[test]
fn a_hundred_thousand_frames_are_shown_one_by_one() {
    const COUNT: usize = 100_000;
    let colours = [RED, GREEN, BLUE];
    let frames: Vec<Frame> =
        (0..COUNT).map(|n| Frame::row(0, &[colours[n % 3], colours[n % 3]], 20)).collect();
    let file: std::sync::Arc<[u8]> = gif((2, 1), Some(0), &frames).into();
    drop(frames);
    let at = |n: usize| Duration::from_millis(20) * u32::try_from(n).unwrap();
    let full = |n: usize| {
        let colour = colours[n % 3];
        [0, 1, 2].map(|k| if colour[k] == 255 { u16::MAX } else { 0 })
    };
    let counted = allocation_counter::measure(|| {
        let mut frame = LinearFrame::new(2, 1);
        let mut source =
            Picture::open(std::sync::Arc::clone(&file)).unwrap().into_source(Sizing::Stretch);
        for n in 0..COUNT {
            assert_eq!(source.draw(at(n), &mut frame), Ok(Drawn::New), "frame {n}");
            assert_eq!(frame.pixel(1, 0), Some(full(n)), "frame {n}");
        }
        let mut jumps =
            Picture::open(std::sync::Arc::clone(&file)).unwrap().into_source(Sizing::Stretch);
        let mut frame = LinearFrame::new(2, 1);
        jumps.draw(at(0), &mut frame).unwrap();
        jumps.draw(at(COUNT - 1), &mut frame).unwrap();
        assert_eq!(frame.pixel(0, 0), Some(full(COUNT - 1)));
    });
    assert!(counted.bytes_max < 1 << 20, "{} bytes at once", counted.bytes_max);
}
