//! The parts of the picture whose light is followed.

use std::time::Duration;

use super::general::General;
use super::red::{Hue, Light, Red};
use crate::frame::LinearFrame;
use crate::srgb::FULL;

/// A picture is cut into so many cells each way, at least and at most.
const FEWEST: usize = 4;
const MOST: usize = 16;
const CELLS: usize = MOST * MOST;

/// How a picture is cut into cells, and which of them are followed together: the whole; windows of a quarter
/// of the picture; four columns and four rows; the two halves of a chequered board. None of these is smaller
/// than a quarter of the picture. Where it is told how much of the picture a viewer has in one field, squares
/// of a quarter of that field besides, each half of one further than the one before: any part as large as
/// the field has one within it.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    across: usize,
    down: usize,
    /// Of each zone, its cells, counted row by row.
    zones: Vec<Vec<u8>>,
}

impl Grid {
    /// For a picture of which so many fields lie side by side, across and down; they may be less than one.
    pub(super) fn new(fields: (f64, f64)) -> Self {
        // A quarter of a field's side is a cell's. No more than a byte can number; no number counts as none.
        let count =
            |fields: f64| (fields * 4.0).ceil().max(FEWEST as f64).min(MOST as f64) as usize;
        let (across, down) = (count(fields.0), count(fields.1));
        let mut grid = Self { across, down, zones: Vec::new() };
        for coarse in COARSE {
            // Of the sixteenth of the picture in which the cell's middle lies.
            let sixteenth = |column: usize, row: usize| {
                let middle = |at: usize, of: usize| (2 * at + 1) * FEWEST / (2 * of);
                middle(row, down) * FEWEST + middle(column, across)
            };
            grid.add(|column, row| coarse >> sixteenth(column, row) & 1 == 1);
        }
        if (across, down) != (FEWEST, FEWEST) {
            for (top, left) in
                (1..down).flat_map(|row| (1..across).map(move |column| (row - 1, column - 1)))
            {
                grid.add(|column, row| {
                    (left..left + 2).contains(&column) && (top..top + 2).contains(&row)
                });
            }
        }
        grid
    }

    fn add(&mut self, holds: impl Fn(usize, usize) -> bool) {
        let cells = (0..self.across * self.down)
            .filter(|cell| holds(cell % self.across, cell / self.across))
            .filter_map(|cell| u8::try_from(cell).ok());
        self.zones.push(cells.collect());
    }

    /// How many zones there are.
    pub(super) fn len(&self) -> usize {
        self.zones.len()
    }
}

/// The zones of a picture of 4 x 4 cells, each a set of them, bit 0 the top left one, bit 3 the top right one.
const COARSE: [u16; 20] = [
    0xFFFF, //
    0x0033, 0x0066, 0x00CC, 0x0330, 0x0660, 0x0CC0, 0x3300, 0x6600, 0xCC00, //
    0x1111, 0x2222, 0x4444, 0x8888, 0x000F, 0x00F0, 0x0F00, 0xF000, //
    0xA5A5, 0x5A5A,
];

/// Sums of linear light by cell.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cells {
    sums: [Light; CELLS],
    pixels: [f64; CELLS],
}

impl Default for Cells {
    fn default() -> Self {
        Self { sums: [[0.0; 3]; CELLS], pixels: [0.0; CELLS] }
    }
}

impl Cells {
    /// Measures a frame. Cells of a picture of fewer columns or rows than there are cells may be empty.
    pub(super) fn measure(frame: &LinearFrame, grid: &Grid) -> Self {
        let (columns, rows) = (frame.columns() as usize, frame.rows() as usize);
        let (across, down) = (grid.across, grid.down);
        let mut cells = Self::default();
        if columns == 0 {
            return cells;
        }
        let edges: [usize; MOST + 1] = std::array::from_fn(|n| n.min(across) * columns / across);
        let mut lines = frame.values().chunks_exact(columns * 3);
        for band in 0..down {
            // The rows of this band of cells: those of which row x bands / rows is the band's number.
            let mut left = ((band + 1) * rows).div_ceil(down) - (band * rows).div_ceil(down);
            while left > 0 {
                let mut lanes = [[0u32; LANES]; MOST];
                for line in lines.by_ref().take(left.min(ROWS_AT_ONCE)) {
                    for (lanes, edge) in lanes.iter_mut().zip(edges.windows(2)).take(across) {
                        add(&line[edge[0] * 3..edge[1] * 3], lanes);
                    }
                }
                for (column, (lanes, edge)) in
                    lanes.iter().zip(edges.windows(2)).take(across).enumerate()
                {
                    let cell = band * across + column;
                    for (n, lane) in lanes.iter().enumerate() {
                        cells.sums[cell][n % 3] += f64::from(*lane);
                    }
                    let pixels = (edge[1] - edge[0]) * left.min(ROWS_AT_ONCE);
                    cells.pixels[cell] += pixels as f64;
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
    pub(super) fn look(&self, grid: &Grid, looks: &mut Vec<Option<Look>>) {
        looks.clear();
        looks.extend(grid.zones.iter().map(|zone| self.mean(zone).map(Look::of)));
    }

    /// The mean light of a zone, each colour 0 to 1; `None` if no pixel lies in it.
    fn mean(&self, zone: &[u8]) -> Option<Light> {
        let mut total = [0.0; 3];
        let mut pixels = 0.0;
        for &cell in zone {
            let cell = usize::from(cell);
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

    fn lit(grid: &Grid, columns: u32, rows: u32, is_lit: impl Fn(u32, u32) -> bool) -> Cells {
        let mut frame = LinearFrame::new(columns, rows);
        for (n, pixel) in (0u32..).zip(frame.values_mut().as_chunks_mut::<3>().0) {
            *pixel = if is_lit(n % columns, n / columns) { [FULL; 3] } else { [0; 3] };
        }
        Cells::measure(&frame, grid)
    }

    fn coarse() -> Grid {
        Grid::new((0.0, 0.0))
    }

    /// The mean of red in each zone.
    fn means(grid: &Grid, cells: &Cells) -> Vec<f64> {
        grid.zones.iter().map(|zone| cells.mean(zone).unwrap()[0]).collect()
    }

    #[test]
    fn zones_are_quarters_halves_and_the_whole() {
        let grid = coarse();
        assert_eq!(grid.len(), COARSE.len());
        assert!(grid.zones.iter().all(|zone| [4, 8, 16].contains(&zone.len())), "{grid:?}");
        assert_eq!(grid.zones[1], [0, 1, 4, 5]);
    }

    #[test]
    fn means_are_of_the_zone_alone() {
        let grid = coarse();
        let top_left = lit(&grid, 40, 20, |column, row| column < 20 && row < 10);
        let means = means(&grid, &top_left);
        // The whole; the windows of the top row; the lowest window; the first column.
        assert_eq!(
            (means[0], &means[1..4], means[9], means[10]),
            (0.25, &[1.0, 0.5, 0.0][..], 0.0, 0.5)
        );
    }

    #[test]
    fn odd_sizes_lose_no_pixel() {
        for fields in [(0.0, 0.0), (2.0, 1.1), (9.0, 9.0)] {
            let grid = Grid::new(fields);
            for (columns, rows) in [(1, 1), (1, 7), (3, 2), (5, 5), (61, 33)] {
                let all = lit(&grid, columns, rows, |_, _| true);
                assert_eq!(all.mean(&grid.zones[0]), Some([1.0; 3]), "{columns} x {rows}");
                assert_eq!(all.pixels.iter().sum::<f64>(), f64::from(columns * rows));
            }
        }
    }

    #[test]
    fn mixing_is_linear() {
        let grid = coarse();
        let mixed = lit(&grid, 4, 4, |_, _| false).mixed(&lit(&grid, 4, 4, |c, _| c < 2), 0.25);
        let means = means(&grid, &mixed);
        assert_eq!((means[1], means[0]), (0.25, 0.125));
    }

    /// Wherever a field lies on the picture, some zone is all within it, so that what flashes in all of it is
    /// seen as it is.
    #[test]
    fn a_part_as_large_as_a_field_has_a_zone_of_its_own() {
        let (columns, rows, field) = (60, 32, 21);
        let side = f64::from(field);
        let grid = Grid::new((60.0 / side, 32.0 / side));
        assert_eq!((grid.across, grid.down), (12, 7));
        for top in 0..=rows - field {
            for left in 0..=columns - field {
                let within = |at: u32, from: u32| (from..from + field).contains(&at);
                let cells = lit(&grid, columns, rows, |c, r| within(c, left) && within(r, top));
                assert!(means(&grid, &cells).contains(&1.0), "{left}, {top}");
            }
        }
    }

    #[test]
    fn many_fields_are_followed_as_finely_as_there_is_room() {
        let grid = Grid::new((1e9, f64::NAN));
        assert_eq!((grid.across, grid.down), (MOST, FEWEST));
        assert_eq!(Grid::new((1e9, 1e9)).zones[0].len(), CELLS);
    }
}
