//! Volts at every pixel at full white, and where a meter goes.

use glowloom_plan::meter::{At, Point as MeterPoint};
use glowloom_units::Volts;

use super::board::Board;
use super::fit::{best, placed};
use super::kinds::Kind;
use super::{Context, Sheet, View};
use crate::draw::table::{Table, field, word, words};
use crate::draw::text::{BOLD, PLAIN};
use crate::draw::{Drawing, Ink, MEDIUM, Step, THICK, THIN, corners};
use crate::svg::{Point, Rect};

/// Around the panel.
const MARGINS: [f64; 4] = [22.0, 20.0, 22.0, 38.0];
/// Shades of the map.
const SHADES: usize = 24;

/// The map and the list of points of a kind of panel; none where its network has no answer.
pub fn draw(context: &Context<'_>, number: usize, kind: &Kind<'_>) -> Vec<Sheet> {
    let volts = context.volts.as_ref().and_then(|all| all.get(number)).filter(|v| !v.is_empty());
    let mut sheets: Vec<Sheet> = volts.map(|volts| map(context, kind, volts)).into_iter().collect();
    sheets.extend(points(context, kind));
    sheets
}

/// The shade of a share of the ramp, 0 to 1: even to the eye, for colour-blind readers too, and from
/// dark to light so that it prints without colour.
fn shade(share: f64) -> Ink {
    let colorous::Color { r, g, b } = colorous::CIVIDIS.eval_continuous(share.clamp(0.0, 1.0));
    Ink::Colour(r, g, b)
}

/// Ends of the ramp: tenths of a volt around what there is.
fn ends(context: &Context<'_>, volts: &[Volts]) -> (f64, f64) {
    // Strips that no feed reaches have none, and would leave the others one shade.
    let live = volts.iter().map(|v| v.0).filter(|volts| *volts > 0.0);
    let low = live.reduce(f64::min).unwrap_or(0.0);
    let high = context.wall.power.trim_volts.0.max(volts.iter().map(|v| v.0).fold(0.0, f64::max));
    let low = (low * 10.0).floor() / 10.0;
    let high = (high * 10.0).ceil() / 10.0;
    if high - low < 0.1 { (low - 0.1, high) } else { (low, high) }
}

fn map(context: &Context<'_>, kind: &Kind<'_>, volts: &[Volts]) -> Sheet {
    let panel = kind.first;
    let size = glowloom_plan::built::Built::of(context.wall, panel).size();
    let (frame, ratio) = best(context.wall.paper, size, MARGINS, context.wall.figures);
    let key = format!("panel-{}-volts", kind.letter.to_lowercase());
    let mut sheet = Sheet::new(key, format!("Panel {} volts", kind.letter), View::Front, frame);
    sheet.panels = context.names(kind);
    sheet.group = Some("Volts".into());
    sheet.scale = Some(ratio.to_string());
    sheet.daylight = true;
    let body = frame.body();
    let place = placed(&body, (ratio.drawn(size.0), ratio.drawn(size.1)), MARGINS);
    let board = Board::new(context, panel, ratio, Point::new(place.left, place.top), false);
    sheet.data = board.data();
    let (low, high) = ends(context, volts);
    sheet.description = format!(
        "Volts at every pixel of {} at full white under the ceiling, from {low:.1} to {high:.1} V, \
         with the places to measure.",
        sheet.panels.join(", ")
    );
    let drawing = &mut sheet.drawing;
    drawing.begin("board");
    board.outline(drawing);
    drawing.end();
    cells(drawing, &board, volts, (low, high));
    drawing.rectangle(Some(THICK), None, &board.edges);
    let wanted = context.wall.power.least_volts;
    lacking(drawing, &board, volts, wanted);
    marks(drawing, context, &board, kind);
    board.sides(drawing, [17.0, 17.0, 17.0, 17.0]);
    legend(drawing, &body, (low, high), wanted);
    let lowest = super::panel_back::power(context, panel);
    let mut lines = vec![format!(
        "Full white under the ceiling of {:.0} %; the supply is set to {} V",
        context.wall.power.brightness_limit * 100.0,
        context.wall.power.trim_volts.0
    )];
    if let Some(power) = lowest {
        let [column, row] = power.least_volts_at;
        lines.push(format!(
            "Lowest: {:.2} V, at column {column}, row {row} ({}); wanted: {:.2} V",
            power.least_volts.0,
            PLAIN.fitted(&crate::draw::text::plain(&power.name), 25.0),
            wanted.0
        ));
    }
    lines.push("Letters: where the meter goes; what to expect is on the next sheet".to_owned());
    lines.push("Crossed pixels are below what is wanted".to_owned());
    super::panel_front::notes(drawing, &frame.band(), &lines);
    sheet
}

/// The cell of a pixel on paper.
fn cell(board: &Board<'_>, at: Point) -> Rect {
    let (w, h) =
        if board.upright() { (board.across, board.along) } else { (board.along, board.across) };
    Rect { left: at.x - w / 2.0, top: at.y - h / 2.0, width: w, height: h }
}

/// Pixels in the shade of their volts, those of one shade as one shape. On a large panel every n-th.
fn cells(drawing: &mut Drawing, board: &Board<'_>, volts: &[Volts], (low, high): (f64, f64)) {
    let mut shades: Vec<Vec<Step>> = vec![Vec::new(); SHADES];
    // Neighbours on a strip that share a shade are one rectangle.
    let mut open: Option<(usize, u32, Rect)> = None;
    let mut close = |open: Option<(usize, u32, Rect)>| {
        if let Some((shade, _, shape)) = open
            && let Some(steps) = shades.get_mut(shade)
        {
            steps.extend(corners(&shape));
        }
    };
    for (pixel, volts) in super::pixels(board.panel).zip(volts) {
        let share = (volts.0 - low) / (high - low);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let shade = ((share * SHADES as f64).floor().clamp(0.0, SHADES as f64 - 1.0)) as usize;
        let shape = cell(board, board.centre(pixel));
        open = match open {
            Some((same, strip, before)) if same == shade && strip == pixel.strip => {
                Some((shade, strip, around(&before, &shape)))
            }
            other => {
                close(other);
                Some((shade, pixel.strip, shape))
            }
        };
    }
    close(open);
    drawing.begin("volts");
    for (i, steps) in shades.into_iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "few shades")]
        let share = (i as f64 + 0.5) / SHADES as f64;
        drawing.path(steps, None, Some(self::shade(share)));
    }
    drawing.end();
}

fn around(a: &Rect, b: &Rect) -> Rect {
    let (left, top) = (a.left.min(b.left), a.top.min(b.top));
    Rect {
        left,
        top,
        width: a.right().max(b.right()) - left,
        height: a.bottom().max(b.bottom()) - top,
    }
}

/// Crosses over pixels that have less than is wanted.
fn lacking(drawing: &mut Drawing, board: &Board<'_>, volts: &[Volts], wanted: Volts) {
    if !board.shows_pixels() {
        return;
    }
    let mut steps = Vec::new();
    for (pixel, volts) in super::pixels(board.panel).zip(volts) {
        if *volts < wanted {
            let shape = cell(board, board.centre(pixel));
            let (a, c) =
                (Point::new(shape.left, shape.top), Point::new(shape.right(), shape.bottom()));
            let (b, d) = (Point::new(c.x, a.y), Point::new(a.x, c.y));
            steps.extend([Step::Start(a), Step::To(c), Step::Start(b), Step::To(d)]);
        }
    }
    drawing.path(steps, Some(crate::draw::Stroke { ink: Ink::Paper, ..THIN }), None);
}

/// The letter of a point.
fn letter(i: usize) -> String {
    char::from(b'A' + u8::try_from(i.min(25)).unwrap_or(0)).to_string()
}

fn meter_points<'c>(context: &'c Context<'_>, kind: &Kind<'_>) -> &'c [MeterPoint] {
    let first = &kind.first.name;
    let found = context
        .meter
        .as_ref()
        .and_then(|sheet| sheet.kinds.iter().find(|of| of.panels.iter().any(|name| name == first)));
    found.map_or(&[], |of| &of.points)
}

/// Where a point is on paper.
fn spot(board: &Board<'_>, point: &MeterPoint) -> Option<Point> {
    let runs = board.runs();
    let (_, run) = runs.iter().find(|(_, run)| run.first.strip == point.spot.strip)?;
    match (point.spot.edge, point.spot.pixel) {
        (Some(edge), _) => Some(board.pad(run, edge)),
        (None, Some(pixel)) => {
            let whole = f64::from(board.panel.strip_pixels().saturating_sub(1)).max(1.0);
            Some(board.centre(run.first).toward(board.centre(run.last), f64::from(pixel) / whole))
        }
        (None, None) => None,
    }
}

/// Letters outside the nearest edge, each with a line to its place.
fn marks(drawing: &mut Drawing, context: &Context<'_>, board: &Board<'_>, kind: &Kind<'_>) {
    let mut taken: Vec<Rect> = Vec::new();
    drawing.begin("measuring points");
    for (i, point) in meter_points(context, kind).iter().enumerate() {
        let Some(at) = spot(board, point) else { continue };
        let edges = &board.edges;
        let ways = [
            (at.y - edges.top, Point::new(0.0, -1.0)),
            (edges.bottom() - at.y, Point::new(0.0, 1.0)),
            (at.x - edges.left, Point::new(-1.0, 0.0)),
            (edges.right() - at.x, Point::new(1.0, 0.0)),
        ];
        let Some((off, way)) = ways.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)) else {
            continue;
        };
        // Beside each other where two would meet.
        let place = (0..40).find_map(|step| {
            let aside = f64::from((step + 1) / 2) * if step % 2 == 0 { 1.0 } else { -1.0 } * 4.6;
            let out = off + 6.0;
            let to = at.by(way.x * out + way.y.abs() * aside, way.y * out + way.x.abs() * aside);
            let shape = Rect { left: to.x - 2.2, top: to.y - 2.2, width: 4.4, height: 4.4 };
            let free = taken.iter().all(|other| {
                other.right() <= shape.left
                    || shape.right() <= other.left
                    || other.bottom() <= shape.top
                    || shape.bottom() <= other.top
            });
            free.then_some((to, shape))
        });
        let Some((to, shape)) = place else { continue };
        taken.push(shape);
        drawing.line(THIN, at, to);
        drawing.circle(Some(MEDIUM), Some(Ink::Paper), at, 0.9);
        drawing.circle(Some(MEDIUM), Some(Ink::Paper), to, 2.1);
        let hand = BOLD.middle();
        drawing.text(hand, to.by(0.0, hand.capital() / 2.0), letter(i));
    }
    drawing.end();
}

fn legend(drawing: &mut Drawing, body: &Rect, (low, high): (f64, f64), wanted: Volts) {
    let width = (body.width - 40.0).min(120.0);
    let left = body.middle().x - width / 2.0;
    let top = body.bottom() - 11.0;
    drawing.begin("legend");
    #[expect(clippy::cast_precision_loss, reason = "few shades")]
    let step = width / SHADES as f64;
    for i in 0..SHADES {
        #[expect(clippy::cast_precision_loss, reason = "few shades")]
        let (x, share) = (left + step * i as f64, (i as f64 + 0.5) / SHADES as f64);
        let shape = Rect { left: x, top, width: step + 0.02, height: 4.0 };
        drawing.rectangle(None, Some(shade(share)), &shape);
    }
    let whole = Rect { left, top, width, height: 4.0 };
    drawing.rectangle(Some(THIN), None, &whole);
    for k in 0..=4 {
        let x = left + width * f64::from(k) / 4.0;
        let volts = low + (high - low) * f64::from(k) / 4.0;
        drawing.line(THIN, Point::new(x, top + 4.0), Point::new(x, top + 5.2));
        drawing.text(PLAIN.middle(), Point::new(x, top + 8.0), format!("{volts:.2} V"));
    }
    if (low..=high).contains(&wanted.0) {
        let x = left + width * (wanted.0 - low) / (high - low);
        drawing.line(THICK, Point::new(x, top - 2.0), Point::new(x, top + 4.0));
        let text = format!("wanted at least {:.2} V", wanted.0);
        let half = PLAIN.width(&text) / 2.0;
        let at = x.clamp(body.left + half + 2.0, body.right() - half - 2.0);
        drawing.text(PLAIN.middle(), Point::new(at, top - 3.2), text);
    }
    drawing.end();
}

/// `4.91 (4.90 to 4.96)`
fn band<T: Copy>(at: &At<T>, value: impl Fn(T) -> f64) -> String {
    let (expected, least, most) = (value(at.expected), value(at.least), value(at.most));
    format!("{expected:.2} ({least:.2} to {most:.2})")
}

/// Panels that have boxes of their own to write readings into.
const MOST_READ: usize = 4;

/// Where a meter goes, what it should show, and boxes for what it did show.
fn points(context: &Context<'_>, kind: &Kind<'_>) -> Vec<Sheet> {
    let all = meter_points(context, kind);
    let ceiling = context.meter.as_ref().map_or(0.0, |sheet| sheet.ceiling);
    let mut columns = vec![
        word("point"),
        words("seen from the back", 1.1),
        words("seen from the front", 1.1),
        words("why there", 0.9),
        word("V expected"),
        word("A in the plus wire"),
    ];
    // Boxes for each panel; of many, for one, and the sheet is copied.
    let names = context.names(kind);
    let each = if names.len() <= MOST_READ { names.clone() } else { vec!["read".to_owned()] };
    for name in &each {
        let short = BOLD.fitted(&crate::draw::text::plain(name), 14.0);
        columns.push(field(&format!("V, A {short}")));
    }
    let mut table = Table::new(columns);
    let here = |brightness: f64| (brightness - ceiling).abs() < 1e-9;
    for (i, point) in all.iter().enumerate() {
        let volts = point.volts.iter().find(|at| here(at.brightness));
        let amps = point.amps.iter().find(|at| here(at.brightness));
        let mut row = vec![
            letter(i),
            format!("{}: {}", point.spot.words, point.spot.back),
            point.spot.front.clone(),
            point.why.to_owned(),
            volts.map(|at| band(at, |v: Volts| v.0)).unwrap_or_default(),
            amps.map(|at| band(at, |a: glowloom_units::Amps| a.0)).unwrap_or_else(|| "-".into()),
        ];
        row.extend(each.iter().map(|_| String::new()));
        table.row(row);
    }
    let mut note = vec![
        format!(
            "All pixels white at {:.1} % brightness. Meter between plus and minus",
            ceiling * 100.0
        ),
        "In brackets: where a sound panel may lie, strips of one name being so unlike".to_owned(),
        "A reading outside: check the feed and joints next to it before anything else".to_owned(),
        "A current: a clamp meter round the plus wire, or a meter in place of its fuse".to_owned(),
    ];
    if names.len() > MOST_READ {
        note.push("One copy of this sheet for each panel".to_owned());
    }
    if let Some(sheet) = &context.meter
        && let Some(first) = sheet.notes.first()
    {
        note.insert(0, first.clone());
    }
    let head = super::Head {
        key: format!("panel-{}-measuring", kind.letter.to_lowercase()),
        name: format!("Panel {} measuring points", kind.letter),
        group: Some("Volts".into()),
        panels: context.names(kind),
        upright: false,
        note,
        description: "Where a meter goes, what it should show, with boxes for readings.".into(),
    };
    super::listed(context, &head, &[("", table)])
}
