//! The area average against the mean that its definition asks for, taken plainly in `f64`.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use glowloom_show::{Averager, Layout, LinearFrame, Raster, Sizing};
use proptest::prelude::*;

/// Linear light by the formula of IEC 61966-2-1, not by the table under test.
fn linear(code: u8) -> f64 {
    let c = f64::from(code) / 255.0;
    if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
}

/// How much of the stretch from `a` to `b` the unit from `n` on covers.
fn overlap(a: f64, b: f64, n: u32) -> f64 {
    (b.min(f64::from(n) + 1.0) - a.max(f64::from(n))).max(0.0)
}

/// The mean of one wall pixel: every picture pixel weighed by the area that it shares with it.
fn mean(picture: &Picture, wall: (u32, u32), sizing: Sizing, at: (u32, u32)) -> [f64; 3] {
    let (w, h) = (f64::from(picture.width), f64::from(picture.height));
    // Picture pixels to a wall pixel, across and down.
    let (x, y) = (w / f64::from(wall.0), h / f64::from(wall.1));
    let (x, y) = match sizing {
        Sizing::Stretch => (x, y),
        Sizing::Fill => (x.min(y), x.min(y)),
        Sizing::Fit => (x.max(y), x.max(y)),
    };
    let left = (w - f64::from(wall.0) * x) / 2.0 + f64::from(at.0) * x;
    let top = (h - f64::from(wall.1) * y) / 2.0 + f64::from(at.1) * y;
    let mut sum = [0.0; 3];
    for row in 0..picture.height {
        for column in 0..picture.width {
            let area = overlap(left, left + x, column) * overlap(top, top + y, row);
            let n = (row * picture.width + column) as usize * picture.layout.stride();
            let pixel = &picture.bytes[n..n + picture.layout.stride()];
            let there =
                if picture.layout == Layout::Rgba { f64::from(pixel[3]) / 255.0 } else { 1.0 };
            for k in 0..3 {
                sum[k] += area * there * linear(pixel[k]);
            }
        }
    }
    sum.map(|sum| sum / (x * y))
}

#[derive(Clone, Debug)]
struct Picture {
    width: u32,
    height: u32,
    layout: Layout,
    bytes: Vec<u8>,
}

fn picture() -> impl Strategy<Value = Picture> {
    let side = || prop_oneof![1u32..5, 1u32..40];
    let layout = prop_oneof![Just(Layout::Rgb), Just(Layout::Rgba), Just(Layout::RgbaOpaque)];
    (side(), side(), layout, any::<[u8; 32]>()).prop_map(|(width, height, layout, seed)| {
        let length = (width * height) as usize * layout.stride();
        // Uneven bytes from few, so that cases stay small.
        let byte = |n: usize| seed[n % 32].wrapping_mul(1 + (n / 32) as u8).wrapping_add(n as u8);
        Picture { width, height, layout, bytes: (0..length).map(byte).collect() }
    })
}

fn sizing() -> impl Strategy<Value = Sizing> {
    prop_oneof![Just(Sizing::Fill), Just(Sizing::Fit), Just(Sizing::Stretch)]
}

fn check(averager: &mut Averager, picture: &Picture, wall: (u32, u32), sizing: Sizing) {
    let mut frame = LinearFrame::new(wall.0, wall.1);
    frame.values_mut().fill(0xA5A5);
    let raster =
        Raster::new(picture.width, picture.height, picture.layout, &picture.bytes).unwrap();
    averager.draw(raster, sizing, &mut frame);
    for row in 0..wall.1 {
        for column in 0..wall.0 {
            let wanted = mean(picture, wall, sizing, (column, row));
            let found = frame.pixel(column, row).unwrap();
            for k in 0..3 {
                // 2 / 65,535 is less than a hundredth of a device step.
                let off = (f64::from(found[k]) - wanted[k] * 65_535.0).abs();
                assert!(off <= 2.0, "{off} off at {column}, {row}, colour {k}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..Default::default() })]

    #[test]
    fn every_pixel_is_the_mean_of_what_it_covers(
        first in picture(), second in picture(), columns in 1u32..24, rows in 1u32..24,
        sizing in sizing(),
    ) {
        let mut averager = Averager::new();
        check(&mut averager, &first, (columns, rows), sizing);
        check(&mut averager, &second, (columns, rows), sizing);
        check(&mut averager, &first, (rows, columns), sizing);
    }

    /// Whole numbers of picture pixels to a wall pixel go another way through the code.
    #[test]
    fn whole_ratios_too(
        seed: [u8; 7], columns in 1u32..9, rows in 1u32..9, across in 1u32..7, down in 1u32..7,
        bars in 0u32..3, layout in prop_oneof![Just(Layout::Rgb), Just(Layout::Rgba)],
    ) {
        let (width, height) = (columns * across, rows * down);
        let length = (width * height) as usize * layout.stride();
        let bytes = (0..length).map(|n| seed[n % 7].wrapping_add((n * 31) as u8)).collect();
        let picture = Picture { width, height, layout, bytes };
        check(&mut Averager::new(), &picture, (columns, rows), Sizing::Stretch);
        check(&mut Averager::new(), &picture, (columns + 2 * bars, rows), Sizing::Fit);
        check(&mut Averager::new(), &picture, (columns, rows + 2 * bars), Sizing::Fill);
    }
}

/// Half black, half white is half of the light (IEC 61966-2-1: code 188 of a grey), not code 128.
#[test]
fn black_and_white_average_to_half_the_light() {
    let bytes = [0, 0, 0, 255, 255, 255];
    let mut frame = LinearFrame::new(1, 1);
    Averager::new().draw(
        Raster::new(2, 1, Layout::Rgb, &bytes).unwrap(),
        Sizing::Stretch,
        &mut frame,
    );
    assert_eq!(frame.to_rgb8(), [188; 3]);
    assert!(frame.values().iter().all(|&value| value.abs_diff(32_768) <= 1));
}

/// The longest rows and columns keep their precision: a long picture of one colour is that colour.
#[test]
fn the_longest_pictures_stay_exact() {
    for (width, height) in [(65_535, 1), (1, 65_535), (65_535, 7), (7, 65_535), (256, 256)] {
        let bytes = [127, 10, 255].repeat((width * height) as usize);
        let raster = Raster::new(width, height, Layout::Rgb, &bytes).unwrap();
        for (columns, rows) in [(1, 1), (3, 2)] {
            let mut frame = LinearFrame::new(columns, rows);
            Averager::new().draw(raster, Sizing::Stretch, &mut frame);
            for pixel in frame.values().as_chunks::<3>().0 {
                for (found, wanted) in pixel.iter().zip([13_909u16, 199, 65_535]) {
                    assert!(found.abs_diff(wanted) <= 1, "{width} x {height}: {pixel:?}");
                }
            }
        }
    }
}

#[test]
fn a_wall_of_nothing_is_passed_over() {
    let mut frame = LinearFrame::new(0, 5);
    Averager::new().draw(
        Raster::new(1, 1, Layout::Rgb, &[9; 3]).unwrap(),
        Sizing::Fill,
        &mut frame,
    );
    assert!(frame.values().is_empty());
}
