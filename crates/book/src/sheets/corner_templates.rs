//! Templates of full size for corners: where the fixing next to a panel's corner goes, and how the cloth is
//! folded and cut at a corner.

use glowloom_plan::built::Built;
use glowloom_plan::structure::points::fixings;
use glowloom_units::Metres;

use super::kinds::Kind;
use super::templates::{CHECKED, RULERS, rulers};
use super::{Context, Frame, Sheet, View};
use crate::draw::text::{BOLD, NAME, PLAIN};
use crate::draw::{DASHED, Drawing, Ink, MEDIUM, THICK, THIN};
use crate::svg::{Point, Rect};

/// From the drawing's frame to the corner, mm.
const MARGIN: Point = Point { x: 15.0, y: 16.0 };
/// What stays of the cloth beyond the panel's rear corner when its own corner is cut off, mm (common
/// practice, no source).
const ALLOWANCE: f64 = 10.0;

/// Corners with their fixing as far away, mm inwards from both edges.
struct Alike {
    inward: Point,
    corners: Vec<&'static str>,
}

/// The fixing nearest to each corner, as seen from the front; corners that one piece of paper serves
/// together. The first of each is drawn, the others turn the paper over or upside down.
fn alike(context: &Context<'_>, kind: &Kind<'_>) -> Vec<Alike> {
    let Some(hanging) = &context.wall.hanging else { return Vec::new() };
    let (width, height) = Built::of(context.wall, kind.first).size();
    let points = fixings(context.wall, kind.first, hanging);
    let mut all: Vec<Alike> = Vec::new();
    for (corner, right, lower) in [
        ("top-left", false, false),
        ("top-right", true, false),
        ("bottom-left", false, true),
        ("bottom-right", true, true),
    ] {
        let inward = |point: &glowloom_plan::structure::points::Point| {
            let across = if right { width - point.right } else { point.right };
            let down = if lower { height - point.down } else { point.down };
            Point::new(millimetres(across), millimetres(down))
        };
        let nearest =
            points.iter().map(inward).min_by(|a, b| (a.x.hypot(a.y)).total_cmp(&b.x.hypot(b.y)));
        let Some(inward) = nearest else { continue };
        let same = |one: &&mut Alike| {
            (one.inward.x - inward.x).abs() < 0.05 && (one.inward.y - inward.y).abs() < 0.05
        };
        match all.iter_mut().find(same) {
            Some(one) => one.corners.push(corner),
            None => all.push(Alike { inward, corners: vec![corner] }),
        }
    }
    all
}

fn millimetres(length: Metres) -> f64 {
    length.0 * 1000.0
}

/// The templates of a kind of panel's fixings; none where they are further from the corner than paper
/// reaches.
pub fn of_fixings(context: &Context<'_>, kind: &Kind<'_>) -> Vec<Sheet> {
    let frame = Frame::new(context.wall.paper, false);
    let body = frame.body();
    let room = (body.width - 2.0 * MARGIN.x, body.height - RULERS - MARGIN.y - 14.0);
    let sheets = alike(context, kind)
        .into_iter()
        .filter(|one| one.inward.x <= room.0 && one.inward.y <= room.1);
    let sheets = sheets.map(|one| {
        let key = format!("panel-{}-fixing-template", kind.letter.to_lowercase());
        let mut sheet = Sheet::new(key, format!("Panel {} fixings", kind.letter), View::Front, frame);
        sheet.panels = context.names(kind);
        sheet.group = Some(format!("Panel {}", kind.letter));
        sheet.scale = Some("1:1".into());
        sheet.description = format!(
            "A corner of the panel in full size with the place of the fixing next to it: {}.",
            one.corners.join(", ")
        );
        let drawing = &mut sheet.drawing;
        let corner = Point::new(body.left + MARGIN.x, body.top + MARGIN.y);
        drawing.begin("fixing");
        edges(drawing, corner, (body.right() - 8.0, body.bottom() - RULERS - 4.0));
        let at = corner.by(one.inward.x, one.inward.y);
        let about = vec![("fixing", format!("{} {}", one.inward.x, one.inward.y))];
        drawing.known(crate::draw::round(at, 3.0), Some(MEDIUM), None, about);
        drawing.line(THIN, at.by(-6.0, 0.0), at.by(6.0, 0.0));
        drawing.line(THIN, at.by(0.0, -6.0), at.by(0.0, 6.0));
        let place = format!(
            "{} from the side, {} from the edge above or below",
            context.shown(Metres(one.inward.x / 1000.0)),
            context.shown(Metres(one.inward.y / 1000.0))
        );
        words(drawing, &body, at, &format!("fixing: {}", one.corners.join(", ")), &place);
        drawing.end();
        rulers(drawing, &body);
        let mut lines = vec![
            CHECKED.to_owned(),
            "Lay the thick lines on the panel's edges; prick through the middle of the cross".to_owned(),
            format!(
                "Drawn for the {} corner seen from the FRONT; another one turns the paper over or round",
                one.corners.first().unwrap_or(&"top-left")
            ),
        ];
        lines.push("Other fixings: by tape, sheet of hanging points. None lies on a strip".into());
        super::panel_front::notes(drawing, &frame.band(), &lines);
        sheet
    });
    super::several(sheets.collect())
}

/// The two edges that meet at a corner, as long as the paper goes.
fn edges(drawing: &mut Drawing, corner: Point, (right, bottom): (f64, f64)) {
    drawing.line(THICK, corner, Point::new(right, corner.y));
    drawing.line(THICK, corner, Point::new(corner.x, bottom));
}

/// Words beside a place, on the side that has room.
fn words(drawing: &mut Drawing, body: &Rect, at: Point, first: &str, second: &str) {
    let wide = BOLD.width(first).max(PLAIN.width(second));
    let left = if at.x + 9.0 + wide < body.right() - 4.0 { at.x + 9.0 } else { at.x - 9.0 - wide };
    let left = left.max(body.left + MARGIN.x + 2.0);
    let room = body.right() - 4.0 - left;
    let below = at.by(left - at.x, 11.0);
    drawing.fitted(BOLD, below, room, first);
    drawing.fitted(PLAIN, below.by(0.0, 4.2), room, second);
}

/// The corner of the cloth; none where there is no cloth, or its corner is larger than paper.
pub fn of_cloth(context: &Context<'_>) -> Option<Sheet> {
    let wall = context.wall;
    let diffuser = wall.diffuser.as_ref()?;
    let (with, _) =
        glowloom_plan::material::cloth::piece(wall, Metres(0.0), Metres(0.0), diffuser.wrap);
    let (whole, wrap) = (millimetres(with) / 2.0, millimetres(diffuser.wrap));
    let side = whole - wrap;
    let frame = Frame::new(wall.paper, false);
    let body = frame.body();
    let size = whole + 40.0;
    if wrap <= 0.0 || size > body.height - RULERS - MARGIN.y || size > body.width - 90.0 {
        return None;
    }
    let mut sheet = Sheet::new("cloth-corner-template", "Cloth corner", View::None, frame);
    sheet.group = Some("Panels".into());
    sheet.scale = Some("1:1".into());
    sheet.description =
        "A corner of the cloth in full size: what is cut off, and both folds.".into();
    let drawing = &mut sheet.drawing;
    let corner = Point::new(body.left + MARGIN.x, body.top + MARGIN.y);
    let far = corner.by(size, size);
    drawing.begin("cloth corner");
    edges(drawing, corner, (far.x, far.y));
    // What is cut off passes the rear corner of the panel's side at the allowance.
    let cut = (2.0 * wrap + side - ALLOWANCE * std::f64::consts::SQRT_2).max(0.0);
    if cut > 0.0 {
        let ends = [corner.by(cut, 0.0), corner.by(0.0, cut)];
        let about = vec![("cloth-cut", cut.to_string())];
        drawing.known(crate::draw::open(&ends), Some(MEDIUM), None, about);
    }
    for (name, from) in [("rear", wrap), ("front", whole)] {
        if name == "rear" && side <= 0.0 {
            continue;
        }
        // Rear edges end where the panel's do; front edges meet in its corner.
        let end = whole;
        let lines = [
            [corner.by(size, from), corner.by(end, from)],
            [corner.by(from, size), corner.by(from, end)],
        ];
        let places = lines.iter().flat_map(|line| crate::draw::open(line)).collect();
        let about = vec![("fold", format!("{name} {from}"))];
        drawing.known(places, Some(THIN.dashed(DASHED)), None, about);
    }
    if side > 0.0 {
        for rear in [corner.by(whole, wrap), corner.by(wrap, whole)] {
            drawing.circle(Some(MEDIUM), Some(Ink::Paper), rear, 0.9);
        }
    }
    drawing.circle(None, Some(Ink::Black), corner.by(whole, whole), 0.9);
    // Words at the right, level with what they are about.
    let right = Point::new(far.x + 3.0, corner.y);
    let room = body.right() - 4.0 - right.x;
    let mut said = vec![(0.0, "thick: edge of the cloth".to_owned())];
    if side > 0.0 {
        said.push((
            wrap,
            format!(
                "fold at the panel's rear edge, {} in; ring: its corner",
                context.shown(diffuser.wrap)
            ),
        ));
    }
    said.push((
        whole,
        format!(
            "fold at the panel's front edge, {} in; dot: its corner",
            context.shown(with / 2.0)
        ),
    ));
    let mut least = f64::NEG_INFINITY;
    for (down, text) in said {
        // Folds that are close still have a line of words each.
        let y = (right.y + down + PLAIN.capital() / 2.0).max(least + PLAIN.size.line());
        drawing.fitted(PLAIN, Point::new(right.x, y), room, text);
        least = y;
    }
    if cut > 0.0 {
        let y = (corner.y + size - 4.0).max(least + 6.0);
        let text = format!(
            "slanting line: cut this corner off, {} along each edge",
            context.shown(Metres(cut / 1000.0))
        );
        drawing.fitted(NAME, Point::new(right.x, y), room, text);
    }
    drawing.end();
    rulers(drawing, &body);
    let lines = [
        CHECKED.to_owned(),
        "Back of the cloth up. Lay the thick lines on two edges of the cloth; the same at all four corners".to_owned(),
        format!(
            "Cut only when the cloth fits the panel dry; {ALLOWANCE} mm stay beyond the rear corner (common practice, \
             no source)"
        ),
    ];
    super::panel_front::notes(drawing, &frame.band(), &lines);
    Some(sheet)
}
