//! Joints close up: which pad goes to which at the near and the far edge, and where plus stays open.

use glowloom_design::catalogue::strip::Signal;
use glowloom_design::wall::{Jumpers, Panel, Path};
use glowloom_plan::material::conductors::Conductor;
use glowloom_plan::path::{PanelPath, Run, Shares};
use glowloom_plan::steps::counted;

use super::board::Board;
use super::fit::Ratio;
use super::kinds::Kind;
use super::panel_front::notes;
use super::{Context, Frame, Sheet, View};
use crate::draw::conductor::conductor;
use crate::draw::table::{Table, figures, ticks, word, words};
use crate::draw::text::{BOLD, NAME, PLAIN};
use crate::draw::{Drawing, Ink, MEDIUM, THIN};
use crate::svg::{Point, Rect};

/// A joint between two strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Joint {
    /// Strip where the data comes from.
    pub from: u32,
    /// Strip where it goes.
    pub to: u32,
    /// Whether it leaves at the far edge.
    pub leaves_far: bool,
    /// Whether it arrives at the far edge.
    pub arrives_far: bool,
    /// Whether plus stays open: the strips are of two supplies.
    pub plus_open: bool,
}

/// Every joint of a panel, in the order of the path.
pub fn joints(panel: &Panel, supplies: u32) -> Vec<Joint> {
    let zones = Shares::new(panel.strip_count(), supplies);
    let zone = |strip: u32| zones.taker_of(strip.saturating_sub(1));
    let mut found = Vec::new();
    for line in PanelPath::of(panel).lines() {
        let runs: Vec<Run> = line.runs().collect();
        for pair in runs.windows(2) {
            let [a, b] = pair else { continue };
            let (from, to) = (a.first.strip, b.first.strip);
            found.push(Joint {
                from,
                to,
                leaves_far: a.starts_near,
                arrives_far: !b.starts_near,
                plus_open: zone(from) != zone(to),
            });
        }
    }
    found
}

/// The close-ups of a kind of panel, where it has joints, and the list of its feeds and joints.
pub fn draw(context: &Context<'_>, kind: &Kind<'_>) -> Vec<Sheet> {
    let all = joints(kind.first, context.wall.power.supplies_per_panel);
    let mut sheets = Vec::new();
    if !all.is_empty() {
        sheets.push(close_up(context, kind, &all));
    }
    sheets.extend(list(context, kind, &all));
    sheets
}

/// The conductors of a joint, as the pads of a strip have them side by side.
fn pads(context: &Context<'_>) -> Vec<Conductor> {
    match context.wall.strip.signal {
        Signal::OneWire => vec![Conductor::Plus, Conductor::Data, Conductor::Minus],
        _ => vec![Conductor::Plus, Conductor::Data, Conductor::Clock, Conductor::Minus],
    }
}

fn close_up(context: &Context<'_>, kind: &Kind<'_>, all: &[Joint]) -> Sheet {
    let frame = Frame::new(context.wall.paper, false);
    let name = format!("Panel {} joints", kind.letter);
    let key = format!("panel-{}-joints", kind.letter.to_lowercase());
    let mut sheet = Sheet::new(key, name, View::Front, frame);
    sheet.panels = context.names(kind);
    sheet.group = Some(format!("Panel {}", kind.letter));
    sheet.daylight = true;
    sheet.description =
        "Joints between two strips, drawn large: which pad is joined to which, which \
        way the data runs, and where plus stays open."
            .into();
    let body = frame.body();
    let board = Board::new(context, kind.first, Ratio::NATURAL, Point::new(0.0, 0.0), false);
    let drawing = &mut sheet.drawing;
    // One close-up of each sort that the panel has.
    let sorts: Vec<&Joint> = [(true, true), (false, false), (true, false)]
        .into_iter()
        .filter_map(|ways| {
            all.iter().find(|j| (j.leaves_far, j.arrives_far) == ways && !j.plus_open)
        })
        .chain(all.iter().find(|joint| joint.plus_open))
        .take(3)
        .collect();
    #[expect(clippy::cast_precision_loss, reason = "three at most")]
    let width = (body.width - 4.0) / sorts.len().max(1) as f64;
    for (i, joint) in sorts.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "three at most")]
        let left = body.left + 2.0 + width * i as f64;
        let room = Rect { left, top: body.top, width, height: body.height };
        if i > 0 {
            let (top, bottom) = (Point::new(left, body.top), Point::new(left, body.bottom()));
            drawing.line(THIN, top, bottom);
        }
        one(drawing, context, joint, &room, &board);
    }
    let data_only = kind.first.jumpers == Jumpers::Data;
    let mut lines = vec![
        "The order of pads differs from strip to strip: go by what is printed on yours".to_owned(),
        "A strip's own lead colours are not these, and are not mains colours".to_owned(),
        "Not to scale: wires lie back inside the board's edge, in the tile's room for joints"
            .to_owned(),
        "Copper shows on the pads: nothing bare may touch. Check each joint with a meter"
            .to_owned(),
    ];
    let far = board.far_side();
    if far != "TOP" {
        lines.insert(
            0,
            format!("As the panel hangs the far edge is at its {far}: turn this sheet so"),
        );
    }
    if data_only {
        lines.insert(0, "The joints carry data alone: each strip has its own feed".to_owned());
    }
    if all.iter().any(|joint| joint.plus_open) {
        lines.insert(
            0,
            "Never join the plus of two supplies: it stays open between zones".to_owned(),
        );
    }
    notes(drawing, &frame.band(), &lines);
    sheet
}

/// How a joint runs, in words.
fn ways(joint: &Joint, board: &Board<'_>) -> String {
    match (joint.leaves_far, joint.arrives_far) {
        (true, true) => format!("FAR edge: {} as hung", board.far_side()),
        (false, false) => format!("NEAR edge: {} as hung", board.near_side()),
        _ => format!("From the FAR edge, {} as hung, to the NEAR edge", board.far_side()),
    }
}

/// What is printed on a pad.
fn pad_name(conductor: Conductor, out: bool) -> &'static str {
    match (conductor, out) {
        (Conductor::Plus, _) => "+",
        (Conductor::Minus, _) => "-",
        (Conductor::Data, true) => "DO",
        (Conductor::Data, false) => "DI",
        (Conductor::Clock, true) => "CO",
        _ => "CI",
    }
}

fn one(
    drawing: &mut Drawing,
    context: &Context<'_>,
    joint: &Joint,
    room: &Rect,
    board: &Board<'_>,
) {
    let middle = room.middle();
    let top = room.top + 9.0;
    drawing.begin(format!("joint {}-{}", joint.from, joint.to));
    drawing.fitted(NAME.middle(), Point::new(middle.x, top), room.width - 4.0, ways(joint, board));
    let strips = format!("as between strips {} and {}", joint.from, joint.to);
    drawing.text(PLAIN.middle(), Point::new(middle.x, top + 5.0), strips);
    let pads = pads(context);
    let strip = (room.width * 0.24).min(26.0);
    let gap = (room.width * 0.5).min(52.0);
    let back = joint.leaves_far != joint.arrives_far;
    // Ends of strips at the upper edge of the drawing for the far edge, at the lower for the near one.
    let (upper, lower) = (room.top + 58.0, room.bottom() - 42.0);
    let end = |far: bool| if far { upper } else { lower };
    let half = gap / 2.0;
    // The next strip is at the right, or at the left where that is its side with the far edge above.
    let swapped = !board.turns_upright();
    let toward = if swapped { -half } else { half };
    let lefts = [middle.x - toward - strip / 2.0, middle.x + toward - strip / 2.0];
    let mut places: Vec<Vec<Point>> = Vec::new();
    for (i, left) in lefts.iter().enumerate() {
        let out = i == 0;
        let far = if out { joint.leaves_far } else { joint.arrives_far };
        let y = end(far);
        // The strip goes on to the other side.
        let long = (lower - upper).min(60.0);
        let shape = if far {
            Rect { left: *left, top: y, width: strip, height: long }
        } else {
            Rect { left: *left, top: y - long, width: strip, height: long }
        };
        drawing.rectangle(Some(MEDIUM), Some(Ink::Paper), &shape);
        let inward = if far { 1.0 } else { -1.0 };
        let number = if out { joint.from } else { joint.to };
        let at = Point::new(shape.middle().x, y + inward * long * 0.5);
        drawing.text(NAME.middle(), at.by(0.0, -1.0), format!("strip {number}"));
        // Data leaves the strip towards this end, or enters from it.
        let toward = if out { -inward } else { inward };
        let (from, to) = (at.by(0.0, 7.0 - toward * 4.0), at.by(0.0, 7.0 + toward * 4.0));
        drawing.line(THIN, from, to);
        drawing.arrow(to, from, to);
        #[expect(clippy::cast_precision_loss, reason = "four pads at most")]
        let step = strip / pads.len() as f64;
        let mut pad_places = Vec::new();
        // Data runs away from this end on one strip and toward it on the other, so a strip that is
        // turned about has its pads the other way round.
        let turned = if back { false } else { !out };
        for (k, pad) in pads.iter().enumerate() {
            let k = if turned { pads.len() - 1 - k } else { k };
            #[expect(clippy::cast_precision_loss, reason = "four pads at most")]
            let x = left + step * (k as f64 + 0.5);
            let square = Rect {
                left: x - step * 0.36,
                top: if far { y } else { y - 6.0 },
                width: step * 0.72,
                height: 6.0,
            };
            drawing.rectangle(Some(THIN), Some(Ink::Paper), &square);
            let letters = square.middle().by(0.0, BOLD.capital() / 2.0);
            drawing.text(BOLD.middle(), letters, pad_name(*pad, out));
            pad_places.push(Point::new(x, y));
        }
        places.push(pad_places);
    }
    wires(drawing, context, joint, board.panel, &pads, &places, (upper, lower), back);
    // The edge of the board.
    for far in [true, false] {
        if back || far == joint.leaves_far {
            let word = if far { "far edge" } else { "near edge" };
            let y = end(far);
            let (from, to) =
                (Point::new(room.left + 3.0, y), Point::new(lefts[0].min(lefts[1]) - 2.0, y));
            drawing.line(MEDIUM, from, to);
            let off = if far { 3.6 } else { -1.4 };
            drawing.fitted(PLAIN, from.by(0.0, off), to.x - from.x, word);
        }
    }
    drawing.end();
}

#[expect(clippy::too_many_arguments, reason = "places of one small drawing")]
fn wires(
    drawing: &mut Drawing,
    context: &Context<'_>,
    joint: &Joint,
    panel: &Panel,
    pads: &[Conductor],
    places: &[Vec<Point>],
    (upper, lower): (f64, f64),
    back: bool,
) {
    let convention = context.wall.power.mains.colours;
    let (Some(from), Some(to)) = (places.first(), places.get(1)) else { return };
    // Wires of the outer pads go round those of the inner ones.
    let swapped = from.first().zip(to.first()).is_some_and(|(a, b)| a.x > b.x);
    let inward = if swapped { -1.0 } else { 1.0 };
    let middle =
        (from.iter().chain(to).map(|p| p.x).sum::<f64>()) / (from.len() + to.len()).max(1) as f64;
    for (k, pad) in pads.iter().enumerate() {
        let (Some(a), Some(b)) = (from.get(k), to.get(k)) else { continue };
        let power = matches!(pad, Conductor::Plus | Conductor::Minus);
        if power && panel.jumpers == Jumpers::Data {
            continue;
        }
        #[expect(clippy::cast_precision_loss, reason = "four pads at most")]
        let reach = 9.0 + 8.0 * (if swapped { k } else { pads.len() - 1 - k }) as f64;
        let label = pad.label(convention);
        let colour = pad.colour(convention).name;
        let text = format!("{label}, {colour}");
        let way = if back {
            // Up, over between the strips, down to the near edge.
            #[expect(clippy::cast_precision_loss, reason = "four pads at most")]
            let x = middle + (k as f64 - (pads.len() as f64 - 1.0) / 2.0) * 4.0;
            vec![
                *a,
                Point::new(a.x, upper - reach),
                Point::new(x, upper - reach),
                Point::new(x, lower + reach),
                Point::new(b.x, lower + reach),
                *b,
            ]
        } else {
            let out = if joint.leaves_far { -reach } else { reach };
            vec![*a, a.by(0.0, out), Point::new(b.x, b.y + out), *b]
        };
        if *pad == Conductor::Plus && joint.plus_open {
            for (end, toward, far) in
                [(a, inward, joint.leaves_far), (b, -inward, joint.arrives_far)]
            {
                let y = if far { end.y - reach } else { end.y + reach };
                let stop = Point::new(end.x + toward * 4.0, y);
                conductor(drawing, *pad, convention, &[*end, Point::new(end.x, y), stop]);
                drawing.line(MEDIUM, stop.by(0.0, -1.6), stop.by(0.0, 1.6));
            }
            // Above the ways of the other wires, where these come down in the middle.
            #[expect(clippy::cast_precision_loss, reason = "four pads at most")]
            let above = 13.0 + 8.0 * (pads.len() as f64 - 1.0);
            let reach = if back && swapped { above } else { reach };
            let y = if joint.leaves_far { a.y - reach } else { a.y + reach };
            let at = Point::new(middle, y + BOLD.capital() / 2.0);
            drawing.text(BOLD.middle().plate(), at, "plus stays OPEN");
            continue;
        }
        conductor(drawing, *pad, convention, &way);
        let y = if back || joint.leaves_far { upper - reach } else { lower + reach };
        let at = Point::new(middle, y + PLAIN.capital() / 2.0);
        let at = if back { Point::new((a.x + middle) / 2.0 - inward * 2.0, y - 1.6) } else { at };
        let hand = if back { PLAIN.middle() } else { PLAIN.middle().plate() };
        drawing.text(hand, at, text);
    }
}

fn list(context: &Context<'_>, kind: &Kind<'_>, all: &[Joint]) -> Vec<Sheet> {
    let panel = kind.first;
    let mut table = Table::new(vec![
        word("joint"),
        figures("line"),
        word("leaves at"),
        word("arrives at"),
        words("wires", 1.0),
        ticks("soldered"),
        ticks("tested"),
    ]);
    let lines = Shares::new(panel.strip_count(), panel.data_lines);
    let signals = match context.wall.strip.signal {
        Signal::OneWire => "data",
        _ => "data, clock",
    };
    let edge = |far: bool| if far { "far edge" } else { "near edge" };
    for joint in all {
        let wires = match (panel.jumpers, joint.plus_open) {
            (Jumpers::Data, _) => signals.to_owned(),
            (_, true) => format!("minus, {signals}; PLUS STAYS OPEN"),
            (_, false) => format!("plus, minus, {signals}"),
        };
        table.row([
            format!("{}-{}", joint.from, joint.to),
            (lines.taker_of(joint.from - 1) + 1).to_string(),
            edge(joint.leaves_far).to_owned(),
            edge(joint.arrives_far).to_owned(),
            wires,
            String::new(),
            String::new(),
        ]);
    }
    let mut note = vec![
        format!(
            "At full white under the ceiling of {:.0} %. A fuse for each feed, at the supply",
            context.wall.power.brightness_limit * 100.0
        ),
        super::direct::CAUTION.to_owned(),
        format!(
            "{}{}; between data lines there is none",
            counted(all.len() as u64, "joint"),
            match kind.panels.len() {
                1 => String::new(),
                panels => format!(" on each of {panels} panels"),
            }
        ),
    ];
    if panel.path == Path::Serpentine {
        note.push("Serpentine: joints are at the far and the near edge by turns".to_owned());
    }
    let head = super::Head {
        key: format!("panel-{}-feeds-and-joints", kind.letter.to_lowercase()),
        name: format!("Panel {} feeds and joints", kind.letter),
        group: Some(format!("Panel {}", kind.letter)),
        panels: context.names(kind),
        upright: true,
        note,
        description:
            "Every feed with its figures and every joint in the order of the path, with boxes to \
            tick."
                .into(),
    };
    let tables = [("Feeds", super::panel_back::schedule(context, kind)), ("Joints", table)];
    super::listed(context, &head, &tables)
}
