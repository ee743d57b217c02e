//! The parts of the picture whose light is followed.

use std::time::Duration;

use super::general::General;
use super::red::{Hue, Light, Red};
use crate::frame::LinearFrame;
use crate::srgb::FULL;

/// The picture is cut into this many cells each way.
const SIDE: usize = 4;
const CELLS: usize = SIDE * SIDE;

/// The zones, each a set of cells, bit 0 the top left cell, bit 3 the top right one: the whole; the
/// nine windows of 2 x 2 cells; the four columns and the four rows of cells; the two halves of a
/// chequered board. None is smaller than a quarter of the picture.
pub(super) const ZONES: [u16; 20] = [
    0xFFFF, //
    0x0033, 0x0066, 0x00CC, 0x0330, 0x0660, 0x0CC0, 0x3300, 0x6600, 0xCC00, //
    0x1111, 0x2222, 0x4444, 0x8888, 0x000F, 0x00F0, 0x0F00, 0xF000, //
    0xA5A5, 0x5A5A,
];

/// What there is to see in each zone; `None` where no pixel lies.
pub(super) type Looks = [Option<Look>; ZONES.len()];

/// Sums of linear light by cell.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Cells {
    sums: [Light; CELLS],
    pixels: [f64; CELLS],
}

impl Cells {
    /// Measures a frame. Cells of a picture of fewer than four columns or rows may be empty.
    pub(super) fn measure(frame: &LinearFrame) -> Self {
        let (columns, rows) = (frame.columns() as usize, frame.rows() as usize);
        let mut cells = Self::default();
        if columns == 0 {
            return cells;
        }
        let edges: [usize; SIDE + 1] = std::array::from_fn(|n| n * columns / SIDE);
        let mut lines = frame.values().chunks_exact(columns * 3);
        for band in 0..SIDE {
            // The rows of this band of cells: those of which row x 4 / rows is the band's number.
            let mut left = ((band + 1) * rows).div_ceil(SIDE) - (band * rows).div_ceil(SIDE);
            while left > 0 {
                let mut lanes = [[0u32; LANES]; SIDE];
                for line in lines.by_ref().take(left.min(ROWS_AT_ONCE)) {
                    for (lanes, edge) in lanes.iter_mut().zip(edges.windows(2)) {
                        add(&line[edge[0] * 3..edge[1] * 3], lanes);
                    }
                }
                for (column, lanes) in lanes.iter().enumerate() {
                    for (n, lane) in lanes.iter().enumerate() {
                        cells.sums[band * SIDE + column][n % 3] += f64::from(*lane);
                    }
                }
                for (column, edge) in edges.windows(2).enumerate() {
                    let pixels = (edge[1] - edge[0]) * left.min(ROWS_AT_ONCE);
                    cells.pixels[band * SIDE + column] += pixels as f64;
                }
                left -= left.min(ROWS_AT_ONCE);
            }
        }
        cells
    }

    /// The cells of a frame that lies `share` of the way from this one to `other`.
    pub(super) fn mixed(&self, other: &Self, share: f64) -> Self {
        let mut mixed = *other;
        for (out, from) in mixed.sums.iter_mut().zip(&self.sums) {
            for (out, from) in out.iter_mut().zip(from) {
                *out = from + (*out - from) * share;
            }
        }
        mixed
    }

    /// What there is to see in each zone; `None` where no pixel lies.
    pub(super) fn looks(&self) -> Looks {
        ZONES.map(|zone| self.mean(zone).map(Look::of))
    }

    /// The mean light of a zone, each colour 0 to 1; `None` if no pixel lies in it.
    fn mean(&self, zone: u16) -> Option<Light> {
        let mut total = [0.0; 3];
        let mut pixels = 0.0;
        let mut rest = zone;
        while rest != 0 {
            let cell = rest.trailing_zeros() as usize;
            rest &= rest - 1;
            pixels += self.pixels[cell];
            for (total, part) in total.iter_mut().zip(self.sums[cell]) {
                *total += part;
            }
        }
        (pixels > 0.0).then(|| total.map(|sum| sum / (pixels * f64::from(FULL))))
    }
}

/// Values added up side by side: the three colours of four pixels.
const LANES: usize = 12;

/// Rows after which lanes are emptied: 8 x 4,096 x 65,535 is less than a `u32` holds, 4,096 being
/// the share of one lane in a quarter of the longest row.
const ROWS_AT_ONCE: usize = 8;

/// Adds the values of one row's pixels, each to the lane of its place.
fn add(pixels: &[u16], lanes: &mut [u32; LANES]) {
    let (fours, rest) = pixels.as_chunks::<LANES>();
    // A copy, which the compiler keeps in registers.
    let mut sums = *lanes;
    for four in fours {
        for (sum, &value) in sums.iter_mut().zip(four) {
            *sum += u32::from(value);
        }
    }
    for (sum, &value) in sums.iter_mut().zip(rest) {
        *sum += u32::from(value);
    }
    *lanes = sums;
}

/// What there is to see in a zone at one moment.
#[derive(Clone, Copy, Debug)]
pub(super) struct Look {
    luminance: f64,
    hue: Hue,
}

impl Look {
    fn of(light: Light) -> Self {
        Self { luminance: luminance(light), hue: Hue::of(light) }
    }
}

/// What has been seen of one zone.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Zone {
    general: General,
    red: Red,
}

impl Zone {
    /// Whether the zone may look so now; of general flashes those count whose darker state is below
    /// `darker`.
    pub(super) fn allows(&self, look: Look, darker: f64, now: Duration) -> bool {
        self.general.allows(look.luminance, darker, now) && self.red.allows(look.hue, now)
    }

    /// The zone looked so.
    pub(super) fn note(&mut self, look: Look, darker: f64, now: Duration) {
        self.general.note(look.luminance, darker, now);
        self.red.note(look.hue, now);
    }
}

/// Relative luminance, 0 to 1, by the weights of Rec. 709 (read in the text of WCAG).
fn luminance([red, green, blue]: Light) -> f64 {
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lit(columns: u32, rows: u32, is_lit: impl Fn(u32, u32) -> bool) -> Cells {
        let mut frame = LinearFrame::new(columns, rows);
        for (n, pixel) in (0u32..).zip(frame.values_mut().as_chunks_mut::<3>().0) {
            *pixel = if is_lit(n % columns, n / columns) { [FULL; 3] } else { [0; 3] };
        }
        Cells::measure(&frame)
    }

    #[test]
    fn zones_are_quarters_halves_and_the_whole() {
        for zone in ZONES {
            assert!([4, 8, 16].contains(&zone.count_ones()), "{zone:04x}");
        }
    }

    #[test]
    fn means_are_of_the_zone_alone() {
        let top_left = lit(40, 20, |column, row| column < 20 && row < 10);
        assert_eq!(top_left.mean(0xFFFF), Some([0.25; 3]));
        assert_eq!(top_left.mean(0x0033), Some([1.0; 3]));
        assert_eq!(top_left.mean(0x0066), Some([0.5; 3]));
        assert_eq!(top_left.mean(0xCC00), Some([0.0; 3]));
        assert_eq!(top_left.mean(0x1111), Some([0.5; 3]));
    }

    #[test]
    fn odd_sizes_lose_no_pixel() {
        for (columns, rows) in [(1, 1), (1, 7), (3, 2), (5, 5), (61, 33)] {
            let all = lit(columns, rows, |_, _| true);
            assert_eq!(all.mean(0xFFFF), Some([1.0; 3]), "{columns} x {rows}");
            assert_eq!(all.pixels.iter().sum::<f64>(), f64::from(columns * rows));
        }
    }

    #[test]
    fn mixing_is_linear() {
        let mixed = lit(4, 4, |_, _| false).mixed(&lit(4, 4, |c, _| c < 2), 0.25);
        assert_eq!(mixed.mean(0x0033), Some([0.25; 3]));
        assert_eq!(mixed.mean(0xFFFF), Some([0.125; 3]));
    }
}
