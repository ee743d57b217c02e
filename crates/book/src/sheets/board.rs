//! A panel's board on paper: where its edges, strips, pixels and pads are, from the front or from the
//! back. What is from the back is the front with left and right exchanged, and nothing else.

use glowloom_design::wall::{Corner, Direction, Edge, Panel, Turn};
use glowloom_plan::built::{Built, Outline};
use glowloom_plan::path::{DataLine, PanelPath, Pixel, Run};
use glowloom_units::Metres;

use super::Context;
use super::fit::Ratio;
use crate::draw::text::BOLD;
use crate::draw::{Drawing, Ink, MEDIUM, Step, Stroke, THICK, THIN, closed, open};
use crate::svg::{Point, Rect};

/// Below this step on paper cut marks and pixels are left out, mm.
pub const LEAST_STEP: f64 = 1.2;
/// Most pixels that are drawn one by one.
pub const MOST_PIXELS: u32 = 20_000;

/// A panel as one sheet draws it.
pub struct Board<'w> {
    /// The panel.
    pub panel: &'w Panel,
    /// Its path.
    pub path: PanelPath<'w>,
    /// Its edges on paper.
    pub edges: Rect,
    /// From one strip to the next on paper, mm.
    pub across: f64,
    /// From one pixel to the next on paper, mm.
    pub along: f64,
    /// From strip 1 to the last on paper: one of its directions.
    pub over: Point,
    /// From the near edge to the far one on paper.
    pub away: Point,
    built: Built,
    outline: Outline,
    ratio: Ratio,
    mirrored: bool,
}

/// One step from the near edge to the far one, and one from strip 1 to strip 2, as hung, from the front.
fn directions(panel: &Panel) -> (Point, Point) {
    let down = if panel.enter.is_top() { 1.0 } else { -1.0 };
    let right =
        if matches!(panel.enter, Corner::TopLeft | Corner::BottomLeft) { 1.0 } else { -1.0 };
    let (upright, lying) = (Point::new(0.0, down), Point::new(right, 0.0));
    let (away, over) = match panel.strips {
        Direction::Vertical => (upright, lying),
        Direction::Horizontal => (lying, upright),
    };
    let quarters = match panel.turn {
        Turn::None => 0,
        Turn::Quarter => 1,
        Turn::Half => 2,
        Turn::ThreeQuarters => 3,
    };
    // A quarter clockwise takes what points right to what points down.
    let turned = |p: Point| (0..quarters).fold(p, |p, _| Point::new(-p.y, p.x));
    (turned(away), turned(over))
}

/// The side of a sheet that a direction points to.
fn side(way: Point) -> &'static str {
    if way.y < -0.5 {
        "TOP"
    } else if way.y > 0.5 {
        "BOTTOM"
    } else if way.x < 0.0 {
        "LEFT"
    } else {
        "RIGHT"
    }
}

impl<'w> Board<'w> {
    /// The panel at a scale, its upper left corner there.
    pub fn new(
        context: &Context<'w>,
        panel: &'w Panel,
        ratio: Ratio,
        corner: Point,
        mirrored: bool,
    ) -> Self {
        let built = Built::of(context.wall, panel);
        let outline = built.outline();
        let (width, height) = built.size();
        let pitch = context.wall.pitch();
        let spacing = panel.strip_spacing.unwrap_or(pitch);
        let (away, over) = directions(panel);
        let seen = |p: Point| if mirrored { Point::new(-p.x, p.y) } else { p };
        Self {
            panel,
            path: PanelPath::of(panel),
            edges: Rect {
                left: corner.x,
                top: corner.y,
                width: ratio.drawn(width),
                height: ratio.drawn(height),
            },
            across: ratio.drawn(spacing),
            along: ratio.drawn(pitch),
            over: seen(over),
            away: seen(away),
            built,
            outline,
            ratio,
            mirrored,
        }
    }

    /// A place of the panel as hung, seen from the front: right and down from its corner.
    pub fn place(&self, right: Metres, down: Metres) -> Point {
        let (x, y) = (self.ratio.drawn(right), self.ratio.drawn(down));
        let x = if self.mirrored { self.edges.right() - x } else { self.edges.left + x };
        Point::new(x, self.edges.top + y)
    }

    /// The middle of a pixel.
    pub fn centre(&self, pixel: Pixel) -> Point {
        let (x, y) = self.built.centre(pixel.hung);
        self.place(x - self.outline.left, y - self.outline.top)
    }

    /// So far from a place: toward the last strip, and away from the near edge.
    pub fn from(&self, at: Point, over: f64, away: f64) -> Point {
        at.by(self.over.x * over + self.away.x * away, self.over.y * over + self.away.y * away)
    }

    /// Where the far edge is on the sheet.
    pub fn far_side(&self) -> &'static str {
        side(self.away)
    }

    /// Where the near edge is on the sheet.
    pub fn near_side(&self) -> &'static str {
        side(Point::new(-self.away.x, -self.away.y))
    }

    /// Whether a sheet that has the far edge above and strip 1 at the left is the panel turned, and not
    /// its mirror image.
    pub fn turns_upright(&self) -> bool {
        self.away.x * self.over.y - self.away.y * self.over.x > 0.0
    }

    /// Whether strips stand upright as hung.
    pub fn upright(&self) -> bool {
        self.away.y != 0.0
    }

    /// The pads of a strip at an edge; it lies on the panel's edge, half a step from its end pixel.
    pub fn pad(&self, run: &Run, edge: Edge) -> Point {
        let (near, far) =
            if run.starts_near { (run.first, run.last) } else { (run.last, run.first) };
        match edge {
            Edge::Near => self.from(self.centre(near), 0.0, -self.along / 2.0),
            Edge::Far => self.from(self.centre(far), 0.0, self.along / 2.0),
        }
    }

    /// Every run of every line, by strip.
    pub fn runs(&self) -> Vec<(DataLine<'w>, Run)> {
        self.path.lines().flat_map(|line| line.runs().map(move |run| (line, run))).collect()
    }

    /// Whether single pixels have room.
    pub fn shows_pixels(&self) -> bool {
        self.along >= LEAST_STEP && self.across >= LEAST_STEP && self.panel.pixels() <= MOST_PIXELS
    }

    /// Whether single strips have room.
    pub fn shows_strips(&self) -> bool {
        self.across >= 0.5 && self.panel.strip_count() <= MOST_PIXELS
    }

    /// Every how many strips one has room for a text of that breadth.
    pub fn every(&self, breadth: f64) -> usize {
        let every = [1_usize, 2, 5, 10, 20, 50, 100, 500, 1000, 5000, 10_000];
        #[expect(clippy::cast_precision_loss, reason = "small")]
        let found = every.into_iter().find(|n| *n as f64 * self.across >= breadth);
        found.unwrap_or(100_000)
    }

    /// The board itself.
    pub fn outline(&self, drawing: &mut Drawing) {
        let about = vec![("panel", self.panel.name.clone())];
        drawing.known(crate::draw::corners(&self.edges), Some(THICK), Some(Ink::Paper), about);
    }

    /// Strips as lines from pad to pad.
    pub fn strips(&self, drawing: &mut Drawing, stroke: Stroke) {
        drawing.begin("strips");
        for (line, run) in self.runs() {
            let (near, far) = (self.pad(&run, Edge::Near), self.pad(&run, Edge::Far));
            let ends = if run.starts_near { [near, far] } else { [far, near] };
            let about =
                vec![("strip", run.first.strip.to_string()), ("line", line.number.to_string())];
            drawing.known(open(&ends), Some(stroke), None, about);
        }
        drawing.end();
    }

    /// Where strips may be cut: between all pixels, and at the ends.
    pub fn cut_marks(&self, drawing: &mut Drawing) {
        let half = (self.across * 0.2).min(1.0);
        drawing.begin("cut marks");
        for (_, run) in self.runs() {
            let near = self.pad(&run, Edge::Near);
            let mut steps = Vec::new();
            for mark in 0..=self.panel.strip_pixels() {
                let at = self.from(near, 0.0, self.along * f64::from(mark));
                steps.push(Step::Start(self.from(at, -half, 0.0)));
                steps.push(Step::To(self.from(at, half, 0.0)));
            }
            drawing.path(steps, Some(THIN), None);
        }
        drawing.end();
    }

    /// Pixels as small squares, strip by strip in the order of the data.
    pub fn pixels(&self, drawing: &mut Drawing) {
        let half = (self.along * 0.17).min(0.6).min(self.across * 0.17);
        drawing.begin("pixels");
        for line in self.path.lines() {
            let mut strips: Vec<(u32, Vec<Step>)> = Vec::new();
            for pixel in line.path() {
                let at = self.centre(pixel);
                let square = Rect {
                    left: at.x - half,
                    top: at.y - half,
                    width: 2.0 * half,
                    height: 2.0 * half,
                };
                match strips.last_mut() {
                    Some((strip, steps)) if *strip == pixel.strip => {
                        steps.extend(crate::draw::corners(&square));
                    }
                    _ => strips.push((pixel.strip, crate::draw::corners(&square))),
                }
            }
            for (strip, steps) in strips {
                let about = vec![("pixels-of", strip.to_string())];
                drawing.known(steps, None, Some(Ink::Black), about);
            }
        }
        drawing.end();
    }

    /// The way of the data: an arrow near the start of each strip, and one at its middle.
    pub fn arrows(&self, drawing: &mut Drawing) {
        if self.panel.strip_pixels() < 2 {
            return;
        }
        let length = (self.along * 0.55).min(1.9);
        drawing.begin("direction of the data");
        for (_, run) in self.runs() {
            let (from, to) = (self.centre(run.first), self.centre(run.last));
            let whole = f64::from(self.panel.strip_pixels() - 1);
            for step in [0.5, (whole / 2.0).floor() + 0.5] {
                if step < whole {
                    let middle = from.toward(to, step / whole);
                    let ahead = (length / 2.0) / (whole * self.along);
                    let point = middle.toward(to, (ahead * whole / (whole - step)).min(1.0));
                    drawing.head(point, from, to, length);
                }
            }
        }
        drawing.end();
    }

    /// The joints between strips, each a bow outside the edge where it is; where a joint goes back to
    /// the near edge, a dashed line between the strips.
    pub fn joints(&self, drawing: &mut Drawing, reach: f64) {
        drawing.begin("joints");
        for line in self.path.lines() {
            let runs: Vec<Run> = line.runs().collect();
            for pair in runs.windows(2) {
                let [from, to] = pair else { continue };
                let end = if from.starts_near { Edge::Far } else { Edge::Near };
                let start = if to.starts_near { Edge::Near } else { Edge::Far };
                let (a, b) = (self.pad(from, end), self.pad(to, start));
                let about = vec![("joint", format!("{}-{}", from.first.strip, to.first.strip))];
                if end == start {
                    let out = if end == Edge::Far { reach } else { -reach };
                    let (c, d) = (self.from(a, 0.0, out), self.from(b, 0.0, out));
                    drawing.known(open(&[a, c, d, b]), Some(MEDIUM), None, about);
                } else {
                    let between = self.across / 2.0;
                    let (c, d) = (self.from(a, between, 0.0), self.from(b, -between, 0.0));
                    let stroke = THIN.dashed(crate::draw::DASHED);
                    drawing.known(open(&[a, c, d, b]), Some(stroke), None, about);
                }
            }
        }
        drawing.end();
    }

    /// The first pixel of each data line, as a ringed square.
    pub fn firsts(&self, drawing: &mut Drawing) {
        let size = (self.along.min(self.across) * 0.36).clamp(0.4, 1.5);
        for line in self.path.lines() {
            if let Some(run) = line.runs().next() {
                let at = self.centre(run.first);
                let corners =
                    [at.by(0.0, -size), at.by(size, 0.0), at.by(0.0, size), at.by(-size, 0.0)];
                drawing.path(closed(&corners), Some(MEDIUM), Some(Ink::Black));
            }
        }
    }

    /// Numbers of strips beyond an edge, so far from it.
    pub fn numbers(&self, drawing: &mut Drawing, edge: Edge, off: f64) {
        let hand = BOLD.middle();
        let widest = hand.width(&self.panel.strip_count().to_string());
        let breadth = if self.upright() { widest + 1.2 } else { hand.size.height() + 0.9 };
        let every = self.every(breadth);
        let out = if edge == Edge::Far { off } else { -off };
        drawing.begin("strip numbers");
        let runs = self.runs();
        let mut last_drawn = None;
        for (i, (_, run)) in runs.iter().enumerate() {
            let number = run.first.strip as usize;
            // The last one has its number where the one before leaves room.
            let last = i + 1 == runs.len()
                && last_drawn.is_some_and(|drawn: usize| {
                    #[expect(clippy::cast_precision_loss, reason = "a count of strips")]
                    let room = (number - drawn) as f64 * self.across;
                    room >= breadth
                });
            if number == 1
                || number.is_multiple_of(every)
                    && last_drawn.is_none_or(|drawn| {
                        #[expect(clippy::cast_precision_loss, reason = "a count of strips")]
                        let room = (number - drawn) as f64 * self.across;
                        room >= breadth
                    })
                || last
            {
                let at = self.from(self.pad(run, edge), 0.0, out);
                drawing.text(hand, at.by(0.0, hand.capital() / 2.0), number.to_string());
                last_drawn = Some(number);
            }
        }
        drawing.end();
    }

    /// The words at the four sides as seen, so far from the edges, so that front and back are never
    /// confused.
    pub fn sides(&self, drawing: &mut Drawing, off: [f64; 4]) {
        let Rect { left, top, .. } = self.edges;
        let (right, bottom) = (self.edges.right(), self.edges.bottom());
        let middle = self.edges.middle();
        let (left_word, right_word) = if self.mirrored {
            ("LEFT (front's right)", "RIGHT (front's left)")
        } else {
            ("LEFT", "RIGHT")
        };
        let half = BOLD.capital() / 2.0;
        let [l, t, r, b] = off;
        drawing.begin("sides");
        drawing.text(BOLD.middle(), Point::new(middle.x, top - t + half), "TOP");
        drawing.text(BOLD.middle(), Point::new(middle.x, bottom + b + half), "BOTTOM");
        drawing.text(BOLD.middle().up(), Point::new(left - l + half, middle.y), left_word);
        drawing.text(BOLD.middle().up(), Point::new(right + r + half, middle.y), right_word);
        drawing.end();
    }

    /// What a program needs to turn paper into the panel's millimetres.
    pub fn data(&self) -> Vec<(&'static str, String)> {
        vec![
            ("ratio", self.ratio.size().to_string()),
            ("left", self.edges.left.to_string()),
            ("top", self.edges.top.to_string()),
            ("right", self.edges.right().to_string()),
            ("panel", self.panel.name.clone()),
        ]
    }
}
