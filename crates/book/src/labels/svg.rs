//! Label sheets to scale, with lines to cut along.

use std::io::{self, BufWriter, Write};

use glowloom_design::Wall;
use glowloom_design::wall::Paper;

use super::Label;
use crate::code::{Code, QUIET};
use crate::lettering::{MEDIUM, SMALL, bold_width, fitted, width};
use crate::svg::{Point, Rect, Svg, Trace};

/// A label, mm.
const LABEL: (f64, f64) = (60.0, 20.0);
/// Its code with the light margin, mm: a square of 0.4 mm is read by any phone (common practice, no source).
const CODE: f64 = 18.0;
/// Between what is printed and a line to cut along, mm.
const INSET: f64 = 1.0;
/// Ahead of the first row, for the sheet's own words, mm.
const HEAD: f64 = 14.0;
/// What no printer prints on, at the lower edge, mm.
const FOOT: f64 = 8.0;
/// Columns of labels on a sheet.
const COLUMNS: usize = 3;
/// From baseline to baseline, mm.
const LEADING: f64 = 3.8;

fn paper(wall: &Wall) -> (f64, f64) {
    match wall.paper {
        Paper::A4 => (210.0, 297.0),
        Paper::Letter => (215.9, 279.4),
    }
}

fn rows(paper: (f64, f64)) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "about a dozen")]
    let rows = ((paper.1 - HEAD - FOOT) / LABEL.1).floor() as usize;
    rows.max(1)
}

/// How many sheets so many labels take.
#[must_use]
pub fn sheets(wall: &Wall, labels: &[Label]) -> usize {
    labels.len().div_ceil(COLUMNS * rows(paper(wall)))
}

/// Writes one sheet of labels, upright, to scale; sheets count from 0. A sheet behind the last is empty.
///
/// # Errors
/// Those of the writer.
pub fn svg(wall: &Wall, labels: &[Label], sheet: usize, out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::new(out);
    let paper = paper(wall);
    let each = COLUMNS * rows(paper);
    let here = labels.chunks(each).nth(sheet).unwrap_or(&[]);
    let of = sheets(wall, labels);
    let title = format!("Labels of {}, sheet {} of {of}", wall.name, sheet + 1);
    let about =
        format!("{} labels to cut out, each with a code that opens its panel's page.", here.len());
    let mut svg = Svg::begin(&mut out, paper, &title, &about)?;
    let left = (paper.0 - LABEL.0 * COLUMNS as f64) / 2.0;
    head(&mut svg, wall, sheet, of, (left, paper.0 - left))?;
    for (number, label) in here.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "about fifty")]
        let (column, row) = ((number % COLUMNS) as f64, (number / COLUMNS) as f64);
        let place = Rect {
            left: left + column * LABEL.0,
            top: HEAD + row * LABEL.1,
            width: LABEL.0,
            height: LABEL.1,
        };
        svg.rectangle("thin", &place)?;
        draw(&mut svg, label, &place)?;
    }
    svg.end()?;
    out.flush()
}

/// The sheet's own words: whose, which, and how to print and cut.
fn head(
    svg: &mut Svg<'_>,
    wall: &Wall,
    sheet: usize,
    of: usize,
    (left, right): (f64, f64),
) -> io::Result<()> {
    let which = format!("LABELS  sheet {} of {of}", sheet + 1);
    let room = right - left - width(&which, SMALL) - 4.0;
    let name = fitted(&wall.name, room, |text| bold_width(text, MEDIUM)).unwrap_or_default();
    svg.text("bold medium-text", Point::new(left, 7.0), &name)?;
    svg.text("end", Point::new(right, 7.0), &which)?;
    let how = "Print at 100 %: a label is 60 x 20 mm. Cut along the lines.";
    svg.text("", Point::new(left, 11.5), how)
}

fn draw(svg: &mut Svg<'_>, label: &Label, place: &Rect) -> io::Result<()> {
    let name = format!("{}, {}", label.panel, label.title);
    svg.begin_group(&name)?;
    let mut text_left = place.left + INSET + 1.0;
    if let Some(code) = Code::of(&label.address) {
        draw_code(svg, &code, Point::new(place.left + INSET, place.top + INSET))?;
        text_left = place.left + INSET + CODE;
    }
    let room = place.right() - INSET - text_left;
    let mut at = Point::new(text_left, place.top + INSET + MEDIUM);
    if let Some(title) = fitted(&label.title, room, |text| bold_width(text, MEDIUM)) {
        svg.text("bold medium-text", at, &title)?;
    }
    let small = |text: &str| width(text, SMALL);
    // A name that has to be cut is told from others by its number.
    let panel = if small(&label.panel) <= room {
        label.panel.clone()
    } else {
        format!("{}: {}", label.number, label.panel)
    };
    for line in std::iter::once(&panel).chain(&label.lines) {
        at = at.by(0.0, LEADING);
        if at.y > place.bottom() - INSET - SMALL * 0.25 {
            break;
        }
        if let Some(line) = fitted(line, room, small) {
            svg.text("", at, &line)?;
        }
    }
    svg.end_group()
}

fn draw_code(svg: &mut Svg<'_>, code: &Code, corner: Point) -> io::Result<()> {
    let step = CODE / f64::from(code.side + 2 * QUIET);
    let mut trace = Trace::default();
    for (column, row, count) in code.bars() {
        let at = |column: u32, row: u32| {
            corner.by(f64::from(column + QUIET) * step, f64::from(row + QUIET) * step)
        };
        trace.start(at(column, row));
        trace.to(at(column + count, row));
        trace.to(at(column + count, row + 1));
        trace.to(at(column, row + 1));
        trace.close();
    }
    svg.trace("ink", &trace)
}
