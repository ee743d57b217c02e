//! Templates of full size, to lay on the board: where the middle of each strip lies along an edge. Each
//! sheet has rulers to check the printer by.

use glowloom_design::wall::Edge;

use super::board::Board;
use super::fit::Ratio;
use super::kinds::Kind;
use super::{Context, Frame, Sheet, View};
use crate::draw::text::{BOLD, PLAIN};
use crate::draw::{DASHED, Drawing, MEDIUM, Step, THICK, THIN};
use crate::svg::{Point, Rect};

/// What a piece shares with the one before, to be laid over it, mm.
const OVERLAP: f64 = 20.0;
/// From one piece to the next on a sheet, mm.
const BAND: f64 = 27.0;
/// For the rulers, mm.
pub(super) const RULERS: f64 = 24.0;
/// The first note of every template.
pub(super) const CHECKED: &str =
    "Print at 100 %, then lay a rule on both rulers: only if they are right, go on";
/// Longer edges have no template: a tape measure is quicker than so much paper.
const MOST_PIECES: usize = 40;

/// A mark along the edge: mm from the left or upper corner, and its strip.
struct Mark {
    at: f64,
    strip: u32,
}

/// The templates of a kind of panel; none where its edge is too long.
pub fn draw(context: &Context<'_>, kind: &Kind<'_>) -> Vec<Sheet> {
    let frame = Frame::new(context.wall.paper, false);
    let body = frame.body();
    let corner = Point::new(0.0, 0.0);
    let board = Board::new(context, kind.first, Ratio::NATURAL, corner, false);
    let upright = board.upright();
    let mut marks: Vec<Mark> = board
        .runs()
        .iter()
        .map(|(_, run)| {
            let pad = board.pad(run, Edge::Near);
            Mark { at: if upright { pad.x } else { pad.y }, strip: run.first.strip }
        })
        .collect();
    marks.sort_by(|a, b| a.at.total_cmp(&b.at));
    let length = if upright { board.edges.width } else { board.edges.height };
    let room = body.width - 30.0;
    let step = room - OVERLAP;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "positive")]
    let pieces = ((length - OVERLAP) / step).ceil().max(1.0) as usize;
    if pieces > MOST_PIECES {
        return Vec::new();
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "positive")]
    let abreast = ((body.height - RULERS) / BAND).floor().max(1.0) as usize;
    let every = board.every(BOLD.width("888") + 1.0);
    let corner = if upright { "left corner" } else { "upper corner" };
    let numbers: Vec<usize> = (0..pieces).collect();
    let mut sheets = Vec::new();
    for group in numbers.chunks(abreast) {
        let key = format!("panel-{}-template", kind.letter.to_lowercase());
        let mut sheet =
            Sheet::new(key, format!("Panel {} template", kind.letter), View::Front, frame);
        sheet.panels = context.names(kind);
        sheet.group = Some(format!("Panel {}", kind.letter));
        sheet.scale = Some("1:1".into());
        sheet.description =
            "Pieces of paper of full size with the middle of each strip along the edge, \
            and rulers of 100 mm and of 4 in."
                .into();
        let drawing = &mut sheet.drawing;
        for (row, piece) in group.iter().enumerate() {
            #[expect(clippy::cast_precision_loss, reason = "pieces of paper")]
            let (start, down) = (step * *piece as f64, BAND * row as f64);
            let at = Point::new(body.left + 15.0, body.top + 15.0 + down);
            let end = (start + room).min(length);
            let name = format!("piece {} of {pieces}", piece + 1);
            let strip =
                Strip { start, end, at, every, first: *piece == 0, last: end >= length - 1e-9 };
            strip.draw(drawing, &marks, &name, corner);
        }
        rulers(drawing, &body);
        let lines = [
            CHECKED.to_owned(),
            "Fold along the thick line and lay the fold on the board's edge; each piece begins at the \
             dashed line of the one before"
                .to_owned(),
            format!(
                "Seen from the FRONT, from the {corner}: middles of strips, by number, along the near edge, {}, \
                 and the far edge, {}",
                board.near_side(),
                board.far_side()
            ),
        ];
        super::panel_front::notes(drawing, &frame.band(), &lines);
        sheets.push(sheet);
    }
    super::several(sheets)
}

/// A piece of an edge on paper.
struct Strip {
    start: f64,
    end: f64,
    at: Point,
    every: usize,
    first: bool,
    last: bool,
}

impl Strip {
    fn draw(&self, drawing: &mut Drawing, marks: &[Mark], name: &str, corner: &str) {
        let place = |along: f64| self.at.by(along - self.start, 0.0);
        drawing.begin(name);
        drawing.line(THICK, place(self.start), place(self.end));
        for (wanted, along) in [(self.first, self.start), (self.last, self.end)] {
            if wanted {
                drawing.line(THICK, place(along).by(0.0, -9.0), place(along).by(0.0, 4.0));
            }
        }
        // The next piece begins on the dashed line of this one; what lies beyond it is covered.
        if !self.last {
            let at = place(self.end - OVERLAP);
            drawing.line(THIN.dashed(DASHED), at, at.by(0.0, 9.0));
        }
        if !self.first {
            let at = place(self.start);
            drawing.line(MEDIUM, at.by(0.0, -4.0), at.by(0.0, 4.0));
        }
        let mut ticks = Vec::new();
        for mark in marks.iter().filter(|mark| mark.at >= self.start && mark.at <= self.end) {
            let at = place(mark.at);
            ticks.extend([Step::Start(at), Step::To(at.by(0.0, -5.0))]);
            if (mark.strip as usize).is_multiple_of(self.every) {
                let hand = BOLD.middle();
                drawing.text(hand, at.by(0.0, -6.0), mark.strip.to_string());
            }
        }
        drawing.known(ticks, Some(MEDIUM), None, vec![("marks-from", self.start.to_string())]);
        let beside = match (self.first, self.last) {
            (true, _) => format!("{name}; it begins at the {corner}"),
            (_, true) => {
                format!("{name}; its left end lies on the dashed line, {:.1} mm", self.start)
            }
            _ => format!("{name}; its left end lies on the dashed line, {:.1} mm", self.start),
        };
        let offset = 2.0;
        let room = (self.end - self.start - offset - 2.0 * OVERLAP).max(60.0);
        drawing.fitted(PLAIN, self.at.by(offset, 6.4), room, beside);
        drawing.end();
    }
}

/// 100 mm and 4 in.
pub(super) fn rulers(drawing: &mut Drawing, body: &Rect) {
    drawing.begin("rulers");
    let left = body.left + 8.0;
    for (x, length, parts, name) in [(left, 100.0, 10, "100 mm"), (left + 118.0, 101.6, 16, "4 in")]
    {
        let at = Point::new(x, body.bottom() - 8.0);
        let ends = crate::draw::open(&[at, at.by(length, 0.0)]);
        drawing.known(ends, Some(MEDIUM), None, vec![("ruler", name.to_owned())]);
        let mut ticks = Vec::new();
        for part in 0..=parts {
            let along = length * f64::from(part) / f64::from(parts);
            let long = if part % 4 == 0 && parts == 16 || part % 5 == 0 && parts == 10 {
                3.0
            } else {
                1.8
            };
            ticks.extend([Step::Start(at.by(along, 0.0)), Step::To(at.by(along, -long))]);
        }
        drawing.path(ticks, Some(THIN), None);
        drawing.text(BOLD.middle(), at.by(length / 2.0, 4.0), name);
    }
    drawing.end();
}
