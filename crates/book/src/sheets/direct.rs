//! DC wiring of a panel: supply to fuses to feeds to strips, receiver and data. Nothing of the mains is
//! on this sheet.

use glowloom_design::catalogue::strip::Signal;
use glowloom_design::wall::DataLevel;
use glowloom_plan::material::conductors::Conductor;
use glowloom_plan::material::wire::Use;
use glowloom_plan::power::figures::edge_key;

use super::kinds::Kind;
use super::{Context, Frame, Sheet, View};
use crate::draw::conductor::conductor;
use crate::draw::text::{BOLD, PLAIN};
use crate::draw::{Drawing, THIN};
use crate::svg::{Point, Rect};

/// What DC asks of whoever wires it.
pub const CAUTION: &str = "The voltage is safe to touch, but a strong supply can weld, burn and start \
    fires: wire with the mains unplugged, fuse every feed, check resistance and polarity before power.";

/// Feeds on one sheet.
const MOST: usize = 10;
/// From one feed to the next, mm.
const STEP: f64 = 10.5;

/// The DC sheets of a kind of panel: one for each supply and every ten of its feeds.
pub fn draw(context: &Context<'_>, kind: &Kind<'_>) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    for supply in 1..=context.wall.power.supplies_per_panel {
        let feeds: Vec<usize> = (0..kind.first.feeds.len())
            .filter(|i| kind.first.feeds.get(*i).is_some_and(|feed| feed.supply == supply))
            .collect();
        for (part, feeds) in feeds.chunks(MOST).enumerate() {
            sheets.push(one(context, kind, supply, feeds, part == 0));
        }
    }
    super::several(sheets)
}

fn one(context: &Context<'_>, kind: &Kind<'_>, supply: u32, feeds: &[usize], first: bool) -> Sheet {
    let frame = Frame::new(context.wall.paper, true);
    let name = format!("Panel {} DC wiring", kind.letter);
    let key = format!("panel-{}-dc", kind.letter.to_lowercase());
    let mut sheet = Sheet::new(key, name, View::None, frame);
    sheet.panels = context.names(kind);
    sheet.group = Some("Wiring".into());
    sheet.daylight = true;
    sheet.description =
        "From a supply's terminals through a fuse for each feed to the pads of strips, \
        with the receiver, its supply and the data with level and series resistor."
            .into();
    let body = frame.body();
    let drawing = &mut sheet.drawing;
    let top = body.top + 8.0;
    let many = context.wall.power.supplies_per_panel > 1;
    let title = if many { format!("supply {supply}") } else { "supply".to_owned() };
    #[expect(clippy::cast_precision_loss, reason = "ten at most")]
    let height = STEP * feeds.len() as f64 + 8.0;
    let unit = Rect { left: body.left + 6.0, top: top + 4.0, width: 30.0, height };
    power(drawing, context, kind, &unit, &title, feeds);
    if first && supply == 1 {
        let room = Rect {
            left: body.left,
            top: unit.bottom() + 14.0,
            width: body.width,
            height: body.bottom() - unit.bottom() - 14.0,
        };
        data(drawing, context, kind, &room);
    }
    let mut lines = Vec::new();
    if many {
        lines.push(
            "Never join the plus of two supplies; minus is common within the panel".to_owned(),
        );
    }
    lines.push(CAUTION.to_owned());
    super::panel_front::notes(drawing, &frame.band(), &lines);
    sheet
}

fn power(
    drawing: &mut Drawing,
    context: &Context<'_>,
    kind: &Kind<'_>,
    unit: &Rect,
    title: &str,
    feeds: &[usize],
) {
    let convention = context.wall.power.mains.colours;
    let panel = kind.first;
    let known = super::panel_back::power(context, panel);
    let body = Rect { ..*unit };
    drawing.begin("feeds");
    let volts = format!("{} V", context.wall.power.trim_volts.0);
    drawing.rectangle(Some(crate::draw::THICK), Some(crate::draw::Ink::Paper), &body);
    let middle = body.middle();
    drawing.fitted(BOLD.middle(), middle.by(-5.0, -1.0), 18.0, title);
    drawing.fitted(PLAIN.middle(), middle.by(-5.0, 3.0), 18.0, &volts);
    let strip = Rect { left: unit.right() + 92.0, width: 40.0, ..*unit };
    for (k, feed) in feeds.iter().enumerate() {
        let Some(of) = panel.feeds.get(*feed) else { continue };
        let figure = known.and_then(|power| power.feeds.get(*feed));
        #[expect(clippy::cast_precision_loss, reason = "ten at most")]
        let y = unit.top + 7.0 + STEP * k as f64;
        let (from, to) = (unit.right() - 3.0, strip.left + 3.0);
        let (plus, minus) = (y, y + 5.0);
        for (wire, y) in [(Conductor::Plus, plus), (Conductor::Minus, minus)] {
            conductor(drawing, wire, convention, &[Point::new(from, y), Point::new(to, y)]);
            drawing.terminal(Point::new(from, y));
            drawing.terminal(Point::new(to, y));
            let label = wire.label(convention);
            let half = BOLD.capital() / 2.0;
            let sign = label.rsplit(' ').next().unwrap_or(label);
            drawing.text(BOLD.end(), Point::new(from - 1.8, y + half), sign);
            drawing.text(BOLD, Point::new(to + 1.8, y + half), sign);
            let text = format!("{label}, {}", wire.colour(convention).name);
            let at = Point::new(to - 17.0, y + PLAIN.capital() / 2.0);
            drawing.text(PLAIN.middle().plate(), at, text);
        }
        let fuse = match figure.and_then(|figure| figure.fuse_amps) {
            Some(amps) => format!("{} A", amps.0),
            None => "none fits".to_owned(),
        };
        drawing.fuse(Point::new(from + 17.0, plus), "");
        let at = Point::new(from + 22.5, plus + PLAIN.capital() / 2.0);
        drawing.text(BOLD.plate(), at, fuse);
        let wire = match of.wire.gauge {
            Some(gauge) => gauge.to_string(),
            None => format!("{} ohm/m", of.wire.ohms_per_metre.0),
        };
        let size = format!("{wire}, {}", context.shown(of.wire.length));
        let at = Point::new(from + 34.0, minus + PLAIN.capital() / 2.0);
        drawing.text(PLAIN.middle().plate(), at, size);
        let end = format!("F{}: strip {}, {} end", feed + 1, of.strip, edge_key(of.edge));
        drawing.fitted(BOLD, Point::new(to + 5.5, y + 3.4), 40.0, end);
    }
    drawing.end();
}

/// The wires between the supply and a receiver, as the list of wires has them.
fn receiver_pair(context: &Context<'_>, kind: &Kind<'_>) -> String {
    let own = |run: &&glowloom_plan::material::wire::Run| run.joins == Use::ReceiverSupply;
    let runs = glowloom_plan::material::wire::runs(context.wall, [kind.first]);
    let pair = runs.iter().find(own).map_or(String::new(), |run| {
        format!(" of {}, {} each", run.size, context.shown(run.length_m))
    });
    format!(
        "The receiver draws {} through a pair of its own{pair}, with a fuse of 1 A at the supply (common \
         practice, no source).",
        context.wall.receiver.amps
    )
}

fn data(drawing: &mut Drawing, context: &Context<'_>, kind: &Kind<'_>, room: &Rect) {
    let wall = context.wall;
    let convention = wall.power.mains.colours;
    let (y, left) = (room.top + 4.0, room.left + 6.0);
    drawing.begin("receiver and data");
    drawing.line(THIN, Point::new(left, y - 9.0), Point::new(room.right() - 6.0, y - 9.0));
    let supply = Rect { left, top: y, width: 30.0, height: 40.0 };
    let receiver = Rect { left: left + 58.0, top: y, width: 30.0, height: 40.0 };
    let strip = Rect { left: room.right() - 44.0, top: y, width: 38.0, height: 40.0 };
    drawing.rectangle(Some(crate::draw::THICK), Some(crate::draw::Ink::Paper), &supply);
    drawing.fitted(BOLD.middle(), supply.middle().by(-5.0, -1.0), 18.0, "supply");
    let first = if wall.power.supplies_per_panel > 1 { "the first" } else { "" };
    drawing.fitted(PLAIN.middle(), supply.middle().by(-5.0, 3.0), 18.0, first);
    drawing.unit(&receiver, "receiver", &wall.receiver.board);
    drawing.rectangle(Some(crate::draw::THICK), Some(crate::draw::Ink::Paper), &strip);
    drawing.fitted(BOLD.middle(), strip.middle().by(5.0, -1.0), 24.0, "first strip");
    drawing.fitted(PLAIN.middle(), strip.middle().by(5.0, 3.0), 24.0, "of a data line");
    let half = BOLD.capital() / 2.0;
    for (wire, y) in [(Conductor::Plus, y + 6.0), (Conductor::Minus, y + 34.0)] {
        let (from, to) = (supply.right() - 3.0, receiver.left + 3.0);
        conductor(drawing, wire, convention, &[Point::new(from, y), Point::new(to, y)]);
        drawing.terminal(Point::new(from, y));
        drawing.terminal(Point::new(to, y));
        let label = wire.label(convention);
        let sign = label.rsplit(' ').next().unwrap_or(label);
        drawing.text(BOLD.end(), Point::new(from - 1.8, y + half), sign);
        drawing.text(BOLD, Point::new(to + 1.8, y + half), sign);
        let at = Point::new((from + to) / 2.0, y + 4.2);
        drawing.text(PLAIN.middle(), at, format!("{label}, {}", wire.colour(convention).name));
        if wire == Conductor::Plus {
            drawing.fuse(Point::new((from + to) / 2.0, y), "1 A, its own");
        }
    }
    let signals: &[Conductor] = match wall.strip.signal {
        Signal::OneWire => &[Conductor::Data],
        _ => &[Conductor::Data, Conductor::Clock],
    };
    let (from, to) = (receiver.right() - 3.0, strip.left + 3.0);
    #[expect(clippy::cast_precision_loss, reason = "two at most")]
    let places = |k: usize| y + 9.0 + 11.0 * k as f64;
    let ends = signals.iter().enumerate().map(|(k, wire)| (*wire, places(k)));
    for (wire, y) in ends.chain([(Conductor::Minus, y + 34.0)]) {
        conductor(drawing, wire, convention, &[Point::new(from, y), Point::new(to, y)]);
        drawing.terminal(Point::new(from, y));
        drawing.terminal(Point::new(to, y));
        let label = wire.label(convention);
        let sign = if wire == Conductor::Minus { "-" } else { "" };
        drawing.text(BOLD.end(), Point::new(from - 1.8, y + half), sign);
        drawing.text(BOLD, Point::new(to + 1.8, y + half), sign);
        let middle = (from + to) / 2.0;
        drawing.text(
            PLAIN.middle(),
            Point::new(middle, y + 5.6),
            format!("{label}, {}", wire.colour(convention).name),
        );
        if wire != Conductor::Minus {
            if wall.receiver.data_level == DataLevel::Shifter {
                let shape = Rect { left: middle - 14.0, top: y - 2.6, width: 12.0, height: 5.2 };
                drawing.unit(&shape, "level", "");
            }
            drawing.resistor(Point::new(middle + 9.0, y), "");
        }
    }
    let level = match wall.receiver.data_level {
        DataLevel::Shifter => "Level: a shifter lifts the receiver's 3.3 V to the strip's level.",
        DataLevel::SparePixel => {
            "Level: the first, spare pixel runs on a lower supply and lifts the signal."
        }
        DataLevel::None => "Level: the receiver's pin drives the strip as it is.",
    };
    let lines = kind.first.data_lines;
    let text = [
        level.to_owned(),
        "Series resistor in the data, near the receiver: 330 to 470 ohm (common practice, no source). Minus of \
         data goes with it, all the way."
            .to_owned(),
        receiver_pair(context, kind),
        format!(
            "Data lead {} long; {lines} data {} on this panel.",
            context.shown(wall.receiver.data_lead),
            if lines == 1 { "line" } else { "lines, each wired so" }
        ),
        "Never have the receiver on a computer's USB while the supply feeds it, unless the 5 V is parted."
            .to_owned(),
        "Plus: solid, edged. Minus: long dash, edged. Data: thin dashes, never green. A strip's own lead \
         colours (often red, green, white) are not these and are not mains colours."
            .to_owned(),
    ];
    let mut at = Point::new(left, y + 50.0);
    for line in text {
        at = drawing.paragraph(PLAIN, at, room.width - 12.0, line).by(0.0, 1.2);
    }
    drawing.end();
}
