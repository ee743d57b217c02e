//! From a picture of any size to the wall's pixels by a sharper filter than the mean: Lanczos of three
//! lobes, in linear light.
//!
//! Each wall pixel weighs the picture pixels within three of its own widths (of the picture's, where
//! that is enlarged) by sin(pi x) / (pi x) x sin(pi x / 3) / (pi x / 3), x being the distance in these
//! widths; what lies beyond the picture's edge is left out, and weights add up to 1. Edges come out
//! crisper than by the mean, with a little ringing beside them.

use crate::frame::LinearFrame;
use crate::matrix::nearest;
use crate::raster::Raster;
use crate::sizing::{Centres, Sizing, centres};

/// Lobes on each side.
const LOBES: f64 = 3.0;

/// Tables for pictures of one size on a wall of one size, and room to work in.
#[derive(Clone, Debug)]
pub(crate) struct Sharp {
    across: Taps,
    down: Taps,
    /// One picture row in linear light.
    row: Vec<[f32; 3]>,
    /// The same, filtered across.
    line: Vec<[f32; 3]>,
    /// The wall's pixels, as far as picture rows have been added.
    sums: Vec<[f32; 3]>,
}

/// Which picture pixels go into each wall pixel along one axis, and by which weights.
#[derive(Clone, Debug)]
struct Taps {
    spans: Vec<Tap>,
    weights: Vec<f32>,
}

#[derive(Clone, Copy, Debug)]
struct Tap {
    /// The first picture pixel and how many there are.
    first: usize,
    count: usize,
    /// Where their weights begin.
    at: usize,
}

impl Sharp {
    pub(crate) fn new(picture: (u32, u32), wall: (u32, u32), sizing: Sizing) -> Self {
        let (across, down) = centres(picture, wall, sizing);
        Self {
            across: Taps::new(&across, picture.0),
            down: Taps::new(&down, picture.1),
            row: vec![[0.0; 3]; picture.0 as usize],
            line: vec![[0.0; 3]; wall.0 as usize],
            sums: vec![[0.0; 3]; wall.0 as usize * wall.1 as usize],
        }
    }

    /// Fills all of `into`, whose size is the wall's.
    pub(crate) fn draw<const STRIDE: usize>(
        &mut self,
        picture: Raster<'_>,
        light: impl Fn(&[u8]) -> [u32; 3],
        into: &mut LinearFrame,
    ) {
        let columns = self.line.len();
        self.sums.fill([0.0; 3]);
        // Wall rows take picture rows in the order of both.
        let mut above = 0;
        for number in 0..picture.height() {
            let at = number as usize;
            let pixels = picture.row(number).as_chunks::<STRIDE>().0;
            for (to, pixel) in self.row.iter_mut().zip(pixels) {
                *to = light(pixel).map(|value| value as f32);
            }
            self.filter_across();
            while self.down.spans.get(above).is_some_and(|tap| tap.first + tap.count <= at) {
                above += 1;
            }
            for (row, tap) in self.down.spans.iter().enumerate().skip(above) {
                if tap.first > at {
                    break;
                }
                let Some(weight) = self.down.weights_of(tap).get(at - tap.first) else { continue };
                let sums = &mut self.sums[row * columns..][..columns];
                for (sum, value) in sums.iter_mut().zip(&self.line) {
                    for (sum, value) in sum.iter_mut().zip(value) {
                        *sum += weight * value;
                    }
                }
            }
        }
        for (to, sum) in into.values_mut().iter_mut().zip(self.sums.as_flattened()) {
            *to = nearest(*sum);
        }
    }

    fn filter_across(&mut self) {
        for (to, tap) in self.line.iter_mut().zip(&self.across.spans) {
            let pixels = self.row.get(tap.first..tap.first + tap.count).unwrap_or_default();
            let mut sum = [0.0; 3];
            for (pixel, weight) in pixels.iter().zip(self.across.weights_of(tap)) {
                for (sum, value) in sum.iter_mut().zip(pixel) {
                    *sum += weight * value;
                }
            }
            *to = sum;
        }
    }
}

impl Taps {
    fn new(centres: &Centres, len: u32) -> Self {
        let widths = centres.width.max(1.0);
        let reach = LOBES * widths;
        let mut taps = Self { spans: Vec::new(), weights: Vec::new() };
        for &(centre, covered) in &centres.places {
            let at = taps.weights.len();
            // Where the wall pixel is only partly on the picture, its centre may lie beside it.
            let centre = centre.clamp(0.0, f64::from(len));
            let first = (centre - reach + 0.5).max(0.0) as usize;
            let end = ((centre + reach + 0.5) as usize).min(len as usize);
            let of = |pixel: usize| lanczos((pixel as f64 + 0.5 - centre) / widths);
            let sum: f64 = (first..end).map(of).sum();
            let count = if covered > 0.0 { end.saturating_sub(first) } else { 0 };
            let scaled = (first..first + count).map(|pixel| (of(pixel) / sum * covered) as f32);
            taps.weights.extend(scaled);
            taps.spans.push(Tap { first, count, at });
        }
        taps
    }

    fn weights_of(&self, tap: &Tap) -> &[f32] {
        self.weights.get(tap.at..tap.at + tap.count).unwrap_or_default()
    }
}

fn lanczos(x: f64) -> f64 {
    if x.abs() >= LOBES {
        return 0.0;
    }
    sinc(x) * sinc(x / LOBES)
}

fn sinc(x: f64) -> f64 {
    let angle = x * std::f64::consts::PI;
    if angle.abs() < 1e-9 { 1.0 } else { angle.sin() / angle }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::average::Averager;
    use crate::raster::Layout;
    use crate::sizing::{Filter, Laying};

    fn drawn(picture: &[u8], size: (u32, u32), wall: (u32, u32), sizing: Sizing) -> LinearFrame {
        let mut frame = LinearFrame::new(wall.0, wall.1);
        let raster = Raster::new(size.0, size.1, Layout::Rgb, picture).unwrap();
        let laying = Laying { sizing, filter: Filter::Sharp };
        Averager::new().draw(raster, laying, &mut frame);
        frame
    }

    #[test]
    fn one_light_stays_one_light() {
        for (size, wall) in
            [((40, 30), (4, 3)), ((7, 5), (4, 3)), ((2, 2), (9, 9)), ((1, 1), (3, 3))]
        {
            let picture = vec![188; (size.0 * size.1 * 3) as usize];
            let frame = drawn(&picture, size, wall, Sizing::Fill);
            let light = crate::srgb::linear(188);
            assert!(frame.values().iter().all(|v| v.abs_diff(light) <= 1), "{size:?} on {wall:?}");
        }
    }

    #[test]
    fn beside_the_picture_is_black() {
        let picture = vec![255; 4 * 8 * 3];
        let frame = drawn(&picture, (4, 8), (6, 4), Sizing::Fit);
        let row: Vec<u16> = (0..6).map(|column| frame.pixel(column, 1).unwrap()[0]).collect();
        assert_eq!([row[0], row[1], row[4], row[5]], [0; 4]);
        assert!(row[2] >= 65_534 && row[3] >= 65_534, "{row:?}");
        // Three quarters of the outer columns are on the picture.
        let frame = drawn(&[255; 3 * 6 * 3], (3, 6), (4, 3), Sizing::Fit);
        let row: Vec<u16> = (0..4).map(|column| frame.pixel(column, 1).unwrap()[0]).collect();
        assert!(row[1].abs_diff(49_151) <= 2 && row[2].abs_diff(49_151) <= 2, "{row:?}");
    }

    /// A fine pattern keeps more of its swing than by the mean.
    #[test]
    fn it_is_sharper_than_the_mean() {
        // Stripes of 3 picture pixels, 2 picture pixels to a wall pixel.
        let picture: Vec<u8> =
            (0..48 * 2).flat_map(|i| [if i % 48 / 3 % 2 == 0 { 200 } else { 60 }; 3]).collect();
        let swing = |filter| {
            let mut frame = LinearFrame::new(24, 1);
            let raster = Raster::new(48, 2, Layout::Rgb, &picture).unwrap();
            let laying = Laying { sizing: Sizing::Stretch, filter };
            Averager::new().draw(raster, laying, &mut frame);
            let middle: Vec<f64> =
                (4..20).map(|c| f64::from(frame.pixel(c, 0).unwrap()[0])).collect();
            let mean = middle.iter().sum::<f64>() / 16.0;
            middle.iter().map(|v| (v - mean).powi(2)).sum::<f64>().sqrt()
        };
        assert!(swing(Filter::Sharp) > 1.05 * swing(Filter::Area));
    }
}
