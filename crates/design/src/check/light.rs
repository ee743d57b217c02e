//! The picture and the strip.

use glowloom_units::{Figures, Metres, Volts};

use super::{Wrong, colour, or};
use crate::catalogue::strip::{self as catalogue, Chip, StripPart};
use crate::diagnostic::{code, nearest};
use crate::text::{self, Text, Written};
use crate::wall::{Order, Strip};

/// Most pixels of a picture.
const MOST_PIXELS: u64 = 4_000_000;

/// `[wall]`, checked.
pub struct Picture {
    pub name: String,
    pub columns: u32,
    pub rows: u32,
    pub seen_from: Metres,
    pub figures: Figures,
}

pub fn picture(text: &Text, wrong: &mut Wrong) -> Option<Picture> {
    let Some(wall) = &text.wall else {
        if !text.refused.contains(&"wall") {
            wrong.add(
                code::MISSING_KEY,
                0..0,
                "the section [wall] is missing",
                "wanted: [wall] with name, columns and rows",
                "add [wall] with name = \"...\", columns = ... and rows = ...",
            );
        }
        return None;
    };
    let name = required!(wall.name, wrong);
    let columns = required!(wall.columns, wrong);
    let rows = required!(wall.rows, wrong);
    let (name, columns, rows) = (name?, columns?, rows?);
    let pixels = u64::from(columns.value) * u64::from(rows.value);
    if pixels > MOST_PIXELS {
        wrong.add(
            code::TOO_MANY_PIXELS,
            rows.span.clone(),
            format!("{} x {} are {pixels} pixels", columns.value, rows.value),
            format!("a wall has at most {MOST_PIXELS}"),
            "make columns or rows smaller, or split the wall into several files",
        );
        return None;
    }
    Some(Picture {
        name: name.value.clone(),
        columns: columns.value,
        rows: rows.value,
        seen_from: or(wall.seen_from.as_ref(), Metres(4.0)),
        figures: or(wall.figures.as_ref(), Figures::Metric),
    })
}

pub fn strip(text: &Text, wrong: &mut Wrong) -> Option<Strip> {
    let Some(section) = &text.strip else {
        if !text.refused.contains(&"strip") {
            wrong.add(
                code::MISSING_KEY,
                0..0,
                "the section [strip] is missing",
                "wanted: [strip] with part",
                "add [strip] with part = \"ws2812b-30\" or another of the catalogue",
            );
        }
        return None;
    };
    let part = required!(section.part, wrong)?;
    let known = catalogue::find(&part.value);
    if known.is_none() && !own_figures_complete(section) {
        unknown_part(part, section, wrong);
        return None;
    }
    let order = order(section, known, wrong)?;
    // Every figure: the file's, else the catalogue's. `zip` keeps the two together.
    let chip = known.map(|part| part.chip);
    let of = |pick: fn(&Chip) -> Volts| chip.map_or(Volts(0.0), pick);
    let knees = knees(section, chip);
    Some(Strip {
        part: part.value.clone(),
        pixels_per_metre: or(
            section.pixels_per_metre.as_ref(),
            known.map_or_else(Default::default, |part| part.pixels_per_metre),
        ),
        roll_pixels: or(section.roll_pixels.as_ref(), known.map_or(1, |p| p.roll_pixels.value)),
        signal: chip.map_or(catalogue::Signal::OneWire, |chip| chip.signal),
        volts: or(section.volts.as_ref(), of(|chip| chip.volts.value)),
        max_volts: or(section.max_volts.as_ref(), of(|chip| chip.max_volts.value)),
        channel_amps: or(
            section.channel_amps.as_ref(),
            chip.map_or_else(Default::default, |chip| chip.channel_amps.value),
        ),
        idle_amps: or(
            section.idle_amps.as_ref(),
            chip.map_or_else(Default::default, |chip| chip.idle_amps.value),
        ),
        knee_volts: knees,
        idle_knee_volts: or(section.idle_knee_volts.as_ref(), of(|c| c.idle_knee_volts.value)),
        rail_ohms_per_metre: or(
            section.rail_ohms_per_metre.as_ref(),
            chip.map_or_else(Default::default, |chip| chip.rail_ohms_per_metre.value),
        ),
        rail_amps: or(
            section.rail_amps.as_ref(),
            chip.map_or_else(Default::default, |chip| chip.rail_amps.value),
        ),
        bit_seconds: or(
            section.bit_seconds.as_ref(),
            chip.map_or_else(Default::default, |chip| chip.bit_seconds.value),
        ),
        bits_per_pixel: or(
            section.bits_per_pixel.as_ref(),
            chip.map_or(24, |chip| chip.bits_per_pixel.value),
        ),
        reset_seconds: or(
            section.reset_seconds.as_ref(),
            chip.map_or_else(Default::default, |chip| chip.reset_seconds.value),
        ),
        order,
        mass: or(
            section.kg_per_metre.as_ref(),
            chip.map_or_else(Default::default, |chip| chip.mass.value),
        ),
        candela: section.candela.as_ref().map(|w| w.value),
        light: colour::light(section, wrong),
    })
}

/// Whether the file gives every figure that a catalogue part would.
fn own_figures_complete(section: &text::Strip) -> bool {
    missing_figures(section).is_empty()
}

fn missing_figures(section: &text::Strip) -> Vec<&'static str> {
    let given = [
        ("pixels_per_metre", section.pixels_per_metre.is_some()),
        ("roll_pixels", section.roll_pixels.is_some()),
        ("rail_ohms_per_metre", section.rail_ohms_per_metre.is_some()),
        ("knee_volts", section.knee_volts.is_some()),
        ("idle_knee_volts", section.idle_knee_volts.is_some()),
        ("rail_amps", section.rail_amps.is_some()),
        ("max_volts", section.max_volts.is_some()),
        ("channel_amps", section.channel_amps.is_some()),
        ("idle_amps", section.idle_amps.is_some()),
        ("volts", section.volts.is_some()),
        ("bit_seconds", section.bit_seconds.is_some()),
        ("bits_per_pixel", section.bits_per_pixel.is_some()),
        ("reset_seconds", section.reset_seconds.is_some()),
        ("order", section.order.is_some()),
        ("kg_per_metre", section.kg_per_metre.is_some()),
    ];
    given.into_iter().filter(|(_, is_given)| !is_given).map(|(key, _)| key).collect()
}

fn unknown_part(part: &Written<String>, section: &text::Strip, wrong: &mut Wrong) {
    let keys = || catalogue::ALL.iter().map(|part| part.key);
    let near = nearest(&part.value, keys());
    let wanted = match near {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => "not a strip of the catalogue".to_owned(),
    };
    let remedy = format!(
        "write one of: {}; or give its own figures as well: {}",
        keys().collect::<Vec<_>>().join(", "),
        missing_figures(section).join(", ")
    );
    let message = format!("no strip is called \"{}\"", part.value);
    wrong.add(code::UNKNOWN_VALUE, part.span.clone(), message, wanted, remedy);
}

/// The colour order and the bits of a pixel say the same number of channels.
fn order(
    section: &text::Strip,
    known: Option<&'static StripPart>,
    wrong: &mut Wrong,
) -> Option<Order> {
    let chip = known.map(|part| part.chip);
    let bits = or(section.bits_per_pixel.as_ref(), chip.map_or(24, |c| c.bits_per_pixel.value));
    let clocked = chip.is_some_and(|chip| chip.signal != catalogue::Signal::OneWire);
    let fits = |order: Order| {
        clocked
            || (bits as usize).is_multiple_of(order.channels())
                && bits as usize / order.channels() >= 8
    };
    if let Some(order) = &section.order {
        if clocked && order.value.channels() != 3 || !fits(order.value) {
            let channels = order.value.channels();
            wrong.add(
                code::ORDER_AND_BITS,
                order.span.clone(),
                format!(
                    "\"{}\" has {channels} colours, a pixel has {bits} bits",
                    order.value.letters()
                ),
                "wanted: as many colours as the bits of a pixel hold",
                format!("write `bits_per_pixel = {}`, or another order", channels * 8),
            );
            return None;
        }
        return Some(order.value);
    }
    let default = chip.map_or("grb", |chip| chip.order.value);
    let default = Order::from_text(default)?;
    if fits(default) {
        return Some(default);
    }
    // A white channel comes last unless the file says otherwise.
    let with_white = Order::from_text(&format!("{}w", default.letters()));
    if let Some(order) = with_white.filter(|order| fits(*order)) {
        return Some(order);
    }
    let span = section.bits_per_pixel.as_ref().map_or(section.span.clone(), |w| w.span.clone());
    wrong.add(
        code::ORDER_AND_BITS,
        span,
        format!("{bits} bits do not hold 3 or 4 colours"),
        "wanted: 24 bits, or 32 with a white channel",
        "write `bits_per_pixel = 24`, or 32",
    );
    None
}

/// Red, green, blue, white; a white that is not given is as the blue.
fn knees(section: &text::Strip, chip: Option<&Chip>) -> [Volts; 4] {
    let Some(list) = &section.knee_volts else {
        return chip.map_or_else(Default::default, |chip| chip.knee_volts.value);
    };
    let at = |i: usize| list.value.get(i).map(|w| w.value);
    let blue = at(2).unwrap_or_default();
    [at(0).unwrap_or_default(), at(1).unwrap_or_default(), blue, at(3).unwrap_or(blue)]
}
