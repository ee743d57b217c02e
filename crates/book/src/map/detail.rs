//! How much of a wall is drawn, and how large.

use glowloom_design::Wall;
use glowloom_design::wall::{Direction, Panel};
use glowloom_plan::built::{Built, Outline};
use glowloom_units::Metres;

use crate::lettering::{CAPITAL, MEDIUM, SMALL, bold_width, width};
use crate::scale::Scale;
use crate::sheet::Sheet;
use crate::svg::{Point, Rect};

/// Most pixels of a picture that are drawn one by one.
pub const MOST_DOTS: u32 = 20_000;
/// The longest side of a drawing that still shows every pixel, mm.
const LONGEST: f64 = 2500.0;
/// Strips closer than that would run together, mm.
const CLOSEST_STRIPS: f64 = 1.5;
/// The longest side of a drawing that shows no pixels, mm.
const LONGEST_OF_LINES: f64 = 1100.0;

/// How much is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Detail {
    /// Outlines and names of panels.
    Panels,
    /// The path of each data line as well.
    Lines,
    /// Every pixel, strip and number as well.
    Pixels,
}

/// Where things of the wall are on paper.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// How much is drawn.
    pub detail: Detail,
    /// How large.
    pub scale: Scale,
    left: Metres,
    top: Metres,
    corner: Point,
}

impl View {
    /// The view of a wall and the size of its drawing, mm, before it has a place on a sheet.
    pub fn of(wall: &Wall, outline: &Outline) -> (Self, f64, f64) {
        let (scale, detail) = chosen(wall, outline);
        let view = Self {
            detail,
            scale,
            left: outline.left,
            top: outline.top,
            corner: Point::new(0.0, 0.0),
        };
        (view, scale.drawn(outline.width()), scale.drawn(outline.height()))
    }

    /// The same with the drawing's top left there.
    pub fn at(self, drawing: &Rect) -> Self {
        Self { corner: Point::new(drawing.left, drawing.top), ..self }
    }

    /// A place of the wall on paper.
    pub fn point(&self, (x, y): (Metres, Metres)) -> Point {
        self.corner.by(self.scale.drawn(x - self.left), self.scale.drawn(y - self.top))
    }

    /// A rectangle of the wall on paper.
    pub fn rect(&self, outline: &Outline) -> Rect {
        let at = self.point((outline.left, outline.top));
        Rect {
            left: at.x,
            top: at.y,
            width: self.scale.drawn(outline.width()),
            height: self.scale.drawn(outline.height()),
        }
    }
}

/// Whether the strips of a panel stand upright as it hangs.
pub fn upright(panel: &Panel) -> bool {
    (panel.strips == Direction::Vertical) != panel.turn.swaps()
}

/// Steps of a panel as it hangs: across its strips, and along them.
pub fn steps(wall: &Wall, panel: &Panel) -> (Metres, Metres) {
    let (right, down) = Built::of(wall, panel).steps();
    if upright(panel) { (right, down) } else { (down, right) }
}

/// The largest scale that fits the smallest sheet if everything can be read on it, or else the
/// smallest at which it can. Pixels are left out, and then lines, where that would be a sheet without
/// end.
fn chosen(wall: &Wall, outline: &Outline) -> (Scale, Detail) {
    let size = |scale: &Scale| (scale.drawn(outline.width()), scale.drawn(outline.height()));
    let (room_across, room_down) = Sheet::least_room(wall.paper);
    let fits = |scale: &Scale| {
        let (across, down) = size(scale);
        across <= room_across && down <= room_down
    };
    // The smallest usual scale holds the longest wall.
    let fitting = Scale::all().find(fits).unwrap_or_else(Scale::natural);
    let shown = |readable: &dyn Fn(&Panel, Scale) -> bool, longest: f64| {
        let all = |scale: &Scale| wall.panels.iter().all(|panel| readable(panel, *scale));
        let scale = if all(&fitting) { Some(fitting) } else { Scale::all().take_while(all).last() };
        scale.filter(|scale| size(scale).0.max(size(scale).1) <= longest)
    };
    let pixels = |panel: &Panel, scale| readable(wall, panel, scale);
    let lines = |panel: &Panel, scale: Scale| scale.drawn(steps(wall, panel).0) >= CLOSEST_STRIPS;
    if wall.columns * wall.rows <= MOST_DOTS
        && let Some(scale) = shown(&pixels, LONGEST)
    {
        return (scale, Detail::Pixels);
    }
    match shown(&lines, LONGEST_OF_LINES) {
        Some(scale) => (scale, Detail::Lines),
        None => (fitting, Detail::Panels),
    }
}

/// Diameter of a pixel's dot, mm.
pub const DOT: f64 = 1.0;
/// White around letters, mm.
pub const AIR: f64 = 0.35;

/// Furthest that a number stands from the middle of its pixel, mm.
pub const NUMBER_OFF: f64 = 2.6;

/// Height of a name's plate, mm.
pub const PLATE: f64 = MEDIUM + 0.7;

/// Width of a strip's tag, letters and air, mm.
pub fn tag_width(strips: u32) -> f64 {
    bold_width(&strips.to_string(), SMALL) + 2.0 * AIR
}

/// Height of a strip's tag without its point, mm.
pub const TAG_HEIGHT: f64 = SMALL + 0.6;
/// Length of its point, mm.
pub const TAG_POINT: f64 = 1.1;

/// Whether the numbers of a panel have room between its pixels.
fn readable(wall: &Wall, panel: &Panel, scale: Scale) -> bool {
    let (across, along) = steps(wall, panel);
    let (across, along) = (scale.drawn(across), scale.drawn(along));
    let per_line = panel.strips_per_line().max().unwrap_or(1);
    let last_index = panel.spare_pixels + per_line * panel.strip_pixels();
    let index = width(&last_index.to_string(), SMALL) + 2.0 * AIR;
    let tag = tag_width(panel.strip_count());
    // A tag lies across its strip where strips are upright, along it where they lie.
    let (tag_across, tag_along) =
        if upright(panel) { (tag, TAG_HEIGHT) } else { (TAG_HEIGHT, tag) };
    let name = if upright(panel) { PLATE + 2.0 * AIR } else { 0.0 };
    // The name of a panel whose strips have one pixel or two needs room of its own.
    let (between, beyond) = match panel.strip_pixels() {
        1 => (0.0, name),
        2 => (name, 0.0),
        _ => (0.0, 0.0),
    };
    let number = if beyond > 0.0 { NUMBER_OFF } else { (DOT + SMALL * CAPITAL) / 2.0 + AIR };
    across >= index.max(tag_across + AIR)
        && along >= tag_along + TAG_POINT + DOT + 0.7 * AIR + between
        && along / 2.0 >= number + SMALL * CAPITAL / 2.0 + AIR + beyond
}
