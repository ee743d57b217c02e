//! From a picture of any size to the wall's pixels: the area average in linear light.
//!
//! A wall pixel shows the mean light of exactly the rectangle of the picture that it covers, edges
//! of picture pixels included; a picture smaller than the wall is enlarged by the same rule. What
//! is transparent lets black through.

use crate::frame::LinearFrame;
use crate::matrix::nearest;
use crate::raster::{Layout, Raster};
use crate::sharp::Sharp;
use crate::sizing::{Axis, Even, Filter, Laying, Sizing, axes};
use crate::srgb::{FULL, linear_table};

/// Averages pictures onto a wall. It keeps its tables from one picture to the next and takes new
/// memory only when the size of the picture or of the wall changes.
#[derive(Clone, Debug, Default)]
pub struct Averager {
    laid: Option<Laid>,
    sharp: Option<(Sizes, Sharp)>,
    /// Sums of whole picture rows, one to a channel of a wall row.
    sums: Vec<u32>,
    /// Sums of rows that are only partly under a wall row, weighed.
    edges: Vec<f32>,
    /// One picture row, averaged across.
    line: Vec<u16>,
}

/// What the tables were made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Sizes {
    picture: (u32, u32),
    wall: (u32, u32),
    sizing: Sizing,
}

#[derive(Clone, Debug)]
struct Laid {
    sizes: Sizes,
    across: Axis,
    down: Axis,
}

impl Averager {
    /// An averager that has seen no picture yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Fills all of `into` with `picture`, laid on it as a [`Sizing`] or a [`Laying`] says. By
    /// [`Filter::Area`] within 2/65,535 of the exact mean.
    pub fn draw(&mut self, picture: Raster<'_>, laying: impl Into<Laying>, into: &mut LinearFrame) {
        let Laying { sizing, filter } = laying.into();
        if into.values().is_empty() {
            return;
        }
        let sizes = Sizes {
            picture: (picture.width(), picture.height()),
            wall: (into.columns(), into.rows()),
            sizing,
        };
        if filter == Filter::Sharp {
            self.draw_sharp(picture, sizes, into);
            return;
        }
        let channels = into.columns() as usize * 3;
        let laid = match self.laid.take() {
            Some(laid) if laid.sizes == sizes => laid,
            _ => {
                self.sums = vec![0; channels];
                self.edges = vec![0.0; channels];
                self.line = vec![0; channels];
                let (across, down) = axes(sizes.picture, sizes.wall, sizing);
                Laid { sizes, across, down }
            }
        };
        match (laid.across.even, laid.down.even) {
            (Some(across), Some(down)) if (across.each, down.each) == (2, 2) => {
                match picture.layout() {
                    Layout::Rgb => draw_fours::<3, false>(picture, across, down, into),
                    Layout::Rgba => draw_fours::<4, true>(picture, across, down, into),
                    Layout::RgbaOpaque => draw_fours::<4, false>(picture, across, down, into),
                }
            }
            (Some(across), Some(down)) if fits(across, down) => match picture.layout() {
                Layout::Rgb => self.draw_even::<3, false>(picture, across, down, into),
                Layout::Rgba => self.draw_even::<4, true>(picture, across, down, into),
                Layout::RgbaOpaque => self.draw_even::<4, false>(picture, across, down, into),
            },
            _ => match picture.layout() {
                Layout::Rgb => self.draw_any::<3, false>(picture, &laid, into),
                Layout::Rgba => self.draw_any::<4, true>(picture, &laid, into),
                Layout::RgbaOpaque => self.draw_any::<4, false>(picture, &laid, into),
            },
        }
        self.laid = Some(laid);
    }

    fn draw_sharp(&mut self, picture: Raster<'_>, sizes: Sizes, into: &mut LinearFrame) {
        let (_, sharp) = match self.sharp.take() {
            Some(made) if made.0 == sizes => self.sharp.insert(made),
            _ => {
                let sharp = Sharp::new(sizes.picture, sizes.wall, sizes.sizing);
                self.sharp.insert((sizes, sharp))
            }
        };
        let table = linear_table();
        match picture.layout() {
            Layout::Rgb => sharp.draw::<3>(picture, |p| light::<false>(table, p), into),
            Layout::Rgba => sharp.draw::<4>(picture, |p| light::<true>(table, p), into),
            Layout::RgbaOpaque => sharp.draw::<4>(picture, |p| light::<false>(table, p), into),
        }
    }

    /// The common case: the same number of whole picture pixels to every wall pixel.
    fn draw_even<const STRIDE: usize, const ALPHA: bool>(
        &mut self,
        picture: Raster<'_>,
        across: Even,
        down: Even,
        into: &mut LinearFrame,
    ) {
        let table = linear_table();
        let channels = into.columns() as usize * 3;
        let shown = across.at as usize * 3..(across.at + across.shown) as usize * 3;
        let bytes = across.first as usize * STRIDE
            ..(across.first + across.shown * across.each) as usize * STRIDE;
        let each = across.each as usize;
        let share = 1.0 / (each as f32 * down.each as f32);
        for (row, out) in (0u32..).zip(into.values_mut().chunks_exact_mut(channels)) {
            out[..shown.start].fill(0);
            out[shown.end..].fill(0);
            let Some(above) = row.checked_sub(down.at).filter(|&above| above < down.shown) else {
                out.fill(0);
                continue;
            };
            let sums = &mut self.sums[shown.clone()];
            sums.fill(0);
            let first = down.first + above * down.each;
            for line in first..first + down.each {
                let line = &picture.row(line)[bytes.clone()];
                // A loop whose length the compiler knows is about twice as fast.
                match each {
                    1 => add_line::<STRIDE, ALPHA>(table, line, 1, sums),
                    2 => add_line::<STRIDE, ALPHA>(table, line, 2, sums),
                    3 => add_line::<STRIDE, ALPHA>(table, line, 3, sums),
                    4 => add_line::<STRIDE, ALPHA>(table, line, 4, sums),
                    _ => add_line::<STRIDE, ALPHA>(table, line, each, sums),
                }
            }
            for (value, &sum) in out[shown.clone()].iter_mut().zip(sums.iter()) {
                *value = nearest(sum as i32 as f32 * share);
            }
        }
    }

    /// Any size: weighed edges across and down.
    fn draw_any<const STRIDE: usize, const ALPHA: bool>(
        &mut self,
        picture: Raster<'_>,
        laid: &Laid,
        into: &mut LinearFrame,
    ) {
        let table = linear_table();
        let channels = into.columns() as usize * 3;
        // Neighbouring wall rows share the picture row between them.
        let mut in_line = None;
        let wall_rows = into.values_mut().chunks_exact_mut(channels);
        for (span, out) in laid.down.spans.iter().zip(wall_rows) {
            self.sums.fill(0);
            self.edges.fill(0.0);
            for index in 0..span.count {
                let row = span.first + index;
                if in_line != Some(row) {
                    average_line::<STRIDE, ALPHA>(
                        table,
                        picture.row(row),
                        &laid.across,
                        &mut self.line,
                    );
                    in_line = Some(row);
                }
                let weight = match index {
                    0 => span.head,
                    _ if index + 1 == span.count => span.tail,
                    _ => {
                        for (sum, &value) in self.sums.iter_mut().zip(&self.line) {
                            *sum += u32::from(value);
                        }
                        continue;
                    }
                };
                for (edge, &value) in self.edges.iter_mut().zip(&self.line) {
                    *edge += weight * f32::from(value);
                }
            }
            for ((value, &sum), &edge) in out.iter_mut().zip(&self.sums).zip(&self.edges) {
                *value = nearest(sum as f32 * laid.down.whole + edge);
            }
        }
    }
}

/// Two by two picture pixels to a wall pixel, the size that moving pictures are best given in:
/// summed in registers instead of memory.
fn draw_fours<const STRIDE: usize, const ALPHA: bool>(
    picture: Raster<'_>,
    across: Even,
    down: Even,
    into: &mut LinearFrame,
) {
    let table = linear_table();
    let channels = into.columns() as usize * 3;
    let shown = across.at as usize * 3..(across.at + across.shown) as usize * 3;
    let bytes = across.first as usize * STRIDE..(across.first + across.shown * 2) as usize * STRIDE;
    for (row, out) in (0u32..).zip(into.values_mut().chunks_exact_mut(channels)) {
        let Some(above) = row.checked_sub(down.at).filter(|&above| above < down.shown) else {
            out.fill(0);
            continue;
        };
        out[..shown.start].fill(0);
        out[shown.end..].fill(0);
        let first = down.first + above * 2;
        let upper = picture.row(first)[bytes.clone()].chunks_exact(STRIDE * 2);
        let lower = picture.row(first + 1)[bytes.clone()].chunks_exact(STRIDE * 2);
        let (pixels, _) = out[shown.clone()].as_chunks_mut::<3>();
        for ((pixel, upper), lower) in pixels.iter_mut().zip(upper).zip(lower) {
            let a = light::<ALPHA>(table, &upper[..STRIDE]);
            let b = light::<ALPHA>(table, &upper[STRIDE..]);
            let c = light::<ALPHA>(table, &lower[..STRIDE]);
            let d = light::<ALPHA>(table, &lower[STRIDE..]);
            for k in 0..3 {
                pixel[k] = ((a[k] + b[k] + c[k] + d[k] + 2) / 4) as u16;
            }
        }
    }
}

/// Whether the sum of one wall pixel stays inside of an `i32`, which converts faster than a `u32`.
fn fits(across: Even, down: Even) -> bool {
    u64::from(across.each) * u64::from(down.each) * u64::from(FULL) <= i32::MAX as u64
}

/// Linear light of one picture pixel before black.
#[inline(always)]
fn light<const ALPHA: bool>(table: &[u16; 256], pixel: &[u8]) -> [u32; 3] {
    let light = [0, 1, 2].map(|channel| u32::from(table[usize::from(pixel[channel])]));
    if ALPHA {
        // x 257 makes 65,535 of 255; half is added to round. At most 65,535 x 65,535 + 32,767.
        let there = u32::from(pixel[3]) * 257;
        light.map(|value| (value * there + 32_767) / 65_535)
    } else {
        light
    }
}

/// Adds one picture row to the sums, `each` pixels to a wall pixel.
#[inline(always)]
fn add_line<const STRIDE: usize, const ALPHA: bool>(
    table: &[u16; 256],
    line: &[u8],
    each: usize,
    sums: &mut [u32],
) {
    let (sums, _) = sums.as_chunks_mut::<3>();
    for (cell, sum) in line.chunks_exact(each * STRIDE).zip(sums) {
        let (pixels, _) = cell.as_chunks::<STRIDE>();
        for pixel in pixels {
            let light = light::<ALPHA>(table, pixel);
            sum[0] += light[0];
            sum[1] += light[1];
            sum[2] += light[2];
        }
    }
}

/// Averages one picture row across, into one value for each channel of a wall row.
fn average_line<const STRIDE: usize, const ALPHA: bool>(
    table: &[u16; 256],
    line: &[u8],
    across: &Axis,
    out: &mut [u16],
) {
    let (pixels, _) = line.as_chunks::<STRIDE>();
    let (out, _) = out.as_chunks_mut::<3>();
    for (span, out) in across.spans.iter().zip(out) {
        let first = span.first as usize;
        let covered = pixels.get(first..first + span.count as usize).unwrap_or_default();
        *out = match covered {
            [] => [0; 3],
            [only] => light::<ALPHA>(table, only).map(|value| nearest(span.head * value as f32)),
            [head, middle @ .., tail] => {
                let (head, tail) = (light::<ALPHA>(table, head), light::<ALPHA>(table, tail));
                let mut sum = [0u32; 3];
                for pixel in middle {
                    let light = light::<ALPHA>(table, pixel);
                    sum[0] += light[0];
                    sum[1] += light[1];
                    sum[2] += light[2];
                }
                [0, 1, 2].map(|k| {
                    nearest(
                        sum[k] as f32 * across.whole
                            + span.head * head[k] as f32
                            + span.tail * tail[k] as f32,
                    )
                })
            }
        };
    }
}
