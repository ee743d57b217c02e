//! Schedules: tables with the unit in the head, broken over sheets where one does not hold them.

use super::text::{BOLD, Hand, PLAIN};
use super::{Drawing, Ink, MEDIUM, THIN};
use crate::svg::{Point, Rect};

/// What stands in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Figures, their last digits below each other.
    Right,
    /// A box to tick; the text is left out.
    Box,
    /// As many boxes to tick as the text says.
    Boxes,
    /// A box to write into; the text is left out.
    Field,
}

/// A column.
#[derive(Clone, Debug)]
pub struct Column {
    /// What stands in its head.
    pub head: String,
    /// What stands in it.
    pub align: Align,
    /// Its share of what is left when columns of figures have what they need; 0: as wide as needed.
    pub share: f64,
}

/// A column of words that takes a share of the room.
pub fn words(head: &str, share: f64) -> Column {
    Column { head: head.into(), align: Align::Left, share }
}

/// A column of words as wide as its longest.
pub fn word(head: &str) -> Column {
    words(head, 0.0)
}

/// A column of figures.
pub fn figures(head: &str) -> Column {
    Column { head: head.into(), align: Align::Right, share: 0.0 }
}

/// A column of boxes to tick.
pub fn ticks(head: &str) -> Column {
    Column { head: head.into(), align: Align::Box, share: 0.0 }
}

/// A column of so many boxes to tick as each row says; it takes a share of the room.
pub fn boxes(head: &str, share: f64) -> Column {
    Column { head: head.into(), align: Align::Boxes, share }
}

/// A column of boxes to write into.
pub fn field(head: &str) -> Column {
    Column { head: head.into(), align: Align::Field, share: 0.0 }
}

/// A table.
#[derive(Clone, Debug)]
pub struct Table {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, as long as there are columns.
    pub rows: Vec<Vec<String>>,
}

/// Between a cell's edge and its text.
const PAD: f64 = 1.2;
/// Above and below the text of a row.
const AIR: f64 = 0.9;
/// From one tick box to the next.
const BOX_STEP: f64 = 4.2;
/// The least breadth of a box to write into.
const FIELD: f64 = 15.0;
/// A column as wide as needed is no wider than this share of the table.
const WIDEST: f64 = 0.4;

/// How many tick boxes stand side by side in a column.
fn abreast(width: f64) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a page's width")]
    let abreast = ((width - 2.0 * PAD + 1.0) / BOX_STEP).floor().max(1.0) as u32;
    abreast
}

impl Table {
    /// A table of those columns.
    pub fn new(columns: Vec<Column>) -> Self {
        Self { columns, rows: Vec::new() }
    }

    /// Adds a row.
    pub fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().map(|cell| super::text::plain(&cell)).collect());
    }

    fn widths(&self, room: f64) -> Vec<f64> {
        let needed = |(i, column): (usize, &Column)| {
            let head = BOLD.width(&column.head);
            let cells = self.rows.iter().filter_map(|row| row.get(i));
            let widest = match column.align {
                Align::Box => head.max(4.0),
                Align::Field => head.max(FIELD),
                _ => cells.map(|cell| PLAIN.width(cell)).fold(head, f64::max),
            };
            (widest + 2.0 * PAD + 0.05).min(room * WIDEST)
        };
        let needed: Vec<f64> = self.columns.iter().enumerate().map(needed).collect();
        let shares: f64 = self.columns.iter().map(|column| column.share).sum();
        let fixed: f64 = self
            .columns
            .iter()
            .zip(&needed)
            .filter(|(column, _)| column.share <= 0.0)
            .map(|(_, width)| width)
            .sum();
        // Columns that take a share have a quarter of the room at least.
        let most = if shares > 0.0 { room * 0.75 } else { room };
        let shrink = if fixed > most { most / fixed } else { 1.0 };
        let left = (room - fixed * shrink).max(0.0);
        let width = |(column, needed): (&Column, &f64)| {
            if column.share > 0.0 { left * column.share / shares } else { needed * shrink }
        };
        self.columns.iter().zip(&needed).map(width).collect()
    }

    /// The lines of a row's cells, and how high it is.
    fn broken(&self, cells: &[String], widths: &[f64], hand: Hand) -> (Vec<Vec<String>>, f64) {
        let lines: Vec<Vec<String>> = cells
            .iter()
            .zip(widths)
            .map(|(cell, width)| hand.lines(cell, (width - 2.0 * PAD).max(1.0)))
            .collect();
        let most = lines.iter().map(Vec::len).max().unwrap_or(1).max(1);
        #[expect(clippy::cast_precision_loss, reason = "lines of a cell")]
        let height = hand.size.line() * most as f64 + 2.0 * AIR;
        let boxes =
            self.columns.iter().zip(cells).zip(widths).map(|((column, cell), width)| {
                match (column.align, cell.parse::<u32>()) {
                    (Align::Boxes, Ok(count)) => {
                        BOX_STEP * f64::from(count.div_ceil(abreast(*width))) + 0.4
                    }
                    (Align::Field, _) if hand == PLAIN => 7.0,
                    _ => 0.0,
                }
            });
        (lines, boxes.fold(height, f64::max))
    }

    /// Draws rows from that one on into the room, with the head above. Gives the first row that found
    /// no room, and where the table ends. One row at least is drawn.
    pub fn draw(&self, drawing: &mut Drawing, room: &Rect, from: usize) -> (usize, f64) {
        let widths = self.widths(room.width);
        let heads: Vec<String> = self.columns.iter().map(|column| column.head.clone()).collect();
        let (lines, height) = self.broken(&heads, &widths, BOLD);
        let mut y = room.top;
        drawing.line(MEDIUM, Point::new(room.left, y), Point::new(room.right(), y));
        self.cells(drawing, &lines, &widths, Point::new(room.left, y), BOLD, true);
        y += height;
        drawing.line(MEDIUM, Point::new(room.left, y), Point::new(room.right(), y));
        let mut next = from;
        for row in self.rows.iter().skip(from) {
            let (lines, height) = self.broken(row, &widths, PLAIN);
            if y + height > room.bottom() + 1e-6 && next > from {
                break;
            }
            self.cells(drawing, &lines, &widths, Point::new(room.left, y), PLAIN, false);
            y += height;
            drawing.line(THIN, Point::new(room.left, y), Point::new(room.right(), y));
            next += 1;
        }
        (next, y)
    }

    fn cells(
        &self,
        drawing: &mut Drawing,
        lines: &[Vec<String>],
        widths: &[f64],
        at: Point,
        hand: Hand,
        head: bool,
    ) {
        let mut left = at.x;
        for ((column, lines), width) in self.columns.iter().zip(lines).zip(widths) {
            if column.align == Align::Box && !head {
                let middle = at.y + AIR + hand.size.line() / 2.0;
                drawing.tick_box(Point::new(left + width / 2.0, middle));
                left += width;
                continue;
            }
            if column.align == Align::Field && !head {
                let shape = Rect {
                    left: left + PAD,
                    top: at.y + 0.9,
                    width: width - 2.0 * PAD,
                    height: 5.2,
                };
                drawing.rectangle(Some(THIN), Some(Ink::Paper), &shape);
                left += width;
                continue;
            }
            if let (Align::Boxes, false, Ok(count)) =
                (column.align, head, lines.concat().parse::<u32>())
            {
                let abreast = abreast(*width);
                for i in 0..count {
                    let (x, y) = (f64::from(i % abreast), f64::from(i / abreast));
                    let middle = (left + PAD + 1.5 + BOX_STEP * x, at.y + 2.3 + BOX_STEP * y);
                    drawing.tick_box(Point::new(middle.0, middle.1));
                }
                left += width;
                continue;
            }
            let mut y = at.y + AIR + hand.size.height();
            for line in lines {
                let place = match column.align {
                    Align::Left | Align::Boxes => (hand, left + PAD),
                    Align::Right => (hand.end(), left + width - PAD),
                    Align::Box | Align::Field => (hand.middle(), left + width / 2.0),
                };
                drawing.text(place.0, Point::new(place.1, y), line);
                y += hand.size.line();
            }
            left += width;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_drawn_once_however_many_sheets_it_takes() {
        let mut table = Table::new(vec![figures("n"), words("what it is", 1.0), ticks("done")]);
        for i in 0..50 {
            table.row([i.to_string(), "some words ".repeat(i % 7), String::new()]);
        }
        let room = Rect { left: 0.0, top: 0.0, width: 60.0, height: 90.0 };
        let (mut next, mut sheets, mut seen) = (0, 0, Vec::new());
        while next < table.rows.len() {
            let mut drawing = Drawing::default();
            let (reached, bottom) = table.draw(&mut drawing, &room, next);
            assert!(reached > next && bottom <= 90.0 + 1e-6, "{reached} {bottom}");
            next = reached;
            sheets += 1;
            seen.extend(drawing.items.iter().filter_map(|item| match item {
                super::super::Item::Text { text, hand, .. } if *hand == PLAIN.end() => {
                    text.parse::<usize>().ok()
                }
                _ => None,
            }));
        }
        assert!(sheets > 2);
        assert_eq!(seen, (0..50).collect::<Vec<_>>());
    }
}
