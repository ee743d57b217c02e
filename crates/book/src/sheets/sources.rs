//! Where rules and figures come from, and which are from memory.

use std::collections::BTreeSet;

use glowloom_design::catalogue::strip;

use super::{Context, Head, Sheet};
use crate::draw::table::{Table, word, words};

/// The list of sources.
pub fn draw(context: &Context<'_>) -> Vec<Sheet> {
    let mut table =
        Table::new(vec![word("of"), words("figure or rule", 1.0), words("who says so", 1.4)]);
    let mut add = |of: &str, what: String, source: &str| {
        table.row([of.to_owned(), what, source.to_owned()]);
    };
    let conductors: BTreeSet<(&str, &str, &str)> = context
        .plan
        .material
        .wires
        .iter()
        .map(|run| (run.label, run.colour, run.colour_source))
        .collect();
    for (label, colour, source) in conductors {
        add("conductors", format!("{label} is {colour}"), source);
    }
    if let Some(part) = strip::find(&context.wall.strip.part) {
        let chip = part.chip;
        for (what, source) in [
            ("supply voltage", chip.volts.source),
            ("highest voltage", chip.max_volts.source),
            ("current of a colour", chip.channel_amps.source),
            ("current of a dark pixel", chip.idle_amps.source),
            ("knees of the colours", chip.knee_volts.source),
            ("resistance of a rail", chip.rail_ohms_per_metre.source),
            ("current of the strip's copper", chip.rail_amps.source),
            ("time of a bit", chip.bit_seconds.source),
            ("silence between frames", chip.reset_seconds.source),
            ("order of colours", chip.order.source),
            ("mass", chip.mass.source),
            ("pixels on a roll", part.roll_pixels.source),
        ] {
            add(part.key, what.to_owned(), source);
        }
    }
    for rule in [
        ("wire", "AWG sizes: the formula, copper at 20 C", "the definition of the gauge"),
        ("wire", "mm2 sizes: largest resistance of class 5", "IEC 60228, as quoted"),
        ("fuses", "a fuse for each feed, at the supply", "common practice, no source"),
        ("data", "series resistor of 330 to 470 ohm", "common practice, no source"),
        ("symbols", "fuse, earth, terminal", "shapes of IEC 60617, from memory"),
        ("sheets", "scales 1, 2, 5 and steps between", "ISO 5455, from memory"),
        (
            "sheets",
            "lines 0.18, 0.35, 0.7 mm; text of 2.5 mm at least",
            "common practice, no source",
        ),
        ("sheets", "ramp of the voltage map", "cividis, by a colour library"),
        ("people", "a person is 1.75 m tall", "own choice"),
    ] {
        add(rule.0, rule.1.to_owned(), rule.2);
    }
    for assumption in &context.plan.optics.assumptions {
        add("light", (*assumption).to_owned(), "as it says");
    }
    let head = Head {
        key: "sources".into(),
        name: "Sources".into(),
        group: None,
        panels: Vec::new(),
        upright: false,
        note: vec![
            "from memory: nobody looked it up. second-hand: read in a text that quotes it".into(),
            "Measure what is soft before money depends on it".into(),
            "Letters: Noto Sans, under the SIL Open Font License 1.1".into(),
        ],
        description: "Where rules and figures of the book come from.".into(),
    };
    super::listed(context, &head, &[("", table)])
}
