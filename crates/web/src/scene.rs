//! The wall drawn to scale, in millimetres as built: panels, strips, feeds, a person. What lies over the
//! pixels is painted by the browser below it.

mod legend;
mod seen;

use std::fmt::Write as _;

use glowloom_design::Wall;
use glowloom_plan::built::{Built, Outline};
use glowloom_plan::geometry::outline;
use glowloom_plan::numbering::{Numbering, channels};
use glowloom_plan::path::{PanelPath, Run};
use glowloom_plan::uncovered::gaps;
use maud::{Markup, html};

use crate::desk::View;
use crate::edit::{End, Side as Edge};
use legend::{legend, shades};

/// A person is drawn that tall, mm, as in the book (own choice).
const PERSON: f64 = 1750.0;
/// The wall's middle is drawn there, where the file does not say how high it hangs (own choice).
const EYES: f64 = 1500.0;
/// Round the drawing, mm to a side of the larger of wall and person.
const ROOM: f64 = 0.07;

/// Which side is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// As it is watched.
    Front,
    /// As it is wired: left and right exchanged.
    Back,
}

impl Side {
    /// As the title block has it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Front => "FRONT",
            Self::Back => "BACK, MIRRORED",
        }
    }
}

/// What lies over the pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Overlay {
    /// Nothing: panels by name.
    Panels,
    /// Strips with their numbers, and which way data runs.
    Path,
    /// Volts at full white.
    Volts,
    /// Current of each pixel at full white.
    Current,
    /// Data lines and universes.
    Data,
    /// What the panels show now.
    Picture,
    /// A picture as it will look: cells, cloth, distance.
    Seen,
}

impl Overlay {
    /// All of them: word, name.
    pub const ALL: [(Self, &'static str, &'static str); 7] = [
        (Self::Panels, "panels", "Panels"),
        (Self::Path, "path", "Path"),
        (Self::Volts, "volts", "Volts"),
        (Self::Current, "current", "Current"),
        (Self::Data, "data", "Data lines"),
        (Self::Picture, "picture", "Picture"),
        (Self::Seen, "seen", "As seen"),
    ];

    /// The one of that word.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|one| one.1 == word).map(|one| one.0)
    }

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|one| one.0 == self).map_or("", |one| one.1)
    }
}

/// From metres of the wall to millimetres of the drawing.
struct Scale {
    whole: Outline,
    back: bool,
}

impl Scale {
    fn x(&self, metres: f64) -> f64 {
        let x = (metres - self.whole.left.0) * 1e3;
        if self.back { self.whole.width().0 * 1e3 - x } else { x }
    }

    fn y(&self, metres: f64) -> f64 {
        (metres - self.whole.top.0) * 1e3
    }

    /// Left, top, width, height.
    fn rect(&self, of: &Outline) -> [f64; 4] {
        let (a, b) = (self.x(of.left.0), self.x(of.right.0));
        [a.min(b), self.y(of.top.0), (a - b).abs(), of.height().0 * 1e3]
    }
}

/// The drawing with what belongs to it: the canvas, the words for it, the line of the pixel. It begins `near`,
/// with the wall alone, or with the person and the floor.
pub fn figure(view: &View, side: Side, overlay: Overlay, near: bool) -> Markup {
    let (wall, back) = (&view.wall, side == Side::Back);
    let scale = Scale { whole: outline(wall, &gaps(wall)), back };
    let [width, height] = [scale.whole.width().0 * 1e3, scale.whole.height().0 * 1e3];
    let above =
        wall.hanging.as_ref().and_then(|hanging| hanging.above_floor).map(|floor| floor.0 * 1e3);
    let floor = height + above.unwrap_or_else(|| (EYES - height / 2.0).max(0.0));
    let room = ROOM * width.max(height).max(PERSON);
    let person = width + room + 260.0;
    let (left, top) = (-room, (floor - PERSON).min(0.0) - room);
    let (wide, high) = (person + 320.0 + room - left, floor + room * 0.6 - top);
    let around = 0.12 * width.max(height);
    let close = [-around, -around, width + 2.0 * around, height + 2.0 * around];
    let whole = [left, top, wide, high];
    let shown = if near { close } else { whole };
    let legend = legend(view, overlay);
    let cell = (overlay == Overlay::Seen).then(|| seen::cell(wall)).flatten();
    let about = format!(
        "{} seen from the {}: {} panels, {:.0} by {:.0} mm, beside a person of {:.2} m.",
        wall.name,
        if back { "back, mirrored" } else { "front" },
        wall.panels.len(),
        width,
        height,
        PERSON / 1e3
    );
    html! {
        figure .drawing.back[back].close[near] data-drawing=(overlay.word()) data-columns=(wall.columns) data-rows=(wall.rows)
            data-back=[back.then_some("")] data-box=(four(whole)) data-near=[near.then(|| four(close))]
            data-limits=[legend.as_ref().map(|l| format!("{} {}", l.low, l.high))]
            data-cell=[cell.as_deref()]
            data-ramp=[legend.as_ref().map(|_| shades())] {
            div .stage #stage tabindex="0" role="application" aria-label={ "Drawing: " (about) }
                aria-describedby="keys" {
                canvas aria-hidden="true" {}
                svg viewBox=(four(shown)) preserveAspectRatio="xMidYMid meet" {
                    g .scale aria-hidden="true" {
                        path .floor d={ "M" (n(left)) " " (n(floor)) "h" (n(wide)) } {}
                        (body(person, floor))
                        (sides(width, height, room, back))
                    }
                    @for (number, _) in wall.panels.iter().enumerate() {
                        (panel(wall, number, &scale, overlay))
                    }
                    @if overlay == Overlay::Volts { (lowest(view, &scale)) }
                    rect .cursor width="0" height="0" visibility="hidden" {}
                }
            }
            p #keys .quiet {
                span .pixel aria-live="polite" { "Point at a pixel, or move over them with the arrow keys; plus and minus come nearer, 0 shows all." }
            }
            @if let Some(legend) = &legend { (legend.markup()) }
            @if overlay == Overlay::Seen { (seen::controls(view)) }
        }
    }
}

fn four(numbers: [f64; 4]) -> String {
    numbers.map(n).join(" ")
}

/// A number with what it needs of one decimal.
fn n(value: f64) -> String {
    format!("{}", (value * 10.0).round() / 10.0 + 0.0)
}

fn body(x: f64, floor: f64) -> Markup {
    let head = PERSON / 8.0;
    let at = |(right, down): (f64, f64)| {
        format!("{} {}", n(x + right * head), n(floor + (down - 8.0) * head))
    };
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
    let path = outline.map(at).join("L");
    let (y, radius) = (floor - 7.45 * head, head * 0.5);
    html! {
        g .person {
            circle cx=(n(x)) cy=(n(y)) r=(n(radius)) {}
            path d={ "M" (path) "z" } {}
        }
    }
}

/// The words at the edges, so that front and back are never confused.
fn sides(width: f64, height: f64, room: f64, back: bool) -> Markup {
    let out = room * 0.45;
    let (left, right) = if back { ("RIGHT", "LEFT") } else { ("LEFT", "RIGHT") };
    let upward = |x: f64| format!("translate({} {})rotate(-90)", n(x), n(height / 2.0));
    html! {
        g .sides {
            text x=(n(width / 2.0)) y=(n(-out)) { "TOP" }
            text transform=(upward(-out)) { (left) }
            text transform=(upward(width + out)) dy="0.8em" { (right) }
        }
    }
}

/// The end pixel of a strip at an edge, and the one at the other, as (x, y) of the drawing.
fn ends(wall: &Wall, number: usize, run: &Run, scale: &Scale) -> [(f64, f64); 2] {
    let built = wall.panels.get(number).map(|panel| Built::of(wall, panel));
    let at = |pixel: glowloom_plan::path::Pixel| {
        let (x, y) = built.map(|built| built.centre(pixel.hung)).unwrap_or_default();
        (scale.x(x.0), scale.y(y.0))
    };
    let (first, last) = (at(run.first), at(run.last));
    if run.starts_near { [first, last] } else { [last, first] }
}

fn panel(wall: &Wall, number: usize, scale: &Scale, overlay: Overlay) -> Markup {
    let panel = &wall.panels[number];
    let [x, y, w, h] = scale.rect(&Built::of(wall, panel).outline());
    let (columns, rows) = panel.hung();
    let runs: Vec<(u32, Run)> = PanelPath::of(panel)
        .lines()
        .flat_map(|line| line.runs().map(move |run| (line.number, run)))
        .collect();
    let ends: Vec<[(f64, f64); 2]> =
        runs.iter().map(|(_, run)| ends(wall, number, run, scale)).collect();
    let places = |edge: usize| {
        let mut text = String::new();
        for ends in &ends {
            let _ = write!(text, "{},{} ", n(ends[edge].0), n(ends[edge].1));
        }
        text
    };
    let feeds = matches!(overlay, Overlay::Path | Overlay::Volts);
    let back = if scale.back { "&side=back" } else { "" };
    let below = if feeds {
        100.0
    } else if overlay == Overlay::Data {
        70.0
    } else {
        0.0
    };
    let to = format!("/wall?panel={number}&show={}{back}", overlay.word());
    html! {
        g .panel data-panel=(number) data-rect={ (n(x)) " " (n(y)) " " (n(w)) " " (n(h)) }
            data-at={ (panel.at.0) " " (panel.at.1) " " (columns) " " (rows) }
            data-near=[feeds.then(|| places(0))] data-far=[feeds.then(|| places(1))] {
            @if overlay == Overlay::Path { (path(&runs, &ends)) }
            @if overlay == Overlay::Data { (data(wall, number, &runs, &ends)) }
            a href=(to) aria-label={ "Panel " (panel.name) } {
                rect .board x=(n(x)) y=(n(y)) width=(n(w)) height=(n(h)) {}
                @if matches!(overlay, Overlay::Panels) {
                    text .name x=(n(x + w / 2.0)) y=(n(y + h / 2.0)) { (panel.name) }
                } @else {
                    text .name.small x=(n(x + w / 2.0)) y=(n(y + h + below)) dy="1.3em" { (panel.name) }
                }
            }
            @if feeds {
                @for feed in &panel.feeds { (feed_mark(number, End::from(feed), &ends, panel.strip_count())) }
            }
        }
    }
}

/// Strips, with an arrow where data enters, and some of their numbers.
fn path(runs: &[(u32, Run)], ends: &[[(f64, f64); 2]]) -> Markup {
    let mut line = String::new();
    let mut last = 0;
    for ((number, run), ends) in runs.iter().zip(ends) {
        let [near, far] = *ends;
        let (from, to) = if run.starts_near { (near, far) } else { (far, near) };
        let pen = if *number == last { 'L' } else { 'M' };
        let _ = write!(line, "{pen}{} {}L{} {}", n(from.0), n(from.1), n(to.0), n(to.1));
        last = *number;
    }
    let every = runs.len().div_ceil(5).max(1);
    html! {
        path .strips d=(line) {}
        @for (i, ((_, run), ends)) in runs.iter().zip(ends).enumerate() {
            @let start = if run.starts_near { ends[0] } else { ends[1] };
            @if i == 0 { circle .start cx=(n(start.0)) cy=(n(start.1)) r="9" {} }
            @if i % every == 0 || i + 1 == runs.len() {
                text .number x=(n(ends[1].0)) y=(n(ends[1].1)) dy="-.5em" { (run.first.strip) }
            }
        }
    }
}

/// Strips in the dash of their data line.
fn data(wall: &Wall, number: usize, runs: &[(u32, Run)], ends: &[[(f64, f64); 2]]) -> Markup {
    let path = PanelPath::of(&wall.panels[number]);
    let numbering = Numbering::new(path, channels(&wall.strip));
    let universes: Vec<String> = path
        .lines()
        .map(|line| {
            let (first, count) =
                (numbering.first_universe(line.number), numbering.universes(&line));
            match count {
                1 => format!("{first}"),
                count => format!("{first} to {}", first + count - 1),
            }
        })
        .collect();
    let mut lines: Vec<(u32, String)> = Vec::new();
    for ((number, run), ends) in runs.iter().zip(ends) {
        let [near, far] = *ends;
        let (from, to) = if run.starts_near { (near, far) } else { (far, near) };
        if lines.last().is_none_or(|last| last.0 != *number) {
            lines.push((*number, format!("M{} {}", n(from.0), n(from.1))));
        }
        if let Some((_, text)) = lines.last_mut() {
            let _ = write!(text, "L{} {}L{} {}", n(from.0), n(from.1), n(to.0), n(to.1));
        }
    }
    html! {
        @for (number, line) in &lines {
            path class={ "strips l" (number % 4) } d=(line) {}
        }
        @for (i, (number, _)) in lines.iter().enumerate() {
            @let first = runs.iter().position(|(line, _)| line == number).unwrap_or(0);
            @let place = ends.get(first).map(|ends| ends[0]).unwrap_or_default();
            text .number.first x=(n(place.0)) y=(n(place.1)) dy={ (1.4 + 1.1 * f64::from(u32::try_from(i % 2).unwrap_or(0))) "em" } {
                "line " (number) ", universe " (universes.get(i).map_or("", String::as_str))
            }
        }
    }
}

/// A feed: a wedge outside the strip end that it is soldered to.
fn feed_mark(panel: usize, end: End, ends: &[[(f64, f64); 2]], strips: u32) -> Markup {
    let Some(both) = ends.get(end.strip as usize - 1) else { return html! {} };
    let (here, there) =
        if end.edge == Edge::Near { (both[0], both[1]) } else { (both[1], both[0]) };
    let length = (here.0 - there.0).hypot(here.1 - there.1).max(1.0);
    let angle = (here.1 - there.1).atan2(here.0 - there.0).to_degrees();
    let _ = length;
    let edge = if end.edge == Edge::Near { "near" } else { "far" };
    html! {
        g .feed tabindex="0" role="slider" aria-label={ "Feed at the " (edge) " edge, strip" }
            aria-valuemin="1" aria-valuemax=(strips) aria-valuenow=(end.strip)
            data-panel=(panel) data-strip=(end.strip) data-edge=(edge)
            transform={ "translate(" (n(here.0)) " " (n(here.1)) ")rotate(" (n(angle)) ")" } {
            path .grip d="M12-34H104V34H12z" {}
            path .wedge d="M16 0 52-19V19z M52 0H92" {}
        }
    }
}

/// The lowest pixel with a leader and its volts.
fn lowest(view: &View, scale: &Scale) -> Markup {
    let least = view
        .plan
        .power
        .panels
        .iter()
        .enumerate()
        .min_by(|a, b| a.1.least_volts.0.total_cmp(&b.1.least_volts.0));
    let Some((number, power)) = least else { return html! {} };
    let Some(panel) = view.wall.panels.get(number) else { return html! {} };
    let [column, row] = power.least_volts_at;
    let hung = glowloom_plan::path::Cell {
        column: column.saturating_sub(panel.at.0),
        row: row.saturating_sub(panel.at.1),
    };
    let (x, y) = Built::of(&view.wall, panel).centre(hung);
    let (x, y, width) = (scale.x(x.0), scale.y(y.0), scale.whole.width().0 * 1e3);
    html! {
        g .leader aria-hidden="true" {
            circle cx=(n(x)) cy=(n(y)) r="26" {}
            path d={ "M" (n(x)) " " (n(y - 26.0)) "V-40" } {}
            text class=(if x < width * 0.2 { "from" } else if x > width * 0.8 { "to" } else { "" }) x=(n(x)) y="-40" dy="-.4em" { (format!("least {:.2} V", power.least_volts.0)) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn view() -> View {
        View::of(include_str!("../../../examples/walls/tidewall.toml").into())
            .map_err(|(wrong, _)| wrong)
            .unwrap()
    }

    /// Places of things in a drawing: numbers behind a word.
    fn rects(markup: &str) -> Vec<Vec<f64>> {
        let parts = markup.split("data-rect=\"").skip(1);
        parts
            .map(|part| {
                part.split('"').next().unwrap().split(' ').map(|n| n.parse().unwrap()).collect()
            })
            .collect()
    }

    #[test]
    fn the_back_is_the_front_in_a_mirror() {
        let view = view();
        let front = figure(&view, Side::Front, Overlay::Path, true).into_string();
        let back = figure(&view, Side::Back, Overlay::Path, true).into_string();
        let (front_rects, back_rects) = (rects(&front), rects(&back));
        assert_eq!(front_rects.len(), 3);
        for (f, b) in front_rects.iter().zip(&back_rects) {
            assert!((f[0] + f[2] - (2000.0 - b[0])).abs() < 0.2, "{f:?} {b:?}");
            assert_eq!(f[1..], b[1..]);
        }
        assert!(front.find("LEFT") < front.find("RIGHT") && back.find("RIGHT") < back.find("LEFT"));
        assert!(back.contains("drawing back") && !front.contains("drawing back"));
    }

    #[test]
    fn every_feed_can_be_taken_hold_of() {
        let text = figure(&view(), Side::Front, Overlay::Volts, true).into_string();
        assert_eq!(text.matches("role=\"slider\"").count(), 24);
        assert!(text.contains("least 4."));
        assert!(!text.contains("style="), "no style stands with a shape");
    }
}
