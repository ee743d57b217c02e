//! Rolls of strip as bars to scale: where each is cut, and which strip each piece becomes.
//!
//! Rolls that are cut alike share a bar, with a line of labels for each. Where that would take more
//! sheets than [`MOST_SHEETS`], the lines are left out, then the rarest ways; the list file has all.

use glowloom_plan::cuts::Roll;
use glowloom_units::{Figures, Metres};

use super::fit::Ratio;
use super::panel_front::{notes, tape};
use super::roll_line::{AIR, Line};
use super::ways::{Joined, Way, joined, ways};
use super::{Context, Frame, Sheet, View, several};
use crate::draw::table::{Table, ticks, word, words};
use crate::draw::text::{BOLD, NAME, PLAIN};
use crate::draw::{Drawing, Ink, MEDIUM, THIN, closed, open};
use crate::svg::{Point, Rect};
use glowloom_plan::steps::counted;

/// More sheets than this are of no use to a person.
const MOST_SHEETS: usize = 12;
/// The list that has everything.
const LIST: &str = "lists/cuts.csv";
/// From the frame to what is drawn.
const EDGE: f64 = 3.0;
/// For the numbers of rolls, ahead of the bars.
const NUMBERS: f64 = 16.0;
/// A bar's height.
const BAR: f64 = 7.0;
/// Above a bar, for marks of joints.
const ABOVE: f64 = 3.2;
/// Below it, for lengths.
const BELOW: f64 = 6.0;
/// A line of words above a bar.
const HEAD: f64 = 5.0;
/// Between two ways.
const GAP: f64 = 5.0;
/// At the foot of each sheet, to say what is left out.
const FOOT: f64 = 6.0;

/// The sheets of all rolls that are cut.
pub fn draw(context: &Context<'_>) -> Vec<Sheet> {
    let rolls = &context.plan.cuts.rolls_cut;
    let frame = Frame::new(context.wall.paper, false);
    let body = frame.body();
    let room = body.width - 2.0 * EDGE - NUMBERS;
    let pitch = context.wall.pitch();
    let longest = rolls.iter().map(|roll| roll.pixels).max().unwrap_or(0);
    let length = (pitch * f64::from(longest), Metres(0.0));
    let ratio = Ratio::fitting(length, (room, body.height), context.wall.figures);
    let ways = ways(rolls);
    let mut all = Flow::new(context, &body, ratio, true).all(&ways);
    if all.len() > MOST_SHEETS {
        all = Flow::new(context, &body, ratio, false).all(&ways);
    }
    let sheets = all.into_iter().map(|drawing| {
        let mut sheet = Sheet::new("cutting-rolls", "Cutting rolls", View::None, frame);
        sheet.group = Some("Cutting".into());
        sheet.scale = Some(ratio.to_string());
        sheet.data = vec![("ratio", ratio.size().to_string())];
        sheet.description =
            "Rolls of strip as bars to scale with the pieces that are cut from each, \
                             which strip each piece becomes, hatched what is left."
                .into();
        sheet.drawing = drawing;
        notes(&mut sheet.drawing, &frame.band(), &band(context));
        sheet
    });
    several(sheets.collect())
}

fn band(context: &Context<'_>) -> Vec<String> {
    let cuts = &context.plan.cuts;
    let proof = if cuts.proven_least { ", the fewest (proven)" } else { "" };
    let bought = counted(u64::from(cuts.rolls_to_buy), "roll");
    let joints = counted(u64::from(cuts.joints), "joint");
    let mut lines = vec![format!(
        "To buy: {bought} of {} pixels{proof}; {joints} within strips; left of all: {}",
        cuts.roll_pixels,
        counted(cuts.left_over_pixels, "pixel"),
    )];
    for long in &cuts.too_long {
        let pieces = counted(u64::from(long.count), "piece");
        lines.push(format!(
            "In no roll, being too long for any: {pieces} of {} pixels",
            long.pixels
        ));
    }
    if !cuts.shelf_untouched.is_empty() {
        let stay: Vec<String> = cuts.shelf_untouched.iter().map(u32::to_string).collect();
        let stay = PLAIN.fitted(&stay.join(", "), 90.0);
        lines.push(format!("Part rolls that stay on the shelf, pixels: {stay}"));
    }
    let unit = if context.wall.figures == Figures::Metric { "mm" } else { "in" };
    lines.extend([
        format!("Left: where the strip's arrows begin. In a bar: pixels; below: {unit} from the left end to the cut"),
        "Cut in the order from the left; count pixels before each cut, for the tape only checks it".into(),
        "Hatched: left over. Dot: joined there to another part of its strip, lettered as data runs".into(),
        "*: begins a data line with the roll's own connector: leave it on".into(),
        "Makers join shorter lengths: such a solder joint within a piece is a joint to look at".into(),
    ]);
    lines
}

/// Bars below each other, sheet after sheet.
struct Flow<'c> {
    context: &'c Context<'c>,
    rolls: &'c [Roll],
    ratio: Ratio,
    /// Whether each roll has its line.
    listed: bool,
    /// Where bars begin.
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
    sheets: Vec<Drawing>,
    y: f64,
}

impl<'c> Flow<'c> {
    fn new(context: &'c Context<'c>, body: &Rect, ratio: Ratio, listed: bool) -> Self {
        Self {
            context,
            rolls: &context.plan.cuts.rolls_cut,
            ratio,
            listed,
            left: body.left + EDGE + NUMBERS,
            top: body.top + 1.0,
            right: body.right() - EDGE,
            bottom: body.bottom() - FOOT,
            sheets: Vec::new(),
            y: f64::INFINITY,
        }
    }

    fn all(mut self, ways: &[Way]) -> Vec<Drawing> {
        for (i, way) in ways.iter().enumerate() {
            if !self.way(way) {
                let rest = ways.get(i..).unwrap_or_default();
                let rolls: u64 = rest.iter().map(|way| way.rolls.len() as u64).sum();
                self.foot(&format!(
                    "{} more, cut in {}: {LIST} has every roll and every piece",
                    counted(rolls, "roll"),
                    counted(rest.len() as u64, "more way"),
                ));
                return self.sheets;
            }
        }
        if self.listed {
            self.joints();
        }
        self.sheets
    }

    /// Says something at the foot of the last sheet.
    fn foot(&mut self, text: &str) {
        let at = Point::new(self.left - NUMBERS, self.bottom + FOOT - 1.8);
        let room = self.right - at.x;
        if let Some(drawing) = self.sheets.last_mut() {
            drawing.fitted(BOLD, at, room, text);
        }
    }

    /// Goes on to a new sheet where there is no room for so much. False where there may be no more: with
    /// lines of labels one sheet too many shows that they have to go.
    fn room(&mut self, height: f64) -> bool {
        if self.y + height <= self.bottom {
            return true;
        }
        let most = if self.listed { MOST_SHEETS + 1 } else { MOST_SHEETS };
        if self.sheets.len() == most {
            return false;
        }
        self.sheets.push(Drawing::default());
        self.y = self.top;
        true
    }

    /// A way with all its rolls; false where it found no room.
    fn way(&mut self, way: &Way) -> bool {
        let edges = self.edges(way);
        if !self.listed {
            if !self.room(HEAD + ABOVE + BAR + BELOW + PLAIN.size.line() + 2.0 * AIR) {
                return false;
            }
            self.bar(way, &edges, "");
            self.numbers(way);
            self.y += GAP;
            return true;
        }
        let lines = self.lines(way, &edges);
        let first = lines.first().map_or(0.0, Line::height);
        if !self.room(HEAD + ABOVE + BAR + BELOW + first) {
            return false;
        }
        self.bar(way, &edges, "");
        for (roll, line) in way.rolls.iter().zip(&lines) {
            if self.y + line.height() > self.bottom {
                if !self.room(f64::INFINITY) {
                    return false;
                }
                self.bar(way, &edges, ", continued");
            }
            self.line(*roll, line, way);
        }
        self.y += GAP;
        true
    }

    /// The line of each roll of a way: all in one manner.
    fn lines(&self, way: &Way, edges: &[f64]) -> Vec<Line> {
        let rolls: Vec<&Roll> = way.rolls.iter().filter_map(|roll| self.rolls.get(*roll)).collect();
        let below = |full: bool| {
            let lines = rolls.iter().map(|roll| Line::below(roll, edges, self.right, full));
            lines.collect::<Option<Vec<_>>>()
        };
        below(true).or_else(|| below(false)).unwrap_or_else(|| {
            let (wall, room) = (self.context.wall, self.right - self.left);
            rolls.iter().map(|roll| Line::words(wall, roll, room, LIST)).collect()
        })
    }

    /// Where the pieces of a way begin, and where the last ends.
    fn edges(&self, way: &Way) -> Vec<f64> {
        let ends = way.pieces.iter().scan(0, |sum, piece| {
            *sum += piece.pixels;
            Some(*sum)
        });
        std::iter::once(0).chain(ends).map(|pixels| self.at(pixels)).collect()
    }

    /// Where pixels end on a bar.
    fn at(&self, pixels: u32) -> f64 {
        self.left + self.ratio.drawn(self.context.wall.pitch() * f64::from(pixels))
    }

    /// What is cut, in words and as a bar.
    fn bar(&mut self, way: &Way, edges: &[f64], more: &str) {
        let pitch = self.context.wall.pitch();
        let length = |pixels: u32| self.context.shown(pitch * f64::from(pixels));
        let what = if way.shelf { "part roll from the shelf" } else { "new roll" };
        let head = format!("{} x {what}{more}", way.rolls.len());
        let left = way.left_over();
        let rest = match left {
            0 => "nothing is left".to_owned(),
            left => format!("left: {}, {}", counted(u64::from(left), "pixel"), length(left)),
        };
        let words =
            format!("{} pixels, {}: {}; {rest}", way.pixels, length(way.pixels), way.order());
        let end = self.at(way.pixels);
        let figures = self.context.wall.figures;
        let (x, right, y) = (self.left - NUMBERS, self.right, self.y);
        let Some(drawing) = self.sheets.last_mut() else { return };
        drawing.begin(format!("{head}: {words}"));
        let at = Point::new(x, y + HEAD - 1.0);
        drawing.text(NAME, at, &head);
        let behind = NAME.width(&head) + 4.0;
        drawing.fitted(PLAIN, at.by(behind, 0.0), right - x - behind, words);
        let top = y + HEAD + ABOVE;
        let middle = top + BAR / 2.0;
        let text = if way.shelf { "SHELF" } else { "NEW" };
        drawing.text(BOLD, Point::new(x, middle + BOLD.capital() / 2.0), text);
        let whole = Rect { left: self.left, top, width: end - self.left, height: BAR };
        outline(drawing, &whole, way);
        for (piece, edge) in way.pieces.iter().zip(edges.windows(2)) {
            let [from, to] = edge else { continue };
            let about = vec![("piece", piece.pixels.to_string())];
            let line = [Point::new(*to, top), Point::new(*to, top + BAR + 1.4)];
            // Cut only where something is left of the roll.
            if *to < end - 1e-9 {
                drawing.known(open(&line), Some(MEDIUM), None, about);
            }
            let text = piece.pixels.to_string();
            if BOLD.width(&text) + 1.6 < to - from {
                let at = Point::new((from + to) / 2.0, middle + BOLD.capital() / 2.0);
                drawing.text(BOLD.middle(), at, text);
            }
            let ends = [(piece.joint_before, from + 1.0), (piece.joint_behind, to - 1.0)];
            for (_, x) in ends.into_iter().filter(|(joined, _)| *joined) {
                drawing.circle(None, Some(Ink::Black), Point::new(x, top - 1.6), 0.9);
            }
        }
        if left > 0 {
            let from = edges.last().copied().unwrap_or(whole.left);
            let shape = Rect { left: from, width: end - from, ..whole };
            drawing.hatch(&shape, 2.0);
            let text = format!("{left} left");
            if PLAIN.width(&text) + 2.6 < shape.width {
                let at = Point::new(shape.middle().x, middle + PLAIN.capital() / 2.0);
                drawing.text(PLAIN.middle().plate(), at, text);
            }
        }
        // How far along each cut is, as long as the figures keep off each other.
        let mut free = whole.left - NUMBERS / 2.0;
        let cuts = way.pieces.iter().scan(0, |sum, piece| {
            *sum += piece.pixels;
            Some(*sum)
        });
        for (pixels, x) in cuts.zip(edges.iter().skip(1)) {
            let text = tape(pitch * f64::from(pixels), figures);
            let half = PLAIN.width(&text) / 2.0;
            if *x < end - 1e-9 && x - half > free && x + half < right {
                drawing.text(PLAIN.middle(), Point::new(*x, top + BAR + 4.2), text);
                free = x + half + 1.5;
            }
        }
        drawing.end();
        self.y = top + BAR + BELOW;
    }

    /// A roll's box, number and labels.
    fn line(&mut self, roll: usize, line: &Line, way: &Way) {
        let baseline = self.y + AIR + PLAIN.size.height();
        let middle = baseline - PLAIN.capital() / 2.0;
        let (x, left, y) = (self.left - NUMBERS, self.left, self.y);
        let right = match line {
            Line::Below(_) => self.at(way.pixels),
            Line::Words(_) => self.right,
        };
        let Some(drawing) = self.sheets.last_mut() else { return };
        drawing.line(THIN, Point::new(x, y), Point::new(right, y));
        drawing.tick_box(Point::new(x + 1.7, middle));
        drawing.text(PLAIN.end(), Point::new(left - 2.0, baseline), (roll + 1).to_string());
        line.draw(drawing, Point::new(left, baseline));
        self.y += line.height();
    }

    /// The numbers of a way's rolls in place of their lines.
    fn numbers(&mut self, way: &Way) {
        let apart = way.rolls.chunk_by(|a, b| a + 1 == *b);
        let runs: Vec<String> = apart
            .map(|run| match run {
                [one] => (one + 1).to_string(),
                [first, .., last] => format!("{} to {}", first + 1, last + 1),
                [] => String::new(),
            })
            .collect();
        let noun = if way.rolls.len() == 1 { "roll" } else { "rolls" };
        let text = format!("{noun} {}", runs.join(", "));
        let behind = format!("; {LIST} says which strip each piece becomes");
        let room = self.right - self.left;
        let at = Point::new(self.left, self.y + AIR + PLAIN.size.height());
        if let Some(drawing) = self.sheets.last_mut() {
            let numbers = PLAIN.fitted(&text, room - PLAIN.width(&behind));
            drawing.text(PLAIN, at, format!("{numbers}{behind}"));
        }
        self.y += PLAIN.size.line() + 2.0 * AIR;
    }

    /// Which parts are joined to one strip.
    fn joints(&mut self) {
        let all = joined(self.rolls);
        if all.is_empty() {
            return;
        }
        let mut table = Table::new(vec![
            word("strip"),
            words("parts, as data runs through them", 1.0),
            ticks("joined"),
        ]);
        for (strip, parts) in all {
            let part = |part: &Joined| {
                let pixels = counted(u64::from(part.pixels), "pixel");
                format!("{}, {pixels} of roll {}", part.label, part.roll)
            };
            let parts: Vec<String> = parts.iter().map(part).collect();
            table.row([strip, parts.join("; then "), String::new()]);
        }
        let mut next = 0;
        while next < table.rows.len() {
            let least = if next == 0 { 30.0 } else { f64::INFINITY };
            if !self.room(least) {
                return;
            }
            let (x, y) = (self.left - NUMBERS, self.y);
            let Some(drawing) = self.sheets.last_mut() else { return };
            drawing.text(NAME, Point::new(x, y + HEAD - 1.0), "Strips joined from parts");
            let room = Rect {
                left: x,
                top: y + HEAD + 1.0,
                width: self.right - x,
                height: self.bottom - y - HEAD - 1.0,
            };
            (next, self.y) = table.draw(drawing, &room, next);
        }
    }
}

/// A roll's edges; a part roll's left end is torn.
fn outline(drawing: &mut Drawing, shape: &Rect, way: &Way) {
    let corner = Point::new(shape.left, shape.top);
    let mut places = vec![
        corner,
        corner.by(shape.width, 0.0),
        corner.by(shape.width, shape.height),
        corner.by(0.0, shape.height),
    ];
    if way.shelf {
        let teeth = (1..=4).map(|step| (step % 2 == 1, 1.0 - f64::from(step) / 5.0));
        places.extend(
            teeth.map(|(out, down)| corner.by(if out { -1.2 } else { 0.0 }, shape.height * down)),
        );
    }
    let about =
        vec![("rolls", way.rolls.len().to_string()), ("roll-pixels", way.pixels.to_string())];
    drawing.known(closed(&places), Some(MEDIUM), None, about);
}
