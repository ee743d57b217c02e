//! Graphical symbols of diagrams, in the shapes of IEC 60617 (from memory).

use super::text::{BOLD, PLAIN};
use super::{Drawing, Ink, MEDIUM, THICK, THIN, closed, open};
use crate::svg::{Point, Rect};

impl Drawing {
    /// A fuse: a box with the conductor through it, 8 mm long, its middle there. What it says stands
    /// above it.
    pub fn fuse(&mut self, middle: Point, text: &str) {
        let shape = Rect { left: middle.x - 4.0, top: middle.y - 1.25, width: 8.0, height: 2.5 };
        self.rectangle(Some(MEDIUM), Some(Ink::Paper), &shape);
        self.line(MEDIUM, middle.by(-4.0, 0.0), middle.by(4.0, 0.0));
        self.text(PLAIN.middle(), middle.by(0.0, -2.2), text);
    }

    /// A resistor: a box, 8 mm long, its middle there.
    pub fn resistor(&mut self, middle: Point, text: &str) {
        let shape = Rect { left: middle.x - 4.0, top: middle.y - 1.25, width: 8.0, height: 2.5 };
        self.rectangle(Some(MEDIUM), Some(Ink::Paper), &shape);
        self.text(PLAIN.middle(), middle.by(0.0, -2.2), text);
    }

    /// Earth: three bars, each shorter than the one above, hanging there.
    pub fn earth(&mut self, at: Point) {
        for (i, half) in [3.0, 2.0, 1.0].into_iter().enumerate() {
            #[expect(clippy::cast_precision_loss, reason = "three bars")]
            let y = 3.0 + i as f64 * 1.1;
            self.line(MEDIUM, at.by(-half, y), at.by(half, y));
        }
        self.line(MEDIUM, at, at.by(0.0, 3.0));
    }

    /// A box with a name in it.
    pub fn unit(&mut self, shape: &Rect, name: &str, below: &str) {
        self.rectangle(Some(THICK), Some(Ink::Paper), shape);
        let middle = shape.middle();
        let room = shape.width - 1.4;
        // A low box has room for its name alone.
        if below.is_empty() || shape.height < 8.0 {
            self.fitted(BOLD.middle(), middle.by(0.0, BOLD.capital() / 2.0), room, name);
            return;
        }
        self.fitted(BOLD.middle(), middle.by(0.0, -0.4), room, name);
        self.fitted(PLAIN.middle(), middle.by(0.0, 3.0), room, below);
    }

    /// A terminal: a small circle, there, with what it is called beside it.
    pub fn terminal(&mut self, at: Point) {
        self.circle(Some(MEDIUM), Some(Ink::Paper), at, 0.8);
    }

    /// The mark of a finding: a triangle for a hazard, a cross for a fault, a circle for advice.
    pub fn severity(&mut self, kind: glowloom_plan::Kind, middle: Point) {
        match kind {
            glowloom_plan::Kind::Hazard => {
                let corners = [middle.by(0.0, -1.5), middle.by(1.6, 1.2), middle.by(-1.6, 1.2)];
                self.path(closed(&corners), Some(MEDIUM), Some(Ink::Black));
            }
            glowloom_plan::Kind::Fault => {
                for to in [(1.2, 1.2), (1.2, -1.2)] {
                    let (from, to) = (middle.by(-to.0, -to.1), middle.by(to.0, to.1));
                    self.path(open(&[from, to]), Some(THICK), None);
                }
            }
            glowloom_plan::Kind::Advice => {
                self.circle(Some(MEDIUM), Some(Ink::Paper), middle, 1.3);
            }
        }
    }

    /// A person of that height standing there, drawn for scale.
    pub fn person(&mut self, feet: Point, height: f64) {
        // Eight heads high, as figures are usually drawn.
        let head = height / 8.0;
        let at = |x: f64, y: f64| feet.by(x * head, (y - 8.0) * head);
        self.circle(Some(THIN), Some(Ink::Black), at(0.0, 0.55), head * 0.5);
        let outline = [
            (-0.95, 1.35),
            (0.95, 1.35),
            (1.15, 4.1),
            (0.85, 4.1),
            (0.68, 2.2),
            (0.62, 8.0),
            (0.12, 8.0),
            (0.0, 4.5),
            (-0.12, 8.0),
            (-0.62, 8.0),
            (-0.68, 2.2),
            (-0.85, 4.1),
            (-1.15, 4.1),
        ];
        let places: Vec<Point> = outline.into_iter().map(|(x, y)| at(x, y)).collect();
        self.path(closed(&places), Some(THIN), Some(Ink::Black));
    }
}
