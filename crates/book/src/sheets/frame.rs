//! What every sheet of the book has: a frame, a heading, the title block at the lower right, and a band
//! beside it for what explains the drawing.

use glowloom_design::wall::Paper;
use glowloom_units::Figures;

use super::{Sheet, View};
use crate::draw::text::{BOLD, HEADING, NAME, PLAIN};
use crate::draw::{Drawing, MEDIUM, THICK, THIN};
use crate::svg::{Point, Rect};

/// From the paper's edge to the frame, mm: room to punch holes at the left.
const LEFT: f64 = 15.0;
/// At the other edges; nothing that is printed is nearer.
const EDGE: f64 = 8.0;
/// The heading's height.
const HEAD: f64 = 10.0;
/// The band's height, and that of the title block.
const BAND: f64 = 30.0;
/// The title block's width.
const BLOCK: f64 = 112.0;

/// A sheet's paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// mm.
    pub width: f64,
    /// mm.
    pub height: f64,
    /// What it is called.
    pub name: &'static str,
}

impl Frame {
    /// The book's paper, standing or lying. A4 is 210 x 297 mm (ISO 216), Letter 8.5 x 11 in.
    pub fn new(paper: Paper, upright: bool) -> Self {
        let (short, long, name) = match paper {
            Paper::A4 => (210.0, 297.0, "A4"),
            Paper::Letter => (215.9, 279.4, "Letter"),
        };
        let (width, height) = if upright { (short, long) } else { (long, short) };
        Self { width, height, name }
    }

    fn inner(&self) -> Rect {
        Rect {
            left: LEFT,
            top: EDGE,
            width: self.width - LEFT - EDGE,
            height: self.height - 2.0 * EDGE,
        }
    }

    /// Where the drawing has its room.
    pub fn body(&self) -> Rect {
        let inner = self.inner();
        Rect { top: inner.top + HEAD, height: inner.height - HEAD - BAND, ..inner }
    }

    /// Beside the title block.
    pub fn band(&self) -> Rect {
        let inner = self.inner();
        Rect {
            top: inner.bottom() - BAND,
            height: BAND,
            width: inner.width - BLOCK,
            left: inner.left,
        }
    }
}

/// What all title blocks of a book have in common.
pub struct Common<'a> {
    /// The wall's name.
    pub wall: &'a str,
    /// Of the wall file.
    pub fingerprint: &'a str,
    /// Units of lengths.
    pub figures: Figures,
    /// How many sheets there are.
    pub sheets: usize,
}

/// Draws frame, heading and title block of a sheet.
pub fn close(sheet: &mut Sheet, common: &Common<'_>) {
    let frame = sheet.frame;
    let inner = frame.inner();
    let (view, name) = (sheet.view.words(), sheet.name.clone());
    let panels = sheet.panel_words();
    let scale = sheet.scale.clone();
    let number = format!("{} of {}", sheet.number, common.sheets);
    let drawing = &mut sheet.drawing;
    drawing.begin("frame");
    drawing.rectangle(Some(THICK), None, &inner);
    let below = inner.top + HEAD;
    let at = Point::new(inner.left + 3.0, below - 3.0);
    let beside = if sheet.view == View::None { String::new() } else { format!("seen: {view}") };
    let beside_width = NAME.width(&beside);
    let room = inner.width - 8.0 - beside_width;
    let heading = match &panels {
        Some(panels) => format!("{name}: {panels}"),
        None => name.clone(),
    };
    drawing.fitted(HEADING, at, room, heading);
    drawing.text(NAME.end(), Point::new(inner.right() - 3.0, below - 3.2), beside);
    drawing.line(MEDIUM, Point::new(inner.left, below), Point::new(inner.right(), below));
    let top = inner.bottom() - BAND;
    drawing.line(MEDIUM, Point::new(inner.left, top), Point::new(inner.right(), top));
    drawing.end();
    drawing.begin("title block");
    let left = inner.right() - BLOCK;
    drawing.line(THICK, Point::new(left, top), Point::new(left, inner.bottom()));
    drawing.line(THICK, Point::new(left, top), Point::new(inner.right(), top));
    let units = match common.figures {
        Figures::Metric => "mm, m",
        Figures::Imperial => "in, ft",
    };
    let wide = 56.0;
    let narrow = (BLOCK - wide) / 2.0;
    let rows: [[(&str, String); 3]; 3] = [
        [
            ("WALL", common.wall.to_owned()),
            ("SHEET", number),
            ("WALL FILE", common.fingerprint.to_owned()),
        ],
        [
            ("SHEET", name),
            ("SCALE", scale.unwrap_or_else(|| "none".into())),
            ("VIEW", view.to_owned()),
        ],
        [
            ("PANEL", panels.unwrap_or_else(|| "whole wall".into())),
            ("UNITS", units.to_owned()),
            ("PAPER", frame.name.to_owned()),
        ],
    ];
    let mut y = top;
    for row in rows {
        let mut x = left;
        for ((head, value), width) in row.into_iter().zip([wide, narrow, narrow]) {
            let cell = Rect { left: x, top: y, width, height: BAND / 3.0 };
            entry(drawing, &cell, head, &value);
            x += width;
        }
        y += BAND / 3.0;
    }
    drawing.end();
}

/// A named value in a cell; what is too long is cut.
fn entry(drawing: &mut Drawing, cell: &Rect, head: &str, value: &str) {
    drawing.rectangle(Some(THIN), None, cell);
    let left = Point::new(cell.left + 1.5, cell.top);
    drawing.text(PLAIN, left.by(0.0, 3.2), head);
    let room = cell.width - 3.0;
    let hand = if NAME.width(value) <= room { NAME } else { BOLD };
    drawing.fitted(hand, left.by(0.0, cell.height - 2.0), room, value);
}
