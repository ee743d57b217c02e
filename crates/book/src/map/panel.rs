//! One panel of the map's sheet: its outline and name, and each data line's path through its pixels.

use std::io;

use glowloom_design::Wall;
use glowloom_design::wall::{Panel, Path};
use glowloom_plan::built::Built;
use glowloom_plan::numbering::{Numbering, channels};
use glowloom_plan::path::{DataLine, PanelPath, Pixel, Run};

use super::detail::{
    AIR, DOT, Detail, NUMBER_OFF, PLATE, TAG_HEIGHT, TAG_POINT, View, steps, tag_width, upright,
};
use crate::lettering::{CAPITAL, MEDIUM, SMALL, bold_width, fitted, width};
use crate::sheet::arrow;
use crate::svg::{LINE_KINDS, Point, Rect, Svg, Trace};

/// Half the side of the square that marks a first pixel, mm.
pub const FIRST: f64 = 0.8;
/// Radius of the circle that marks a last pixel, mm.
pub const LAST: f64 = 0.72;
/// A data line's ends are marked on panels of at least that size, mm.
const MARKED: f64 = 6.0;

/// The kind of line that a data line is drawn in; lines count from 1.
pub fn kind(line: u32) -> String {
    format!("l{}", (line - 1) % LINE_KINDS + 1)
}

/// A panel being drawn.
pub struct PanelDrawing<'w> {
    wall: &'w Wall,
    panel: &'w Panel,
    view: View,
    built: Built,
    path: PanelPath<'w>,
    /// On paper, as it hangs.
    outline: Rect,
    upright: bool,
    /// From one strip to the next, mm.
    across: f64,
    /// From one pixel to the next, mm.
    along: f64,
    /// One millimetre from strip 1 toward the last.
    over: Point,
    /// One millimetre from the near edge toward the far one.
    away: Point,
}

impl<'w> PanelDrawing<'w> {
    /// The panel as this view shows it.
    pub fn new(wall: &'w Wall, panel: &'w Panel, view: View) -> Self {
        let built = Built::of(wall, panel);
        let (across, along) = steps(wall, panel);
        let (path, upright) = (PanelPath::of(panel), upright(panel));
        let mut drawing = Self {
            wall,
            panel,
            view,
            built,
            path,
            outline: view.rect(&built.outline()),
            upright,
            across: view.scale.drawn(across),
            along: view.scale.drawn(along),
            // Right and down, unless there are two pixels that say otherwise.
            over: if upright { Point::new(1.0, 0.0) } else { Point::new(0.0, 1.0) },
            away: if upright { Point::new(0.0, 1.0) } else { Point::new(1.0, 0.0) },
        };
        let first = path.lines().next().and_then(|line| line.runs().next());
        let last = path.lines().last().and_then(|line| line.runs().last());
        if let (Some(first), Some(last)) = (first, last) {
            let start = drawing.centre(first.first);
            drawing.away = unit(start, drawing.centre(first.last)).unwrap_or(drawing.away);
            drawing.over = unit(start, drawing.near(&last)).unwrap_or(drawing.over);
        }
        drawing
    }

    /// Draws all of it.
    pub fn draw(&self, svg: &mut Svg<'_>) -> io::Result<()> {
        svg.begin_group(&format!("panel {}", self.panel.name))?;
        svg.rectangle("paper", &self.outline)?;
        if self.view.detail >= Detail::Lines {
            for line in self.path.lines() {
                self.line(svg, &line)?;
            }
        }
        svg.rectangle("medium", &self.outline)?;
        self.name(svg)?;
        svg.end_group()
    }

    /// The middle of a pixel on paper.
    fn centre(&self, pixel: Pixel) -> Point {
        self.view.point(self.built.centre(pixel.hung))
    }

    /// The middle of a strip's pixel at the near edge.
    fn near(&self, run: &Run) -> Point {
        self.centre(if run.starts_near { run.first } else { run.last })
    }

    /// So far over the strips and along them from a place.
    fn moved(&self, from: Point, over: f64, away: f64) -> Point {
        from.by(self.over.x * over + self.away.x * away, self.over.y * over + self.away.y * away)
    }

    fn line(&self, svg: &mut Svg<'_>, line: &DataLine<'_>) -> io::Result<()> {
        let kind = kind(line.number);
        svg.begin_group(&format!("data line {}", line.number))?;
        svg.trace(&format!("line {kind}"), &self.route(line))?;
        if self.view.detail == Detail::Pixels {
            let mut dots = Trace::default();
            line.path().for_each(|pixel| dots.dot(self.centre(pixel)));
            svg.trace(&format!("dots {kind}"), &dots)?;
            for run in line.runs() {
                self.strip(svg, &kind, &run)?;
            }
        }
        self.ends(svg, line, &kind)?;
        if self.view.detail == Detail::Pixels {
            self.entry(svg, line)?;
        } else if let Some(run) = line.runs().next() {
            // One strip shows which way; off the middle, where the name is.
            let middle = self.centre(run.first).toward(self.centre(run.last), 0.25);
            self.arrow(svg, &kind, middle, 1.0)?;
        }
        svg.end_group()
    }

    /// The way of the data: along each strip, and over to the next by the shortest way that crosses
    /// no pixel.
    fn route(&self, line: &DataLine<'_>) -> Trace {
        let mut route = Trace::default();
        let mut before: Option<Point> = None;
        for run in line.runs() {
            let (first, last) = (self.centre(run.first), self.centre(run.last));
            match before {
                None => route.start(first),
                Some(end) => {
                    if self.panel.path == Path::Progressive {
                        // Back between the two strips.
                        route.to(self.moved(end, self.across / 2.0, 0.0));
                        route.to(self.moved(first, -self.across / 2.0, 0.0));
                    }
                    route.to(first);
                }
            }
            route.to(last);
            before = Some(last);
        }
        route
    }

    /// A strip's number on a tag that points along the data, an arrow head further on, and the
    /// index of its first and last pixel.
    fn strip(&self, svg: &mut Svg<'_>, kind: &str, run: &Run) -> io::Result<()> {
        let pixels = self.panel.strip_pixels();
        let near = self.near(run);
        let (first, last) = (self.centre(run.first), self.centre(run.last));
        let (number, index) = (run.first.strip.to_string(), run.first.index.to_string());
        if pixels == 1 {
            // No room for a tag on the strip: opposite the index.
            self.number(svg, "", near, -1.0, &index)?;
            return self.number(svg, "bold", near, 1.0, &number);
        }
        let sense = if run.starts_near { 1.0 } else { -1.0 };
        let away = if pixels == 2 { self.tag_beside_name() } else { self.along / 2.0 };
        self.tag(svg, kind, self.moved(near, 0.0, away), sense, &number)?;
        if pixels >= 4 {
            let gap = f64::from((pixels - 1) / 2) + 0.5;
            self.arrow(svg, kind, self.moved(near, 0.0, self.along * gap), sense)?;
        }
        self.number(svg, "", first, -sense, &index)?;
        self.number(svg, "", last, sense, &run.last.index.to_string())
    }

    /// How far from the near pixel a tag stands where the name has to share its gap.
    fn tag_beside_name(&self) -> f64 {
        if self.upright { (DOT + TAG_HEIGHT + TAG_POINT) / 2.0 + AIR } else { self.along / 2.0 }
    }

    /// An arrow head on a strip, along it (1) or back (-1).
    fn arrow(&self, svg: &mut Svg<'_>, kind: &str, middle: Point, sense: f64) -> io::Result<()> {
        let (from, to) = (self.moved(middle, 0.0, -sense), self.moved(middle, 0.0, sense));
        svg.trace(&format!("fill {kind}"), &arrow(to, from, to))
    }

    fn tag(
        &self,
        svg: &mut Svg<'_>,
        kind: &str,
        middle: Point,
        sense: f64,
        number: &str,
    ) -> io::Result<()> {
        let width = tag_width(self.panel.strip_count());
        let (half_across, half_along) = if self.upright {
            (width / 2.0, TAG_HEIGHT / 2.0)
        } else {
            (TAG_HEIGHT / 2.0, width / 2.0)
        };
        let middle = self.moved(middle, 0.0, -sense * TAG_POINT / 2.0);
        let corner = |over: f64, away: f64| {
            self.moved(middle, over * half_across, away * sense * half_along)
        };
        let point = self.moved(middle, 0.0, sense * (half_along + TAG_POINT));
        let shape =
            [corner(-1.0, -1.0), corner(-1.0, 1.0), point, corner(1.0, 1.0), corner(1.0, -1.0)];
        svg.trace(&format!("tag {kind}"), &Trace::closed(&shape))?;
        svg.text("bold middle", middle.by(0.0, SMALL * CAPITAL / 2.0), number)
    }

    /// A number beyond a pixel, toward the far edge (1) or the near one (-1).
    fn number(
        &self,
        svg: &mut Svg<'_>,
        class: &str,
        pixel: Point,
        side: f64,
        number: &str,
    ) -> io::Result<()> {
        // Just nearer to the pixel than to the panel's edge, whose line is thicker.
        let off = ((self.along + DOT) / 4.0 - 0.1).min(NUMBER_OFF);
        let middle = self.moved(pixel, 0.0, side * off);
        let class = format!("{class} middle");
        let half = SMALL * CAPITAL / 2.0;
        if self.upright {
            svg.text(class.trim_start(), middle.by(0.0, half), number)
        } else {
            svg.text_upward(class.trim_start(), middle.by(half, 0.0), number)
        }
    }

    /// The marks of a line's first and last pixel.
    fn ends(&self, svg: &mut Svg<'_>, line: &DataLine<'_>, kind: &str) -> io::Result<()> {
        if self.outline.width.min(self.outline.height) < MARKED {
            return Ok(());
        }
        let (Some(first), Some(last)) = (line.runs().next(), line.runs().last()) else {
            return Ok(());
        };
        svg.circle(&format!("tag {kind}"), self.centre(last.last), LAST)?;
        let at = self.centre(first.first);
        let square =
            Rect { left: at.x - FIRST, top: at.y - FIRST, width: 2.0 * FIRST, height: 2.0 * FIRST };
        svg.rectangle(&format!("fill {kind}"), &square)
    }

    /// What a data line is, beside its first strip and away from its others: no jumper is there.
    fn entry(&self, svg: &mut Svg<'_>, line: &DataLine<'_>) -> io::Result<()> {
        let Some(run) = line.runs().next() else { return Ok(()) };
        let pixels = f64::from(self.panel.strip_pixels());
        let tag = if self.upright { TAG_HEIGHT } else { tag_width(self.panel.strip_count()) };
        let start = self.along / 2.0 + (tag + TAG_POINT) / 2.0 + 2.0 * AIR;
        let end = if self.upright {
            self.along * (pixels - 1.5) - PLATE / 2.0
        } else {
            self.along * (pixels - 1.0)
        };
        let Some(text) = self.entry_text(line, end - 2.0 * AIR - start) else { return Ok(()) };
        // Letters such as g reach down, which is outward on the right and below.
        let outward = if self.upright { -self.over.x } else { -self.over.y };
        let reach = if outward > 0.0 { 0.3 } else { 0.0 };
        let off = ((self.across + DOT) / 4.0 - reach).min(NUMBER_OFF);
        let at = self.moved(self.near(&run), -off, start);
        let half = SMALL * CAPITAL / 2.0;
        if self.upright {
            let class = if self.away.y < 0.0 { "" } else { "end" };
            svg.text_upward(class, at.by(half, 0.0), &text)
        } else {
            let class = if self.away.x > 0.0 { "" } else { "end" };
            svg.text(class, at.by(0.0, half), &text)
        }
    }

    /// As much as there is room for; the schedule has the whole.
    fn entry_text(&self, line: &DataLine<'_>, room: f64) -> Option<String> {
        let numbering = Numbering::new(self.path, channels(&self.wall.strip));
        let (number, universe) = (line.number, numbering.first_universe(line.number));
        let name = &self.panel.name;
        let texts = [
            format!("{name}, line {number}, universe {universe}"),
            format!("{name}, line {number}, u {universe}"),
            format!("line {number}, universe {universe}"),
            format!("line {number}, u {universe}"),
            format!("{number}: u {universe}"),
        ];
        texts.into_iter().find(|text| width(text, SMALL) <= room)
    }

    /// The panel's name where it hides no pixel and no number.
    fn name(&self, svg: &mut Svg<'_>) -> io::Result<()> {
        let Some((middle, room)) = self.name_place() else { return Ok(()) };
        let name = fitted(&self.panel.name, room - 2.0, |text| bold_width(text, MEDIUM));
        let Some(name) = name else { return Ok(()) };
        let half = bold_width(&name, MEDIUM) / 2.0 + 1.0;
        let plate = Rect {
            left: middle.x - half,
            top: middle.y - PLATE / 2.0,
            width: 2.0 * half,
            height: PLATE,
        };
        svg.rectangle("plate", &plate)?;
        svg.text("bold medium-text middle", middle.by(0.0, MEDIUM * CAPITAL / 2.0), &name)
    }

    /// The middle of the name, and how wide it may be.
    fn name_place(&self) -> Option<(Point, f64)> {
        let centre = self.outline.middle();
        if self.view.detail < Detail::Pixels {
            let high = self.outline.height >= PLATE + 2.0 * FIRST;
            return high.then_some((centre, self.outline.width - 2.0));
        }
        if self.upright { self.name_across_strips() } else { self.name_between_strips() }
    }

    /// Over upright strips: between the last two pixels before the far edge, since tags stand at the
    /// near one; beyond a single pixel and its number.
    fn name_across_strips(&self) -> Option<(Point, f64)> {
        let first = self.path.lines().next()?.runs().next()?;
        let pixels = self.panel.strip_pixels();
        let last = self.along * f64::from(pixels - 1);
        let away = match pixels {
            1 => NUMBER_OFF + (SMALL * CAPITAL + PLATE) / 2.0 + AIR,
            2 => last - (DOT + PLATE) / 2.0 - AIR,
            _ => last - self.along / 2.0,
        };
        let row = self.moved(self.near(&first), 0.0, away);
        Some((Point::new(self.outline.middle().x, row.y), self.outline.width - 2.0 * AIR))
    }

    /// Between two lying strips, the highest on paper; of one data line if there are such, since
    /// between two lines stands what the lower one is.
    fn name_between_strips(&self) -> Option<(Point, f64)> {
        let runs: Vec<Run> = self.path.lines().flat_map(|line| line.runs()).collect();
        let gaps = |joined: bool| {
            let pairs = runs.windows(2);
            let pairs =
                pairs.filter(move |p| (p[0].first.data_line == p[1].first.data_line) == joined);
            let middles = pairs.map(|p| self.near(&p[0]).toward(self.near(&p[1]), 0.5).y);
            middles.reduce(f64::min)
        };
        let pixels = f64::from(self.panel.strip_pixels());
        let middle = self.outline.middle().x;
        match (gaps(true), gaps(false)) {
            (Some(y), _) => Some((Point::new(middle, y), self.along * (pixels - 2.0))),
            // That begins at the near edge, so toward the far one.
            (None, Some(y)) => {
                let at = middle + self.away.x * self.along * pixels / 4.0;
                Some((Point::new(at, y), self.along * (pixels / 2.0 - 1.5)))
            }
            (None, None) => None,
        }
    }
}

/// One millimetre from one place toward another; `None` where they are one.
fn unit(from: Point, to: Point) -> Option<Point> {
    let length = (to.x - from.x).hypot(to.y - from.y);
    (length > 1e-9).then(|| Point::new((to.x - from.x) / length, (to.y - from.y) / length))
}
