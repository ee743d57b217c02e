//! The whole wall at a glance: how large, how much, how sound, in what order.

use glowloom_plan::Kind;
use glowloom_plan::built::Built;
use glowloom_plan::geometry::outline;
use glowloom_plan::steps::counted;
use glowloom_plan::uncovered::gaps;
use glowloom_units::Metres;

use super::fit::Ratio;
use super::{Context, Frame, Sheet, View};
use crate::draw::text::{BOLD, NAME, PLAIN};
use crate::draw::{DASHED, Drawing, Ink, MEDIUM, THIN};
use crate::svg::{Point, Rect};

/// A person is drawn that tall (own choice).
const PERSON: Metres = Metres(1.75);
/// The wall's middle is drawn there, or higher where it would reach into the floor (own choice).
const EYES: Metres = Metres(1.5);

/// The word of a finding's kind, as strong as it is serious.
pub fn mark(kind: Kind) -> &'static str {
    match kind {
        Kind::Hazard => "HAZARD",
        Kind::Fault => "FAULT",
        Kind::Advice => "advice",
    }
}

/// The first sheet; `others` are named by their numbers.
pub fn draw(context: &Context<'_>, others: &[Sheet]) -> Sheet {
    let frame = Frame::new(context.wall.paper, false);
    let mut sheet = Sheet::new("at-a-glance", "At a glance", View::Front, frame);
    sheet.description =
        "The wall drawn beside a person, its key figures, what the plan has to say by \
        severity, its cost, what to have at hand and the order of work."
            .into();
    let body = frame.body();
    let drawing = &mut sheet.drawing;
    let left = Rect { width: body.width * 0.56, height: body.height * 0.52, ..body };
    let ratio = picture(drawing, context, &left);
    sheet.scale = Some(ratio.to_string());
    let drawing = &mut sheet.drawing;
    let x = left.right() + 3.0;
    let right = Rect { left: x, width: body.right() - x - 4.0, ..body };
    drawing.line(THIN, Point::new(x - 2.0, body.top), Point::new(x - 2.0, body.bottom()));
    let end = key_figures(drawing, context, &right);
    said(drawing, context, &Rect { top: end, height: body.bottom() - end, ..right }, others);
    let y = left.bottom() + 2.0;
    drawing.line(THIN, Point::new(body.left, y), Point::new(x - 2.0, y));
    let below = Rect { top: y, height: body.bottom() - y, ..left };
    super::order::draw(drawing, context, &below, others);
    let mut lines = vec![
        match context.wall.hanging.as_ref().and_then(|hanging| hanging.above_floor) {
            Some(floor) => format!(
                "Person {} tall. The wall's lower edge is {} above the floor",
                PERSON.shown(context.wall.figures),
                floor.shown(context.wall.figures)
            ),
            None => format!(
                "Person {} tall. How high the wall hangs is not in the wall file ([hanging] above_floor)",
                PERSON.shown(context.wall.figures)
            ),
        },
        "WALL FILE in the title block is the file's fingerprint: a print with another is of another \
         file"
            .to_owned(),
    ];
    if context.plan.findings.iter().any(|finding| finding.kind != Kind::Advice) {
        lines.insert(0, "Build nothing while a hazard or a fault stands".to_owned());
    }
    super::panel_front::notes(drawing, &frame.band(), &lines);
    sheet
}

fn picture(drawing: &mut Drawing, context: &Context<'_>, room: &Rect) -> Ratio {
    let whole = outline(context.wall, &gaps(context.wall));
    let (width, height) = (whole.width(), whole.height());
    let said = context.wall.hanging.as_ref().and_then(|hanging| hanging.above_floor);
    let lowest = said.unwrap_or((EYES - height / 2.0).max(Metres(0.0)));
    let tall = (lowest + height).max(PERSON);
    let gap = Metres(0.25);
    let wide = width + gap + Metres(0.6);
    let space = (room.width - 12.0, room.height - 12.0);
    let ratio = Ratio::fitting((wide, tall), space, context.wall.figures);
    let floor = room.top + 6.0 + (space.1 + ratio.drawn(tall)) / 2.0;
    let start = room.left + 6.0 + (space.0 - ratio.drawn(wide)) / 2.0;
    let top = floor - ratio.drawn(lowest + height);
    drawing.begin("the wall with a person for scale");
    let (from, to) = (Point::new(room.left + 4.0, floor), Point::new(room.right() - 4.0, floor));
    drawing.line(MEDIUM, from, to);
    for panel in &context.wall.panels {
        let outline = Built::of(context.wall, panel).outline();
        let shape = Rect {
            left: start + ratio.drawn(outline.left - whole.left),
            top: top + ratio.drawn(outline.top - whole.top),
            width: ratio.drawn(outline.width()),
            height: ratio.drawn(outline.height()),
        };
        let about = vec![("panel", panel.name.clone())];
        drawing.known(crate::draw::corners(&shape), Some(MEDIUM), Some(Ink::Paper), about);
        let hand = BOLD.middle();
        if shape.height > 4.0 {
            let name = hand.fitted(&crate::draw::text::plain(&panel.name), shape.width - 1.5);
            drawing.text(hand, shape.middle().by(0.0, hand.capital() / 2.0), name);
        }
    }
    let edge = Rect { left: start, top, width: ratio.drawn(width), height: ratio.drawn(height) };
    drawing.rectangle(Some(THIN.dashed(DASHED)), None, &edge);
    let feet = Point::new(start + ratio.drawn(width + gap + Metres(0.3)), floor);
    drawing.person(feet, ratio.drawn(PERSON));
    let size =
        format!("{} x {}", width.shown(context.wall.figures), height.shown(context.wall.figures));
    drawing.fitted(
        PLAIN.middle(),
        Point::new(edge.middle().x.max(room.left + 30.0), top - 2.0),
        space.0,
        size,
    );
    drawing.end();
    ratio
}

/// A row of the key figures.
fn row(drawing: &mut Drawing, at: Point, width: f64, name: &str, value: &str) -> Point {
    let value = BOLD.fitted(&crate::draw::text::plain(value), width * 0.68);
    drawing.text(BOLD.end(), at.by(width, 0.0), &value);
    drawing.fitted(PLAIN, at, width - BOLD.width(&value) - 2.0, name);
    at.by(0.0, 4.1)
}

fn key_figures(drawing: &mut Drawing, context: &Context<'_>, room: &Rect) -> f64 {
    let (plan, wall) = (context.plan, context.wall);
    let geometry = &plan.geometry;
    let panels = match (wall.panels.len(), context.kinds.len()) {
        (1, _) => "1".to_owned(),
        (all, 1) => format!("{all}, all alike"),
        (all, kinds) => format!("{all} of {kinds} kinds"),
    };
    let mut rows: Vec<(&str, String)> = vec![
        (
            "picture",
            format!(
                "{} x {} pixels, {} apart",
                geometry.columns,
                geometry.rows,
                geometry.pitch_m.shown(context.wall.figures)
            ),
        ),
        (
            "size",
            format!(
                "{} x {}",
                geometry.width_m.shown(context.wall.figures),
                geometry.height_m.shown(context.wall.figures)
            ),
        ),
        ("panels", panels),
        (
            "frames",
            format!(
                "{:.0} a second at most, {:.0} wanted",
                plan.data.fps.0, wall.receiver.frames_per_second.0
            ),
        ),
        (
            "mains, white at the ceiling",
            format!("{}, {}", plan.power.mains.watts, plan.power.mains.amps),
        ),
        (
            "ceiling, highest safe",
            format!(
                "{:.0} %, {:.0} %",
                wall.power.brightness_limit * 100.0,
                (plan.power.highest_safe_brightness * 100.0).floor()
            ),
        ),
    ];
    let least = plan.power.panels.iter().map(|panel| panel.least_volts.0);
    if let Some(least) = least.reduce(f64::min) {
        rows.push((
            "lowest volts, wanted",
            format!("{least:.2} V, {:.2} V", wall.power.least_volts.0),
        ));
    }
    if let Some(tiles) = &plan.tiles {
        rows.push((
            "printing",
            format!(
                "{}, {:.0} h, {}",
                counted(tiles.count, "tile"),
                tiles.hours.0,
                counted(tiles.days, "day")
            ),
        ));
        rows.push((
            "filament",
            format!(
                "{}, {}",
                tiles.filament_kg.shown(wall.figures),
                counted(tiles.spools, "spool")
            ),
        ));
    }
    if let Some(structure) = &plan.structure {
        rows.push((
            "heaviest panel",
            format!(
                "{}, fixings hold {:.1} times that",
                structure.panel_kg.shown(wall.figures),
                structure.safety_factor
            ),
        ));
    }
    if let Some(cost) = &plan.cost {
        let unpriced = cost.unpriced.len();
        let more =
            if unpriced > 0 { format!(" and {unpriced} things unpriced") } else { String::new() };
        rows.push(("to buy", format!("{:.2} {}{more}", cost.total, cost.currency)));
    }
    let mut at = Point::new(room.left, room.top + 6.0);
    drawing.begin("key figures");
    drawing.text(NAME, at, "Key figures");
    at = at.by(0.0, 5.0);
    for (name, value) in rows {
        at = row(drawing, at, room.width, name, &value);
    }
    drawing.end();
    drawing.line(THIN, at.by(0.0, -2.2), at.by(room.width, -2.2));
    at.y - 1.0
}

/// Findings by severity, as many as have room, the serious ones first.
fn said(drawing: &mut Drawing, context: &Context<'_>, room: &Rect, others: &[Sheet]) {
    let findings = &context.plan.findings;
    let mut at = Point::new(room.left, room.top + 5.0);
    drawing.begin("what the plan has to say");
    drawing.text(NAME, at, "What the plan has to say");
    at = at.by(0.0, 5.5);
    let count = |kind: Kind| findings.iter().filter(|finding| finding.kind == kind).count();
    for (kind, word) in [(Kind::Hazard, "hazard"), (Kind::Fault, "fault"), (Kind::Advice, "advice")]
    {
        let number = count(kind);
        let text = match (kind, number) {
            (Kind::Advice, 1) => "1 piece of advice".to_owned(),
            (Kind::Advice, n) => format!("{n} pieces of advice"),
            (_, 0) => format!("no {word}"),
            (_, 1) => format!("1 {word}"),
            (_, n) => format!("{n} {word}s"),
        };
        drawing.severity(kind, at.by(1.6, -0.9));
        drawing.text(BOLD, at.by(5.0, 0.0), text);
        at = at.by(0.0, 4.2);
    }
    at = at.by(0.0, 1.0);
    let sheet = others.iter().find(|sheet| sheet.key.starts_with("findings"));
    let (width, step) = (room.width - 5.0, PLAIN.size.line());
    let mut left = findings.len();
    for finding in findings {
        let hand = if finding.kind == Kind::Advice { PLAIN } else { BOLD };
        let text = format!("{}: {}", mark(finding.kind), finding.title);
        let lines = hand.lines(&crate::draw::text::plain(&text), width);
        #[expect(clippy::cast_precision_loss, reason = "lines of a note")]
        let end = at.y + step * (lines.len() as f64 - 1.0);
        if end > room.bottom() - 2.0 - step * f64::from(u8::from(left > 1)) {
            break;
        }
        drawing.severity(finding.kind, at.by(1.6, -0.9));
        for line in lines {
            drawing.text(hand, at.by(5.0, 0.0), line);
            at = at.by(0.0, step);
        }
        at = at.by(0.0, 0.8);
        left -= 1;
    }
    if let Some(sheet) = sheet {
        let more = if left > 0 { format!("and {left} more: ") } else { String::new() };
        let text = format!("{more}all with what to do on sheet {}", sheet.number);
        if at.y < room.bottom() - 1.0 {
            drawing.fitted(PLAIN, at.by(5.0, 0.0), width, text);
            at = at.by(0.0, 4.0);
        }
    }
    drawing.end();
    at_hand(drawing, context, &Rect { top: at.y, height: room.bottom() - at.y, ..*room });
}

/// What to have at hand, where it has room.
fn at_hand(drawing: &mut Drawing, context: &Context<'_>, room: &Rect) {
    let wall = context.wall;
    let mut tools = vec![
        "meter for volts and ohms",
        "soldering iron and solder",
        "wire stripper, crimping tool for lugs",
        "tape measure, pencil, sharp knife and steel rule",
        "labels and a pen",
        "hot glue or what holds the strips",
    ];
    if wall.baffle.is_some() {
        tools.push("3D printer");
    }
    if wall.hanging.is_some() {
        tools.push("spirit level, a safe ladder, a second person for a large panel");
    }
    let text = format!("{}.", tools.join("; "));
    let lines = PLAIN.lines(&text, room.width);
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    let height = 11.0 + PLAIN.size.line() * lines.len() as f64;
    if height > room.height {
        return;
    }
    drawing.begin("what to have at hand");
    let at = Point::new(room.left, room.top + 6.0);
    drawing.line(THIN, at.by(0.0, -5.0), at.by(room.width, -5.0));
    drawing.text(NAME, at, "Have at hand");
    drawing.paragraph(PLAIN, at.by(0.0, 5.0), room.width, text);
    drawing.end();
}
