//! The pixel path of a panel against tables drawn by hand, and against a strip that is laid down
//! step by step on a panel which is then turned.

mod support;

use glowloom_plan::path::{Cell, PanelPath};

/// Corner, strips, path, and the index at each place of a panel of 3 columns and 2 rows, top row
/// first.
const DRAWN: [(&str, &str, &str, [[u32; 3]; 2]); 16] = [
    ("top-left", "vertical", "serpentine", [[0, 3, 4], [1, 2, 5]]),
    ("top-left", "vertical", "progressive", [[0, 2, 4], [1, 3, 5]]),
    ("top-right", "vertical", "serpentine", [[4, 3, 0], [5, 2, 1]]),
    ("top-right", "vertical", "progressive", [[4, 2, 0], [5, 3, 1]]),
    ("bottom-left", "vertical", "serpentine", [[1, 2, 5], [0, 3, 4]]),
    ("bottom-left", "vertical", "progressive", [[1, 3, 5], [0, 2, 4]]),
    ("bottom-right", "vertical", "serpentine", [[5, 2, 1], [4, 3, 0]]),
    ("bottom-right", "vertical", "progressive", [[5, 3, 1], [4, 2, 0]]),
    ("top-left", "horizontal", "serpentine", [[0, 1, 2], [5, 4, 3]]),
    ("top-left", "horizontal", "progressive", [[0, 1, 2], [3, 4, 5]]),
    ("top-right", "horizontal", "serpentine", [[2, 1, 0], [3, 4, 5]]),
    ("top-right", "horizontal", "progressive", [[2, 1, 0], [5, 4, 3]]),
    ("bottom-left", "horizontal", "serpentine", [[5, 4, 3], [0, 1, 2]]),
    ("bottom-left", "horizontal", "progressive", [[3, 4, 5], [0, 1, 2]]),
    ("bottom-right", "horizontal", "serpentine", [[3, 4, 5], [2, 1, 0]]),
    ("bottom-right", "horizontal", "progressive", [[5, 4, 3], [2, 1, 0]]),
];

/// A wall of one panel of that shape, which hangs with its top left at column 2, row 1.
fn wall(columns: u32, rows: u32, turn: u32, shape: &str) -> glowloom_design::Wall {
    let turned = turn % 180 == 90;
    let (across, down) = if turned { (rows, columns) } else { (columns, rows) };
    support::read(&format!(
        "format = 1\n[wall]\nname = \"w\"\ncolumns = {}\nrows = {}\n[strip]\npart = \
         \"ws2812b-30\"\n[[panels]]\nname = \"p\"\nat = [2, 1]\ncolumns = {columns}\nrows = \
         {rows}\nturn = {turn}\n{shape}\n[receiver]\nboard = \"esp32\"\n",
        across + 2,
        down + 1
    ))
}

/// A table turned a quarter clockwise, as one turns a sheet of paper.
fn turned(table: Vec<Vec<u32>>) -> Vec<Vec<u32>> {
    (0..table[0].len()).map(|i| table.iter().rev().map(|row| row[i]).collect()).collect()
}

#[test]
fn every_corner_direction_path_and_turn() {
    for (enter, strips, path, drawn) in DRAWN {
        let mut wanted: Vec<Vec<u32>> = drawn.iter().map(|row| row.to_vec()).collect();
        for turn in [0, 90, 180, 270] {
            let shape = format!("enter = \"{enter}\"\nstrips = \"{strips}\"\npath = \"{path}\"");
            let wall = wall(3, 2, turn, &shape);
            let path = PanelPath::of(&wall.panels[0]);
            for (row, indices) in wanted.iter().enumerate() {
                for (column, index) in indices.iter().enumerate() {
                    let place = Cell { column: 2 + column as u32, row: 1 + row as u32 };
                    let pixel = path.at(place).unwrap();
                    assert_eq!(pixel.index, *index, "{shape}, turned {turn}, at {place:?}");
                    assert_eq!(pixel.picture, place);
                }
            }
            wanted = turned(wanted);
        }
    }
}

#[test]
fn outside_the_panel_there_is_nothing() {
    let wall = wall(3, 2, 90, "");
    let path = PanelPath::of(&wall.panels[0]);
    let hangs = |column, row| path.at(Cell { column, row }).is_some();
    let columns: Vec<_> = (0..6).filter(|c| hangs(*c, 1)).collect();
    let rows: Vec<_> = (0..6).filter(|r| hangs(2, *r)).collect();
    assert_eq!((columns, rows), (vec![2, 3], vec![1, 2, 3]));
}

/// Walks along the strips with a finger: from the corner, along, across, and round the panel's middle
/// by quarter turns. Twice the distances from the middle are whole numbers.
struct Finger {
    half: (i64, i64),
    along: (i64, i64),
    across: (i64, i64),
    start: (i64, i64),
    quarters: u32,
}

impl Finger {
    fn new(columns: i64, rows: i64, enter: &str, strips: &str, turn: u32) -> Self {
        let (right, down) = (columns - 1, rows - 1);
        let x = if enter.ends_with("left") { 1 } else { -1 };
        let y = if enter.starts_with("top") { 1 } else { -1 };
        let upright = strips == "vertical";
        Self {
            half: (right, down),
            along: if upright { (0, 2 * y) } else { (2 * x, 0) },
            across: if upright { (2 * x, 0) } else { (0, 2 * y) },
            start: (-x * right, -y * down),
            quarters: turn / 90,
        }
    }

    /// Column and row, on the hung panel, of the place so many strips and pixels from the corner.
    fn point(&self, strip: i64, from_near: i64) -> (u32, u32) {
        let mut point = (
            self.start.0 + strip * self.across.0 + from_near * self.along.0,
            self.start.1 + strip * self.across.1 + from_near * self.along.1,
        );
        let mut half = self.half;
        for _ in 0..self.quarters {
            // Right becomes down, down becomes left.
            point = (-point.1, point.0);
            half = (half.1, half.0);
        }
        (((point.0 + half.0) / 2) as u32, ((point.1 + half.1) / 2) as u32)
    }
}

#[test]
fn strips_laid_by_hand_give_the_same_path() {
    let mut seen = 0;
    for (columns, rows) in [(1, 1), (1, 4), (5, 1), (3, 2), (7, 5)] {
        for strips in ["vertical", "horizontal"] {
            let (strip_count, strip_pixels) =
                if strips == "vertical" { (columns, rows) } else { (rows, columns) };
            for enter in ["top-left", "top-right", "bottom-left", "bottom-right"] {
                for path in ["serpentine", "progressive"] {
                    for turn in [0, 90, 180, 270] {
                        for (lines, spare) in [(1, 0), (2, 1), (3, 4)] {
                            if lines > strip_count {
                                continue;
                            }
                            let shape = format!(
                                "enter = \"{enter}\"\nstrips = \"{strips}\"\npath = \"{path}\"\n\
                                 data_lines = {lines}\nspare_pixels = {spare}"
                            );
                            let wall = wall(columns, rows, turn, &shape);
                            let finger =
                                Finger::new(columns.into(), rows.into(), enter, strips, turn);
                            let laid = laid(&finger, strip_count, strip_pixels, path, lines, spare);
                            let found: Vec<_> = PanelPath::of(&wall.panels[0])
                                .lines()
                                .flat_map(|line| line.path())
                                .map(|p| (p.data_line, p.index, p.strip, p.hung.column, p.hung.row))
                                .collect();
                            assert_eq!(found, laid, "{columns} x {rows}, turned {turn}, {shape}");
                            seen += 1;
                        }
                    }
                }
            }
        }
    }
    // 32 ways to lay a panel; 21 pairs of shape and lines that its strips allow.
    assert_eq!(seen, 32 * 21);
}

/// Line, index, strip, column and row of every pixel, in the order in which data passes.
fn laid(
    finger: &Finger,
    strips: u32,
    pixels: u32,
    path: &str,
    lines: u32,
    spare: u32,
) -> Vec<(u32, u32, u32, u32, u32)> {
    let mut laid = Vec::new();
    let mut strip = 0;
    for line in 1..=lines {
        // Dealt out like cards, one to each line in turn; then each line's are laid side by side.
        let share = (0..strips).filter(|card| card % lines == line - 1).count();
        let (mut index, mut near) = (spare, true);
        for _ in 0..share {
            for step in 0..pixels {
                let from_near = if near { step } else { pixels - 1 - step };
                let (column, row) = finger.point(strip.into(), from_near.into());
                laid.push((line, index, strip + 1, column, row));
                index += 1;
            }
            strip += 1;
            near = path == "progressive" || !near;
        }
    }
    laid
}

#[test]
fn runs_join_end_to_end() {
    let wall = wall(7, 5, 0, "data_lines = 2\nspare_pixels = 3");
    let lines: Vec<_> = PanelPath::of(&wall.panels[0]).lines().collect();
    assert_eq!(
        lines.iter().map(|l| (l.first_strip, l.strips)).collect::<Vec<_>>(),
        [(1, 4), (5, 3)]
    );
    assert_eq!(
        lines.iter().map(|l| (l.lit_pixels(), l.pixels())).collect::<Vec<_>>(),
        [(20, 23), (15, 18)]
    );
    for line in lines {
        let path: Vec<_> = line.path().collect();
        let runs: Vec<_> = line.runs().collect();
        assert_eq!(runs.len(), line.strips as usize);
        for (i, run) in runs.iter().enumerate() {
            assert_eq!((run.first, run.last), (path[5 * i], path[5 * i + 4]));
            assert_eq!(run.starts_near, i % 2 == 0);
        }
    }
}
