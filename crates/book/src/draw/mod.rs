//! The drawing model: shapes and texts in millimetres of paper, with what they mean. Carriers draw from
//! it: [`vector`] as SVG, [`pdf`] as pages.
//!
//! Three widths of line, three heights of text, hatch and dash; colour is never the only cue.

pub mod conductor;
pub mod font;
pub mod pdf;
pub mod symbol;
pub mod table;
pub mod text;
pub mod vector;

use crate::svg::{Point, Rect};
use text::Hand;

/// A width of line, mm of paper, as technical drawing has them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Width {
    /// 0.18: data, dimensions, tables.
    Thin,
    /// 0.35: parts and DC.
    Medium,
    /// 0.7: outlines and mains.
    Thick,
    /// A conductor's own, mm: see [`conductor`].
    Conductor(f64),
}

impl Width {
    /// mm.
    pub fn millimetres(self) -> f64 {
        match self {
            Self::Thin => 0.18,
            Self::Medium => 0.35,
            Self::Thick => 0.7,
            Self::Conductor(width) => width,
        }
    }
}

/// What something is drawn in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Near-black on paper.
    Black,
    /// The ground.
    Paper,
    /// The ground of what is seen from the back.
    Back,
    /// A colour that means something, by its red, green and blue.
    Colour(u8, u8, u8),
}

/// Lengths of strokes and gaps, mm; none: one stroke.
pub type Dash = &'static [f64];
/// An unbroken line.
pub const SOLID: Dash = &[];
/// What is hidden, or only said.
pub const DASHED: Dash = &[2.0, 1.0];
/// A centre line.
pub const CHAIN: Dash = &[5.0, 1.0, 0.6, 1.0];

/// A line's look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// How wide.
    pub width: Width,
    /// In what.
    pub ink: Ink,
    /// Broken how.
    pub dash: Dash,
}

/// Thin ink.
pub const THIN: Stroke = Stroke { width: Width::Thin, ink: Ink::Black, dash: SOLID };
/// Medium ink.
pub const MEDIUM: Stroke = Stroke { width: Width::Medium, ..THIN };
/// Thick ink.
pub const THICK: Stroke = Stroke { width: Width::Thick, ..THIN };

impl Stroke {
    /// The same, broken.
    pub const fn dashed(self, dash: Dash) -> Self {
        Self { dash, ..self }
    }
}

/// A step of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// Lifts the pen and sets it down there.
    Start(Point),
    /// Draws to there.
    To(Point),
    /// Draws a curve to the last place, bent towards the other two.
    Bend(Point, Point, Point),
    /// Draws back to where the pen was set down.
    Close,
}

/// Something drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A line or a shape.
    Path {
        /// Its steps.
        steps: Vec<Step>,
        /// Its line.
        stroke: Option<Stroke>,
        /// What fills it.
        fill: Option<Ink>,
        /// What it is, as name and value, for programs that read the drawing.
        about: Vec<(&'static str, String)>,
    },
    /// A text.
    Text {
        /// Its place on the line that it stands on.
        at: Point,
        /// Its look.
        hand: Hand,
        /// What it says.
        text: String,
    },
    /// What follows belongs together: a layer of the drawing, by name.
    Begin(String),
    /// To here.
    End,
}

/// A drawing, its items in the order in which they cover each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Everything drawn.
    pub items: Vec<Item>,
    /// What it is drawn on: that covers what is under a text's plate.
    pub ground: Ink,
    /// Notes that found no room on it.
    pub left_out: Vec<String>,
}

impl Default for Drawing {
    fn default() -> Self {
        Self { items: Vec::new(), ground: Ink::Paper, left_out: Vec::new() }
    }
}

impl Drawing {
    /// Begins a layer.
    pub fn begin(&mut self, layer: impl Into<String>) {
        self.items.push(Item::Begin(text::plain(&layer.into())));
    }

    /// Ends the layer begun last.
    pub fn end(&mut self) {
        self.items.push(Item::End);
    }

    /// A shape of any kind.
    pub fn path(&mut self, steps: Vec<Step>, stroke: Option<Stroke>, fill: Option<Ink>) {
        self.known(steps, stroke, fill, Vec::new());
    }

    /// A shape that says what it is.
    pub fn known(
        &mut self,
        steps: Vec<Step>,
        stroke: Option<Stroke>,
        fill: Option<Ink>,
        about: Vec<(&'static str, String)>,
    ) {
        if !steps.is_empty() {
            self.items.push(Item::Path { steps, stroke, fill, about });
        }
    }

    /// A straight line.
    pub fn line(&mut self, stroke: Stroke, from: Point, to: Point) {
        self.path(open(&[from, to]), Some(stroke), None);
    }

    /// A rectangle.
    pub fn rectangle(&mut self, stroke: Option<Stroke>, fill: Option<Ink>, shape: &Rect) {
        self.path(corners(shape), stroke, fill);
    }

    /// A circle.
    pub fn circle(
        &mut self,
        stroke: Option<Stroke>,
        fill: Option<Ink>,
        middle: Point,
        radius: f64,
    ) {
        self.path(round(middle, radius), stroke, fill);
    }

    /// A text; nothing where it is empty.
    pub fn text(&mut self, hand: Hand, at: Point, text: impl AsRef<str>) {
        let text = text::plain(text.as_ref());
        if !text.trim().is_empty() {
            self.items.push(Item::Text { at, hand, text });
        }
    }

    /// A text cut to a width.
    pub fn fitted(&mut self, hand: Hand, at: Point, room: f64, text: impl AsRef<str>) {
        let text = text::plain(text.as_ref());
        self.text(hand, at, hand.fitted(&text, room));
    }

    /// Lines of text from there on, broken to a width; where the next one would stand.
    pub fn paragraph(&mut self, hand: Hand, at: Point, room: f64, text: impl AsRef<str>) -> Point {
        let lines = hand.lines(&text::plain(text.as_ref()), room);
        let step = hand.size.line();
        let mut at = at;
        for line in lines {
            self.text(hand, at, line);
            at = at.by(0.0, step);
        }
        at
    }

    /// Lines at 45 degrees over a rectangle: cut material, or what is not there.
    pub fn hatch(&mut self, shape: &Rect, step: f64) {
        let Rect { left, top, width, height } = *shape;
        let mut steps = Vec::new();
        // Along the upper edge and on past the corner: each line runs down to the left.
        let mut start = step;
        while start < width + height {
            let from = if start <= width {
                Point::new(left + start, top)
            } else {
                Point::new(left + width, top + start - width)
            };
            let to = if start <= height {
                Point::new(left, top + start)
            } else {
                Point::new(left + start - height, top + height)
            };
            steps.extend([Step::Start(from), Step::To(to)]);
            start += step;
        }
        self.path(steps, Some(THIN), None);
    }

    /// An arrow head with its point there, as a line from one place to the other would have it.
    pub fn arrow(&mut self, point: Point, from: Point, to: Point) {
        self.head(point, from, to, 1.9);
    }

    /// The same of another length.
    pub fn head(&mut self, point: Point, from: Point, to: Point, length: f64) {
        let whole = (to.x - from.x).hypot(to.y - from.y);
        if whole <= 0.0 {
            return;
        }
        let (x, y) = ((to.x - from.x) / whole, (to.y - from.y) / whole);
        let half = length * 0.4;
        let base = point.by(-x * length, -y * length);
        let places = [point, base.by(-y * half, x * half), base.by(y * half, -x * half)];
        self.path(closed(&places), None, Some(Ink::Black));
    }

    /// A box to tick, its middle there.
    pub fn tick_box(&mut self, middle: Point) {
        let shape = Rect { left: middle.x - 1.5, top: middle.y - 1.5, width: 3.0, height: 3.0 };
        self.rectangle(Some(MEDIUM), Some(Ink::Paper), &shape);
    }

    /// A level dimension between two places of one height, its text over the line on a plate.
    pub fn dimension(&mut self, from: Point, to: Point, text: &str) {
        self.line(THIN, from, to);
        let upright = (to.x - from.x).abs() < (to.y - from.y).abs();
        self.arrow(to, from, to);
        self.arrow(from, to, from);
        let middle = from.toward(to, 0.5);
        let hand = text::PLAIN.middle().plate();
        if upright {
            self.text(hand.up(), middle.by(hand.capital() / 2.0, 0.0), text);
        } else {
            self.text(hand, middle.by(0.0, hand.capital() / 2.0), text);
        }
    }
}

/// What a text's plate covers.
pub fn plate(hand: Hand, at: Point, text: &str) -> Rect {
    let ink = hand.ink(at, text);
    Rect {
        left: ink.left - 0.5,
        top: ink.top - 0.5,
        width: ink.width + 1.0,
        height: ink.height + 1.0,
    }
}

/// A line through places.
pub fn open(places: &[Point]) -> Vec<Step> {
    let step = |(i, place): (usize, &Point)| {
        if i == 0 { Step::Start(*place) } else { Step::To(*place) }
    };
    places.iter().enumerate().map(step).collect()
}

/// A line through places and back.
pub fn closed(places: &[Point]) -> Vec<Step> {
    let mut steps = open(places);
    steps.push(Step::Close);
    steps
}

/// The corners of a rectangle.
pub fn corners(shape: &Rect) -> Vec<Step> {
    let at = Point::new(shape.left, shape.top);
    closed(&[
        at,
        at.by(shape.width, 0.0),
        at.by(shape.width, shape.height),
        at.by(0.0, shape.height),
    ])
}

/// A circle as four curves (the usual 0.5523 of the radius; off by less than a thousandth).
pub fn round(middle: Point, radius: f64) -> Vec<Step> {
    let (r, c) = (radius, radius * 0.5523);
    let at = |x: f64, y: f64| middle.by(x, y);
    vec![
        Step::Start(at(r, 0.0)),
        Step::Bend(at(r, c), at(c, r), at(0.0, r)),
        Step::Bend(at(-c, r), at(-r, c), at(-r, 0.0)),
        Step::Bend(at(-r, -c), at(-c, -r), at(0.0, -r)),
        Step::Bend(at(c, -r), at(r, -c), at(r, 0.0)),
        Step::Close,
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hatch_stays_inside() {
        for (width, height) in [(10.0, 4.0), (4.0, 10.0), (3.0, 3.0), (1.0, 0.5)] {
            let shape = Rect { left: 5.0, top: 7.0, width, height };
            let mut drawing = Drawing::default();
            drawing.hatch(&shape, 1.3);
            let Some(Item::Path { steps, .. }) = drawing.items.first() else { continue };
            for step in steps {
                let (Step::Start(p) | Step::To(p)) = step else { panic!("{step:?}") };
                assert!(p.x > 5.0 - 1e-9 && p.x < 5.0 + width + 1e-9, "{p:?}");
                assert!(p.y > 7.0 - 1e-9 && p.y < 7.0 + height + 1e-9, "{p:?}");
            }
            for pair in steps.chunks(2) {
                let [Step::Start(a), Step::To(b)] = pair else { panic!("{pair:?}") };
                assert!(((a.x - b.x) + (a.y - b.y)).abs() < 1e-9, "at 45 degrees");
            }
        }
    }
}
