//! Running text in two columns, sheet after sheet: blocks that are never broken, put below each other.

use std::rc::Rc;

use super::Frame;
use crate::draw::text::{BOLD, Hand, PLAIN, plain};
use crate::draw::{Drawing, Ink, MEDIUM, THIN};
use crate::svg::{Point, Rect};

/// Between the columns.
const GAP: f64 = 8.0;
/// From the frame to the columns.
const EDGE: f64 = 4.0;
/// What stands above the columns' first line.
const TOP: f64 = 3.0;

/// Something in a block, from its top-left corner.
#[derive(Clone, Debug)]
pub enum Mark {
    /// Words.
    Text(Hand, Point, String),
    /// A box to tick, its middle there.
    Tick(Point),
    /// A circle: something to read or to see, its middle there.
    See(Point),
    /// A box to write into.
    Field(Rect),
    /// The mark of a hazard, its middle there.
    Hazard(Point),
    /// A bar of ink.
    Bar(Rect),
    /// A level line at that height, as wide as the column.
    Rule(f64),
}

/// Something that stays together.
#[derive(Clone, Debug, Default)]
pub struct Block {
    /// mm.
    pub height: f64,
    /// Whether it stays with the block behind it.
    pub with_next: bool,
    /// What it is part of, said again where a column begins within it; none where it begins it.
    pub within: Option<Rc<str>>,
    /// What is in it.
    pub marks: Vec<Mark>,
}

impl Block {
    /// Adds a text broken to the room between two edges, its first line's top at `top`. Gives where the
    /// next line would begin.
    pub fn words(&mut self, hand: Hand, left: f64, right: f64, top: f64, text: &str) -> f64 {
        let mut y = top;
        for line in hand.lines(&plain(text), (right - left).max(1.0)) {
            self.marks.push(Mark::Text(hand, Point::new(left, y + hand.size.height()), line));
            y += hand.size.line();
        }
        self.height = self.height.max(y);
        y
    }

    fn draw(&self, drawing: &mut Drawing, at: Point, width: f64) {
        let moved =
            |shape: &Rect| Rect { left: shape.left + at.x, top: shape.top + at.y, ..*shape };
        let there = |point: &Point| at.by(point.x, point.y);
        for mark in &self.marks {
            match mark {
                Mark::Text(hand, point, text) => drawing.text(*hand, there(point), text),
                Mark::Tick(point) => drawing.tick_box(there(point)),
                Mark::See(point) => {
                    drawing.circle(Some(THIN), Some(Ink::Paper), there(point), 1.3);
                }
                Mark::Field(shape) => {
                    drawing.rectangle(Some(THIN), Some(Ink::Paper), &moved(shape));
                }
                Mark::Hazard(point) => {
                    drawing.severity(glowloom_plan::Kind::Hazard, there(point));
                }
                Mark::Bar(shape) => drawing.rectangle(None, Some(Ink::Black), &moved(shape)),
                Mark::Rule(y) => drawing.line(MEDIUM, at.by(0.0, *y), at.by(width, *y)),
            }
        }
    }
}

/// How wide a column is on such paper.
pub fn column(frame: &Frame) -> f64 {
    (frame.body().width - 2.0 * EDGE - GAP) / 2.0
}

/// Drawings of blocks below each other, one for each sheet that they take.
pub fn flow(frame: &Frame, blocks: &[Block]) -> Vec<Drawing> {
    let (body, width) = (frame.body(), column(frame));
    let (top, bottom) = (body.top + TOP, body.bottom() - TOP);
    let left = |column: usize| body.left + EDGE + if column == 0 { 0.0 } else { width + GAP };
    let mut sheets: Vec<Drawing> = Vec::new();
    let (mut column, mut y) = (1, f64::INFINITY);
    for (i, block) in blocks.iter().enumerate() {
        let fresh = y <= top;
        if y + together(blocks.get(i..).unwrap_or_default()) > bottom + 1e-6 && !fresh {
            column += 1;
            if column > 1 {
                column = 0;
                sheets.push(Drawing::default());
            }
            y = top;
        }
        let Some(drawing) = sheets.last_mut() else { break };
        if y <= top
            && let Some(within) = &block.within
        {
            let at = Point::new(left(column), y + BOLD.size.height());
            drawing.fitted(BOLD, at, width, format!("{within}, continued"));
            y += BOLD.size.line() + 1.0;
        }
        block.draw(drawing, Point::new(left(column), y), width);
        y += block.height;
    }
    for drawing in &mut sheets {
        let x = body.left + EDGE + width + GAP / 2.0;
        drawing.line(THIN, Point::new(x, body.top), Point::new(x, body.bottom()));
    }
    sheets
}

/// The height of the first block with those that it stays with.
fn together(blocks: &[Block]) -> f64 {
    let mut height = 0.0;
    for block in blocks {
        height += block.height;
        if !block.with_next {
            break;
        }
    }
    height
}

/// Half the height of capitals: from a line of text up to the middle of a box beside it.
pub fn middle(top: f64) -> f64 {
    top + PLAIN.size.height() - PLAIN.capital() / 2.0
}

#[cfg(test)]
mod tests {
    use glowloom_design::wall::Paper;

    use super::*;
    use crate::draw::Item;

    fn block(name: &str, height: f64, with_next: bool) -> Block {
        let mut block = Block { with_next, ..Block::default() };
        block.words(PLAIN, 0.0, 40.0, 0.0, name);
        block.height = height;
        block
    }

    /// Where each text stands: sheet, and place.
    fn places(sheets: &[Drawing]) -> Vec<(usize, f64, String)> {
        let of = |(i, sheet): (usize, &Drawing)| {
            let texts = sheet.items.iter().filter_map(|item| match item {
                Item::Text { at, text, .. } => Some((at.x, text.clone())),
                _ => None,
            });
            texts.map(|(x, text)| (i, x, text)).collect::<Vec<_>>()
        };
        sheets.iter().enumerate().flat_map(of).collect()
    }

    #[test]
    fn blocks_fill_columns_and_stay_with_their_next() {
        let frame = Frame::new(Paper::A4, true);
        let room = frame.body().height - 2.0 * TOP;
        // Two thirds; a heading that would fit below alone; what it stays with.
        let blocks =
            [block("a", room * 0.66, false), block("b", 10.0, true), block("c", room * 0.5, false)];
        let sheets = flow(&frame, &blocks);
        let found = places(&sheets);
        assert_eq!(sheets.len(), 1);
        assert_eq!(found.iter().map(|f| f.2.as_str()).collect::<Vec<_>>(), ["a", "b", "c"]);
        assert!(found[0].1 < found[1].1 && (found[1].1 - found[2].1).abs() < 1e-9, "{found:?}");
        // A block that is higher than a sheet is still drawn, and one behind it.
        let blocks = [block("a", 2.0 * room, false), block("b", 1.0, false)];
        assert_eq!(places(&flow(&frame, &blocks)).len(), 2);
        assert!(flow(&frame, &[]).is_empty());
    }

    #[test]
    fn what_goes_on_says_of_what() {
        let frame = Frame::new(Paper::A4, true);
        let within: Rc<str> = "3. Join".into();
        let blocks: Vec<Block> = (0..3)
            .map(|i| Block {
                within: (i > 0).then(|| Rc::clone(&within)),
                ..block(&i.to_string(), frame.body().height * 0.8, false)
            })
            .collect();
        let found = places(&flow(&frame, &blocks));
        let texts: Vec<_> = found.iter().map(|f| (f.0, f.2.as_str())).collect();
        let more = "3. Join, continued";
        assert_eq!(texts, [(0, "0"), (0, more), (0, "1"), (1, more), (1, "2")]);
    }
}
