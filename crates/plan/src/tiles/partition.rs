//! How a panel's grid is cut into tiles: fewest tiles, then fewest kinds, then large tiles first.
//!
//! Columns are cut into parts and rows into parts, so that tiles meet at corners. Each tile must fit
//! the bed, all of them lying on it the same way round. A kind is told by its size and by at how many
//! of its edges strips end, so the first and the last part along the strips count apart from those
//! between.

use std::cmp::Reverse;

use super::grains::Grains;

/// Most cells of a tile each way, whatever the bed: a file of more triangles helps nobody.
pub const MOST_CELLS: u32 = 128;

/// So many parts of so many cells, one after the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Run {
    /// Cells of each.
    pub cells: u32,
    /// How many.
    pub parts: u32,
}

/// How a panel is cut, strips upright.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Partition {
    /// Across the strips, from strip 1 of the panel's left or top.
    pub across: Vec<Run>,
    /// Along the strips, from the panel's top or left.
    pub along: Vec<Run>,
    /// Whether tiles lie on the bed with their strips along its width.
    pub turned: bool,
}

impl Partition {
    /// How many tiles.
    #[must_use]
    pub fn tiles(&self) -> u64 {
        parts(&self.across) * parts(&self.along)
    }

    /// Each kind of tile: columns, rows, edges with strip ends, how many. A kind may come twice.
    pub fn kinds(&self) -> impl Iterator<Item = (u32, u32, u8, u64)> {
        let classes = classes(&self.along);
        self.across.iter().flat_map(move |across| {
            let of = move |class: &(u32, u8, u64)| {
                (across.cells, class.0, class.1, class.2 * u64::from(across.parts))
            };
            classes.clone().into_iter().map(move |class| of(&class))
        })
    }

    /// How many kinds of size and ends.
    fn kind_count(&self) -> usize {
        let mut kinds: Vec<_> = self.kinds().map(|(c, r, ends, _)| (c, r, ends)).collect();
        kinds.sort_unstable();
        kinds.dedup();
        kinds.len()
    }

    /// Cells of the tiles, large first, each with how many there are.
    fn sizes(&self) -> Vec<(u64, u64)> {
        let mut sizes: Vec<(u64, u64)> = Vec::new();
        let mut all: Vec<_> =
            self.kinds().map(|(c, r, _, n)| (u64::from(c) * u64::from(r), n)).collect();
        all.sort_unstable_by_key(|size| Reverse(size.0));
        for (cells, tiles) in all {
            match sizes.last_mut() {
                Some(last) if last.0 == cells => last.1 += tiles,
                _ => sizes.push((cells, tiles)),
            }
        }
        sizes
    }
}

fn parts(runs: &[Run]) -> u64 {
    runs.iter().map(|run| u64::from(run.parts)).sum()
}

/// Parts along the strips by cells and edges with strip ends, with how many there are.
fn classes(along: &[Run]) -> Vec<(u32, u8, u64)> {
    let total = parts(along);
    let mut classes: Vec<(u32, u8, u64)> = Vec::new();
    let mut before = 0;
    for run in along {
        let after = before + u64::from(run.parts);
        if total == 1 {
            classes.push((run.cells, 2, 1));
        } else {
            // The first part and the last one, where they are of this run; the rest is plain.
            let at_ends = u64::from(before == 0) + u64::from(after == total);
            let plain = u64::from(run.parts) - at_ends;
            classes.extend((at_ends > 0).then_some((run.cells, 1, at_ends)));
            classes.extend((plain > 0).then_some((run.cells, 0, plain)));
        }
        before = after;
    }
    classes
}

/// Most cells of a step that fit a length, gaps at the edges off; as many as a file may hold.
fn fitting(length: Grains, half_step: Grains, half_gap: Grains) -> u32 {
    let step = (half_step.0 * 2).max(1);
    let cells = (length.0 + half_gap.0 * 2).max(0) / step;
    u32::try_from(cells).unwrap_or(MOST_CELLS).min(MOST_CELLS)
}

/// A grid to be cut, strips upright.
#[derive(Clone, Copy, Debug)]
pub struct Grid {
    /// Cells across the strips; at least 1.
    pub columns: u32,
    /// Cells along the strips; at least 1.
    pub rows: u32,
    /// Half a step across the strips.
    pub half_column: Grains,
    /// Half a step along the strips.
    pub half_row: Grains,
    /// By which a tile stands back from the grid's lines.
    pub half_gap: Grains,
}

impl Grid {
    /// The best partition for a bed of that width and depth; `None` where not one cell fits.
    #[must_use]
    pub fn cut(&self, bed: (Grains, Grains)) -> Option<Partition> {
        let of = |turned: bool| {
            let (width, depth) = if turned { (bed.1, bed.0) } else { bed };
            let columns = fitting(width, self.half_column, self.half_gap);
            let rows = fitting(depth, self.half_row, self.half_gap);
            (columns > 0 && rows > 0).then(|| Partition {
                across: across(self.columns, columns),
                along: along(self.rows, rows),
                turned,
            })
        };
        let ways = [of(false), of(true)].into_iter().flatten();
        ways.min_by_key(|way| (way.tiles(), way.kind_count(), Reverse(way.sizes()), way.turned))
    }
}

/// Parts of at most `most` cells: as few as there can be; of one size if that is possible, else as
/// many of the largest as there can be and one with the rest.
fn across(cells: u32, most: u32) -> Vec<Run> {
    let parts = cells.div_ceil(most);
    if cells.is_multiple_of(parts) {
        return vec![Run { cells: cells / parts, parts }];
    }
    let rest = cells - most * (parts - 1);
    vec![Run { cells: most, parts: parts - 1 }, Run { cells: rest, parts: 1 }]
}

/// The same along the strips, where the first and the last part are a kind of their own: both of one
/// size and all between them of one size, if that is possible.
fn along(cells: u32, most: u32) -> Vec<Run> {
    let parts = cells.div_ceil(most);
    if parts < 3 {
        return across(cells, most);
    }
    let between = parts - 2;
    // From large to small: the first that fits leaves the most large ones, unless the ends can be
    // larger still; of the two the one with more cells in large tiles wins.
    let fits = |middle: u32| {
        let rest = cells.checked_sub(middle.checked_mul(between)?)?;
        let end = rest / 2;
        (rest.is_multiple_of(2) && (1..=most).contains(&end)).then_some((end, middle))
    };
    let large_first = |(end, middle): &(u32, u32)| {
        if end > middle {
            (*end, 2, *middle)
        } else if end < middle {
            (*middle, between, *end)
        } else {
            (*end, parts, 0)
        }
    };
    match (1..=most).filter_map(fits).max_by_key(large_first) {
        Some((end, middle)) => vec![
            Run { cells: end, parts: 1 },
            Run { cells: middle, parts: between },
            Run { cells: end, parts: 1 },
        ],
        None => {
            let rest = cells - most * (parts - 1);
            vec![Run { cells: most, parts: parts - 1 }, Run { cells: rest, parts: 1 }]
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every way to write a number as an ordered sum of so many parts of at most `most`.
    fn sums(cells: u32, parts: u32, most: u32) -> Vec<Vec<u32>> {
        if parts == 0 {
            return if cells == 0 { vec![vec![]] } else { vec![] };
        }
        (1..=most.min(cells))
            .flat_map(|first| {
                sums(cells - first, parts - 1, most).into_iter().map(move |mut rest| {
                    rest.insert(0, first);
                    rest
                })
            })
            .collect()
    }

    fn flat(runs: &[Run]) -> Vec<u32> {
        runs.iter().flat_map(|run| (0..run.parts).map(|_| run.cells)).collect()
    }

    /// Kinds and sizes, large first, of a grid of tiles: counted tile by tile.
    fn judged(across: &[u32], along: &[u32]) -> (usize, usize, Reverse<Vec<u32>>) {
        let mut kinds = Vec::new();
        let mut sizes = Vec::new();
        for columns in across {
            for (i, rows) in along.iter().enumerate() {
                let ends = u8::from(i == 0) + u8::from(i + 1 == along.len());
                kinds.push((*columns, *rows, ends));
                sizes.push(columns * rows);
            }
        }
        sizes.sort_unstable_by_key(|size| Reverse(*size));
        let tiles = kinds.len();
        kinds.sort_unstable();
        kinds.dedup();
        (tiles, kinds.len(), Reverse(sizes))
    }

    /// A bed of so many cells each way, cells being of one step.
    fn cut(columns: u32, rows: u32, bed: (i64, i64)) -> Option<Partition> {
        let grid = Grid {
            columns,
            rows,
            half_column: Grains(5),
            half_row: Grains(5),
            half_gap: Grains(0),
        };
        grid.cut((Grains(bed.0 * 10), Grains(bed.1 * 10)))
    }

    /// Against every grid partition there is, both ways round on the bed, with up to one part more
    /// each way than needed.
    #[test]
    fn none_is_better_among_all() {
        for (bed_width, bed_depth) in [(1, 1), (3, 3), (4, 4), (2, 4), (5, 3), (6, 2)] {
            for columns in 1..=9 {
                for rows in 1..=9 {
                    let found = cut(columns, rows, (bed_width, bed_depth)).unwrap();
                    let mut best = None;
                    for (width, depth) in [(bed_width, bed_depth), (bed_depth, bed_width)] {
                        let [width, depth] = [width, depth].map(|n| u32::try_from(n).unwrap());
                        for p in 1..=columns.min(columns.div_ceil(width) + 1) {
                            for q in 1..=rows.min(rows.div_ceil(depth) + 1) {
                                for across in sums(columns, p, width) {
                                    for along in sums(rows, q, depth) {
                                        let one = judged(&across, &along);
                                        if best.as_ref().is_none_or(|best| one < *best) {
                                            best = Some(one);
                                        }
                                    }
                                }
                            }
                        }
                    }
                    let (across, along) = (flat(&found.across), flat(&found.along));
                    assert_eq!(across.iter().sum::<u32>(), columns);
                    assert_eq!(along.iter().sum::<u32>(), rows);
                    assert_eq!(
                        Some(judged(&across, &along)),
                        best,
                        "{columns} x {rows} on {bed_width} x {bed_depth}: {across:?} {along:?}"
                    );
                }
            }
        }
    }

    /// The sums that the module opens with, and what its own counting says of them.
    #[test]
    fn large_ones_come_first() {
        let found = cut(16, 36, (6, 6)).unwrap();
        assert_eq!(flat(&found.across), [6, 6, 4]);
        assert_eq!(flat(&found.along), [6; 6]);
        let mut kinds: Vec<_> = found.kinds().collect();
        kinds.sort_unstable();
        let each: u64 = kinds.iter().filter(|k| (k.0, k.1, k.2) == (6, 6, 0)).map(|k| k.3).sum();
        assert_eq!(each, 8);
        assert_eq!(found.tiles(), 18);
        // Of one size rather than large; ends apart from the rest.
        let found = cut(20, 32, (6, 6)).unwrap();
        assert_eq!((flat(&found.across), flat(&found.along)), (vec![5; 4], vec![4, 6, 6, 6, 6, 4]));
        // No two kinds will do: 17 in three parts of at most 6 is 6, 6, 5 or 6, 5, 6.
        assert_eq!(flat(&cut(1, 17, (6, 6)).unwrap().along), [6, 5, 6]);
        // 16 in four parts of at most 5: ends of 3 and 5s between are larger than 4s throughout.
        assert_eq!(flat(&cut(1, 16, (5, 5)).unwrap().along), [3, 5, 5, 3]);
        // 13 in four parts of at most 4: e + m would have to be six and a half.
        assert_eq!(flat(&cut(1, 13, (4, 4)).unwrap().along), [4, 4, 4, 1]);
    }

    #[test]
    fn the_bed_may_be_turned() {
        let found = cut(4, 8, (8, 4)).unwrap();
        assert!(found.turned);
        assert_eq!(found.tiles(), 1);
        assert_eq!(found.kinds().collect::<Vec<_>>(), [(4, 8, 2, 1)]);
        assert!(!cut(4, 4, (4, 4)).unwrap().turned);
    }

    #[test]
    fn a_bed_smaller_than_a_cell_holds_none() {
        assert_eq!(cut(4, 4, (0, 9)), None);
        let grid = Grid {
            columns: 1,
            rows: 1,
            half_column: Grains(5),
            half_row: Grains(5),
            half_gap: Grains(1),
        };
        // A cell of 10 is 8 long with gaps.
        assert!(grid.cut((Grains(8), Grains(8))).is_some());
        assert!(grid.cut((Grains(7), Grains(8))).is_none());
    }

    #[test]
    fn a_tile_holds_no_more_than_its_file_may() {
        let found = cut(1000, 1, (900, 900)).unwrap();
        assert_eq!(found.across, [Run { cells: 125, parts: 8 }]);
    }
}
