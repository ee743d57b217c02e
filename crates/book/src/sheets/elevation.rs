//! The wall from the front: panels by name, dimensions, picture coordinates, what no panel shows.

use glowloom_design::wall::Panel;
use glowloom_plan::built::{Built, Outline};
use glowloom_plan::geometry::outline;
use glowloom_plan::structure::points;
use glowloom_plan::uncovered::gaps;
use glowloom_units::Metres;

use super::fit::{Ratio, best, placed};
use super::{Context, Sheet, View};
use crate::draw::text::{BOLD, NAME, PLAIN};
use crate::draw::{Drawing, Ink, MEDIUM, THICK, THIN, corners};
use crate::svg::{Point, Rect};

/// Around the wall.
const MARGINS: [f64; 4] = [34.0, 16.0, 14.0, 29.0];

/// Radius of a fixing's mark.
const FIXING: f64 = 1.1;

/// The front elevation.
pub fn draw(context: &Context<'_>) -> Sheet {
    let gaps = gaps(context.wall);
    let whole = outline(context.wall, &gaps);
    let size = (whole.width(), whole.height());
    let (frame, ratio) = best(context.wall.paper, size, MARGINS, context.wall.figures);
    let mut sheet = Sheet::new("elevation", "Elevation", View::Front, frame);
    sheet.scale = Some(ratio.to_string());
    let body = frame.body();
    let place = placed(&body, (ratio.drawn(size.0), ratio.drawn(size.1)), MARGINS);
    sheet.data = vec![
        ("ratio", ratio.size().to_string()),
        ("left", place.left.to_string()),
        ("top", place.top.to_string()),
    ];
    sheet.description = format!(
        "The wall from the front, {} by {}: {} panels with their names and sizes, columns and rows of \
         the picture.",
        context.shown(size.0),
        context.shown(size.1),
        context.wall.panels.len()
    );
    let view = OnPaper { ratio, whole, place };
    let drawing = &mut sheet.drawing;
    drawing.begin("what no panel shows");
    for gap in &gaps {
        let shape = view.rect(&gap.outline(context.wall));
        drawing.rectangle(Some(THIN), Some(Ink::Paper), &shape);
        drawing.hatch(&shape, 2.0);
    }
    drawing.end();
    let named = panels(drawing, context, &view);
    rulers(drawing, context, &view);
    dimensions(drawing, context, &view);
    let middle = place.middle();
    let half = BOLD.capital() / 2.0;
    drawing.text(BOLD.middle(), Point::new(middle.x, place.top - 11.0), "TOP");
    drawing.text(BOLD.middle(), Point::new(middle.x, place.bottom() + 27.0), "BOTTOM");
    drawing.text(BOLD.middle().up(), Point::new(place.left - 30.0 + half, middle.y), "LEFT");
    drawing.text(BOLD.middle().up(), Point::new(place.right() + 8.0 + half, middle.y), "RIGHT");
    let mut lines = vec![
        format!(
            "{} x {} pixels at {}; columns count from 0 at the left, rows from 0 at the top",
            context.wall.columns,
            context.wall.rows,
            context.shown(context.wall.pitch())
        ),
        "In each panel: its name, its size, columns and rows of the picture, its kind".to_owned(),
    ];
    if !named {
        lines
            .push("Names that have no room stand in the list of panels, the next sheet".to_owned());
    }
    if !gaps.is_empty() {
        lines.push(format!(
            "Hatched: {} pixels that no panel shows",
            context.plan.geometry.uncovered_pixels
        ));
    }
    let cables = "arrows: where cables leave";
    lines.push(match &context.wall.hanging {
        Some(hanging) => format!(
            "Crossed circles: fixings, {} to a panel; {cables} (sheet Hanging points)",
            hanging.fixings_per_panel,
        ),
        None => format!("At lower edges, {cables}"),
    });
    super::panel_front::notes(drawing, &frame.band(), &lines);
    sheet
}

/// The wall on paper.
struct OnPaper {
    ratio: Ratio,
    whole: Outline,
    place: Rect,
}

impl OnPaper {
    fn x(&self, right: Metres) -> f64 {
        self.place.left + self.ratio.drawn(right - self.whole.left)
    }

    fn y(&self, down: Metres) -> f64 {
        self.place.top + self.ratio.drawn(down - self.whole.top)
    }

    fn rect(&self, outline: &Outline) -> Rect {
        Rect {
            left: self.x(outline.left),
            top: self.y(outline.top),
            width: self.ratio.drawn(outline.width()),
            height: self.ratio.drawn(outline.height()),
        }
    }
}

/// Panels with what has room of their words; whether all names had.
fn panels(drawing: &mut Drawing, context: &Context<'_>, view: &OnPaper) -> bool {
    let mut named = true;
    drawing.begin("panels");
    for (i, panel) in context.wall.panels.iter().enumerate() {
        let shape = view.rect(&Built::of(context.wall, panel).outline());
        let about = vec![("panel", panel.name.clone())];
        drawing.known(corners(&shape), Some(THICK), Some(Ink::Paper), about);
        let kind = context.kinds.iter().find(|kind| kind.panels.contains(&i));
        let letter = kind.map_or("", |kind| kind.letter.as_str());
        let (columns, rows) = panel.hung();
        let (width, height) = Built::of(context.wall, panel).size();
        let words = [
            (NAME.middle(), panel.name.clone()),
            (PLAIN.middle(), format!("{} x {}", context.shown(width), context.shown(height))),
            (
                PLAIN.middle(),
                format!(
                    "columns {} to {}, rows {} to {}",
                    panel.at.0,
                    panel.at.0 + columns - 1,
                    panel.at.1,
                    panel.at.1 + rows - 1
                ),
            ),
            (PLAIN.middle(), format!("kind {letter}")),
        ];
        let room = (shape.width - 2.0, shape.height - 2.0);
        let mut kept = Vec::new();
        let mut high = 0.0;
        for (hand, text) in words {
            let name = kept.is_empty() && high == 0.0;
            let text = crate::draw::text::plain(&text);
            let text = if name { hand.fitted(&text, room.0) } else { text };
            let step = hand.size.line();
            if hand.width(&text) <= room.0 && high + step <= room.1 && !text.is_empty() {
                named &= !name || text == crate::draw::text::plain(&panel.name);
                kept.push((hand, text, high + hand.size.height()));
                high += step;
            } else if name {
                named = false;
                break;
            }
        }
        marks(drawing, context, panel, &shape, high);
        let top = shape.middle().y - high / 2.0;
        for (hand, text, down) in kept {
            drawing.text(hand, Point::new(shape.middle().x, top + down), text);
        }
    }
    drawing.end();
    named
}

/// Fixings as crossed circles and the cord as an arrow out of the lower edge, where no words stand:
/// those take so much in the panel's middle.
fn marks(drawing: &mut Drawing, context: &Context<'_>, panel: &Panel, shape: &Rect, words: f64) {
    let (width, height) = Built::of(context.wall, panel).size();
    let at = |point: points::Point| {
        let (right, down) = (point.right / width, point.down / height);
        Point::new(shape.left + right * shape.width, shape.top + down * shape.height)
    };
    let clear = |at: &Point| (at.y - shape.middle().y).abs() > words / 2.0 + 2.5;
    if let Some(hanging) = &context.wall.hanging {
        let all = points::fixings(context.wall, panel, hanging);
        // Marks that touch tell nothing.
        let close = all.windows(2).any(|pair| match pair {
            [a, b] => a.down == b.down && (at(*b).x - at(*a).x).abs() < 3.0,
            _ => false,
        });
        for point in all.into_iter().map(at).filter(|point| clear(point) && !close) {
            drawing.circle(Some(THIN), Some(Ink::Paper), point, FIXING);
            drawing.line(THIN, point.by(-FIXING, 0.0), point.by(FIXING, 0.0));
            drawing.line(THIN, point.by(0.0, -FIXING), point.by(0.0, FIXING));
        }
    }
    let cord = at(points::cord(context.wall, panel));
    let from = cord.by(0.0, -3.5);
    if clear(&from) {
        drawing.line(MEDIUM, from, cord.by(0.0, -0.6));
        drawing.head(cord.by(0.0, -0.5), from, cord, 1.6);
    }
}

/// Columns above and rows at the left, where panels begin and end.
fn rulers(drawing: &mut Drawing, context: &Context<'_>, view: &OnPaper) {
    let mut columns = vec![];
    let mut rows = vec![];
    for panel in &context.wall.panels {
        let outline = Built::of(context.wall, panel).outline();
        let (wide, high) = panel.hung();
        let half = context.wall.pitch() / 2.0;
        columns.push((panel.at.0, outline.left + half, false));
        columns.push((panel.at.0 + wide - 1, outline.right - half, true));
        rows.push((panel.at.1, outline.top + half, false));
        rows.push((panel.at.1 + high - 1, outline.bottom - half, true));
    }
    drawing.begin("picture coordinates");
    // Where panels begin comes before where they end, if there is not room for both.
    columns.sort_by_key(|(number, _, ends)| (*ends, *number));
    rows.sort_by_key(|(number, _, ends)| (*ends, *number));
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for (column, at, _) in columns {
        let (x, text) = (view.x(at), column.to_string());
        let half = PLAIN.width(&text) / 2.0 + 0.6;
        if free(&mut taken, x, half) {
            let top = view.place.top;
            drawing.line(THIN, Point::new(x, top - 0.8), Point::new(x, top - 2.4));
            drawing.text(PLAIN.middle(), Point::new(x, top - 3.4), text);
        }
    }
    let label = "column";
    let left = view.place.left - 2.0;
    drawing.text(PLAIN.end(), Point::new(left, view.place.top - 3.4), label);
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for (row, at, _) in rows {
        let (y, x) = (view.y(at), view.place.left);
        if free(&mut taken, y, PLAIN.size.height() / 2.0 + 0.3) {
            drawing.line(THIN, Point::new(x - 0.8, y), Point::new(x - 2.4, y));
            let at = Point::new(x - 3.2, y + PLAIN.capital() / 2.0);
            drawing.text(PLAIN.end(), at, row.to_string());
        }
    }
    drawing.text(PLAIN.end(), Point::new(left, view.place.bottom() + 3.6), "row");
    drawing.end();
}

/// Whether that much around a place is free; then it is taken.
fn free(taken: &mut Vec<(f64, f64)>, at: f64, half: f64) -> bool {
    let free = taken.iter().all(|(other, its)| (other - at).abs() >= its + half);
    if free {
        taken.push((at, half));
    }
    free
}

/// Sizes of panels in a chain, where each has room, and of the whole.
fn dimensions(drawing: &mut Drawing, context: &Context<'_>, view: &OnPaper) {
    let outlines: Vec<Outline> =
        context.wall.panels.iter().map(|panel| Built::of(context.wall, panel).outline()).collect();
    let edges = |of: &dyn Fn(&Outline) -> [Metres; 2], from: Metres, to: Metres| {
        let mut all: Vec<Metres> = outlines.iter().flat_map(of).chain([from, to]).collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all.dedup_by(|a, b| (a.0 - b.0).abs() < 1e-6);
        all
    };
    let across = edges(&|o| [o.left, o.right], view.whole.left, view.whole.right);
    let down = edges(&|o| [o.top, o.bottom], view.whole.top, view.whole.bottom);
    let place = view.place;
    drawing.begin("dimensions");
    let shown = |a: &Metres, b: &Metres| context.shown(*b - *a);
    let room = |pair: &[Metres]| match pair {
        [a, b] => view.ratio.drawn(*b - *a) >= PLAIN.width(&shown(a, b)) + 6.0,
        _ => false,
    };
    let chain_x = across.len() > 2 && across.windows(2).all(room);
    let (first, second) = (place.bottom() + 10.0, place.bottom() + 18.0);
    for x in &across {
        if chain_x || *x == view.whole.left || *x == view.whole.right {
            let at = view.x(*x);
            let inner = *x != view.whole.left && *x != view.whole.right;
            let end = if inner { first } else { second };
            drawing.line(THIN, Point::new(at, place.bottom() + 5.5), Point::new(at, end + 1.5));
        }
    }
    if chain_x {
        for pair in across.windows(2) {
            let [a, b] = pair else { continue };
            let (a_x, b_x) = (view.x(*a), view.x(*b));
            drawing.dimension(Point::new(a_x, first), Point::new(b_x, first), &shown(a, b));
        }
    }
    let whole = context.shown(view.whole.width());
    drawing.dimension(Point::new(place.left, second), Point::new(place.right(), second), &whole);
    let chain_y = down.len() > 2 && down.windows(2).all(room);
    let (first, second) = (place.left - 14.0, place.left - 23.0);
    for y in &down {
        if chain_y || *y == view.whole.top || *y == view.whole.bottom {
            let at = view.y(*y);
            let inner = *y != view.whole.top && *y != view.whole.bottom;
            let end = if inner { first } else { second };
            drawing.line(THIN, Point::new(place.left - 11.0, at), Point::new(end - 1.5, at));
        }
    }
    if chain_y {
        for pair in down.windows(2) {
            let [a, b] = pair else { continue };
            let (a_y, b_y) = (view.y(*a), view.y(*b));
            drawing.dimension(Point::new(first, b_y), Point::new(first, a_y), &shown(a, b));
        }
    }
    let whole = context.shown(view.whole.height());
    drawing.dimension(Point::new(second, place.bottom()), Point::new(second, place.top), &whole);
    drawing.end();
}
