//! Mains wiring: plug to supply. Nothing of DC is on this sheet, for one colour means different things
//! in the two.

use glowloom_design::wall::{Body, MainsColours};
use glowloom_plan::material::conductors::Conductor;
use glowloom_plan::material::wire::Use;

use super::{Context, Frame, Sheet, View};
use crate::draw::conductor::conductor;
use crate::draw::table::{Table, figures, word, words};
use crate::draw::text::{BOLD, NAME, PLAIN};
use crate::draw::{Drawing, Ink, MEDIUM};
use crate::svg::{Point, Rect};

/// What mains asks of whoever wires it.
const CAUTIONS: [&str; 6] = [
    "MAINS KILLS. Unplug before anything is opened or touched; check with a meter that it is dead.",
    "Follow local codes. Where they ask for a licensed electrician, have one do this sheet.",
    "Earth to every supply and to every board of metal, first on and last off.",
    "A fuse in the inlet, cord gauge to the fuse, strain relief, covered terminals, no bare copper.",
    "Plug into a socket with residual-current protection.",
    "A strip's own lead colours (often red, green, white) are not mains colours.",
];

/// The mains sheet.
pub fn draw(context: &Context<'_>) -> Sheet {
    let frame = Frame::new(context.wall.paper, false);
    let mut sheet = Sheet::new("mains", "Mains wiring", View::None, frame);
    sheet.group = Some("Wiring".into());
    sheet.daylight = true;
    sheet.description =
        "From the mains plug through inlet fuse and cord to the terminals of a supply: \
        line, neutral and earth with the colours of the convention that the wall file names."
            .into();
    let mains = &context.wall.power.mains;
    let body = frame.body();
    let drawing = &mut sheet.drawing;
    let convention = match mains.colours {
        MainsColours::Iec => "Colours by IEC 60445 (second-hand): brown, blue, green-and-yellow",
        MainsColours::Us => {
            "Colours by US habit and NEC 200.6, 250.119 (second-hand): black, white, green"
        }
    };
    let top = body.top + 8.0;
    drawing.text(NAME, Point::new(body.left + 5.0, top), convention);
    diagram(drawing, context, &Rect { top: top + 4.0, height: 70.0, ..body });
    let table = table(context);
    let room = Rect {
        left: body.left + 5.0,
        top: top + 78.0,
        width: body.width * 0.55,
        height: body.bottom() - top - 80.0,
    };
    table.draw(drawing, &room, 0);
    let mut at = Point::new(room.right() + 6.0, room.top + 3.5);
    let width = body.right() - at.x - 4.0;
    drawing.begin("cautions");
    for (i, caution) in CAUTIONS.iter().enumerate() {
        if i == 0 {
            drawing.severity(glowloom_plan::Kind::Hazard, at.by(1.6, -0.8));
        }
        at = drawing.paragraph(
            if i == 0 { BOLD } else { PLAIN },
            at.by(5.0, 0.0),
            width - 5.0,
            caution,
        );
        at = at.by(-5.0, 1.6);
    }
    drawing.end();
    let total = &context.plan.power.mains;
    let supplies =
        context.wall.panels.len() as u64 * u64::from(context.wall.power.supplies_per_panel);
    let lines = [
        format!(
            "{supplies} supplies, each wired so, on a circuit of {} at {} V, {} Hz",
            mains.circuit_amps, mains.volts.0, mains.hertz.0
        ),
        format!(
            "At full white under the ceiling: {} and {} from the mains, {:.0} % of the circuit",
            total.watts,
            total.amps,
            total.circuit_share * 100.0
        ),
        "Line: solid. Neutral: long dash. Earth: striped or solid green. Letters at both ends"
            .to_owned(),
    ];
    super::panel_front::notes(drawing, &frame.band(), &lines);
    sheet
}

fn diagram(drawing: &mut Drawing, context: &Context<'_>, room: &Rect) {
    let convention = context.wall.power.mains.colours;
    let metal = context.wall.board.as_ref().is_some_and(|b| b.body == Some(Body::MetalSkins));
    let (left, right) = (room.left + 8.0, room.right() - 8.0);
    let height = 48.0;
    let plug = Rect { left, top: room.top + 6.0, width: 30.0, height };
    let inlet = Rect { left: left + 92.0, top: room.top + 6.0, width: 46.0, height };
    let supply = Rect { left: right - 44.0, top: room.top + 6.0, width: 44.0, height };
    let wires = [Conductor::Line, Conductor::Neutral, Conductor::Earth];
    drawing.begin("mains diagram");
    for (shape, name) in [(&plug, "plug"), (&inlet, "inlet with fuse"), (&supply, "supply")] {
        drawing.rectangle(Some(crate::draw::THICK), Some(Ink::Paper), shape);
        let at = Point::new(shape.middle().x, shape.top - 1.8);
        drawing.text(BOLD.middle(), at, name);
    }
    for (k, wire) in wires.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "three conductors")]
        let y = plug.top + 10.0 + 14.0 * k as f64;
        let label = wire.label(convention);
        let name = wire.colour(convention).name;
        let at = |x: f64| Point::new(x, y);
        let ends = [plug.right() - 4.0, inlet.left + 4.0, inlet.right() - 4.0, supply.left + 4.0];
        for pair in ends.chunks(2) {
            let [from, to] = pair else { continue };
            conductor(drawing, *wire, convention, &[at(*from), at(*to)]);
            let words = at((from + to) / 2.0).by(0.0, -1.9);
            drawing.text(PLAIN.middle(), words, format!("{label} {name}"));
        }
        for (i, x) in ends.iter().enumerate() {
            drawing.terminal(at(*x));
            let inward = if i % 2 == 0 { -2.0 } else { 2.0 };
            let hand = if i % 2 == 0 { BOLD.end() } else { BOLD };
            drawing.text(hand, at(x + inward).by(0.0, BOLD.capital() / 2.0), label);
        }
        // Inside the inlet: the line goes through the fuse.
        let (a, b) = (inlet.left + 9.5, inlet.right() - 9.5);
        match wire {
            Conductor::Line => {
                drawing.line(MEDIUM, at(a), at(inlet.middle().x - 4.0));
                drawing.line(MEDIUM, at(inlet.middle().x + 4.0), at(b));
                drawing.fuse(at(inlet.middle().x), "");
            }
            _ => drawing.line(MEDIUM, at(a), at(b)),
        }
        if *wire == Conductor::Earth {
            drawing.earth(Point::new(supply.middle().x + 6.0, y));
            drawing.line(MEDIUM, at(supply.left + 10.0), at(supply.middle().x + 6.0));
        }
    }
    let fuse = context.plan.material.items.iter().find(|item| item.key == "mains-inlet");
    if let Some(text) = fuse.and_then(|item| item.note.split(';').next()) {
        let room = inlet.width + 34.0;
        let at = Point::new(inlet.middle().x, inlet.bottom() + 5.0);
        drawing.fitted(PLAIN.middle(), at, room, text);
    }
    let part = &context.wall.power.supply.part;
    let at = Point::new(supply.middle().x, supply.bottom() + 5.0);
    drawing.fitted(PLAIN.middle(), at, 60.0, part);
    if metal {
        let at = Point::new(supply.middle().x, supply.bottom() + 9.0);
        drawing.fitted(PLAIN.middle(), at, 76.0, "earth goes on to the board of metal");
    }
    drawing.end();
}

fn table(context: &Context<'_>) -> Table {
    let mut table = Table::new(vec![
        word("label"),
        word("colour"),
        words("from, to", 0.8),
        word("size"),
        figures("length"),
        figures("wires"),
        words("who says the colour", 1.0),
    ]);
    for run in context.plan.material.wires.iter().filter(|run| run.conductor.is_mains()) {
        let ends = match run.joins {
            Use::BoardEarth => "supply's earth, board",
            _ => "plug, supply",
        };
        table.row([
            run.label.to_owned(),
            run.colour.to_owned(),
            ends.to_owned(),
            run.size.to_string(),
            context.shown(run.length_m),
            run.count.to_string(),
            run.colour_source.to_owned(),
        ]);
    }
    table
}
