//! Supplies, wires, limits and mains.

use glowloom_units::{Amps, Gauge, Hertz, Metres, Ohms, Volts};

use super::{Wrong, or};
use crate::catalogue::{supply as supplies, wire as wires};
use crate::diagnostic::{code, nearest};
use crate::text::{self, Text, Written};
use crate::wall::{Mains, MainsColours, Power, Strip, Supply, Wire};

/// What a wire is where the file says nothing.
#[derive(Clone, Copy)]
pub struct WireDefault {
    gauge: Gauge,
    length: Metres,
}

/// `feed_wire`
pub const FEED: WireDefault = WireDefault { gauge: Gauge::Awg(16), length: Metres(1.0) };
/// `jumper_wire`
const JUMPER: WireDefault = WireDefault { gauge: Gauge::Awg(22), length: Metres(0.04) };

/// Ratings that can be bought: ISO 8820-3, from memory.
const FUSES: [f64; 11] = [1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0];

pub fn power(text: &Text, strip: Option<&Strip>, wrong: &mut Wrong) -> Option<Power> {
    let empty = text::Power::default();
    let section = text.power.as_ref().unwrap_or(&empty);
    let supply = supply(section, wrong);
    let jumper = section.jumper_wire.as_ref().map(|w| &w.value);
    let jumper_wire = wire(jumper, JUMPER, wrong);
    let fuses = fuses(section, wrong);
    Some(Power {
        supply: supply?,
        supplies_per_panel: or(section.supplies_per_panel.as_ref(), 1),
        trim_volts: or(section.trim_volts.as_ref(), strip.map_or(Volts(5.0), |s| s.volts)),
        jumper_wire,
        connection_ohms: or(section.connection_ohms.as_ref(), Ohms(0.002)),
        least_volts: or(section.least_volts.as_ref(), Volts(4.0)),
        brightness_limit: or(section.brightness_limit.as_ref(), 1.0),
        typical_level: or(section.typical_level.as_ref(), 0.33),
        supply_ohms: or(section.supply_ohms.as_ref(), Ohms(0.0)),
        efficiency: or(section.efficiency.as_ref(), 0.85),
        power_factor: or(section.power_factor.as_ref(), 0.6),
        supply_load: or(section.supply_load.as_ref(), 0.8),
        circuit_load: or(section.circuit_load.as_ref(), 0.8),
        fuse_load: or(section.fuse_load.as_ref(), 0.8),
        fuses: fuses?,
        mains: mains(section.mains.as_ref().map(|w| &w.value)),
    })
}

fn supply(section: &text::Power, wrong: &mut Wrong) -> Option<Supply> {
    let Some(written) = &section.supply else {
        let part = &supplies::ALL[4]; // 5v-60a, as the manual says
        return Some(Supply { part: part.key.into(), volts: part.volts, amps: part.amps });
    };
    match &written.value {
        text::Supply::Figures(figures) => {
            let volts = required!(figures.volts, wrong);
            let amps = required!(figures.amps, wrong);
            let (volts, amps) = (volts?.value, amps?.value);
            Some(Supply { part: "own figures".into(), volts, amps })
        }
        text::Supply::Key(key) => {
            if let Some(part) = supplies::find(key) {
                return Some(Supply { part: key.clone(), volts: part.volts, amps: part.amps });
            }
            let keys = || supplies::ALL.iter().map(|part| part.key);
            unknown_key(key, written, "supply", keys(), "{ volts = 5, amps = 60 }", wrong);
            None
        }
    }
}

/// A catalogue key that is not one.
pub fn unknown_key<'k, T>(
    key: &str,
    written: &Written<T>,
    what: &str,
    keys: impl Iterator<Item = &'k str> + Clone,
    figures: &str,
    wrong: &mut Wrong,
) {
    let wanted = match nearest(key, keys.clone()) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => format!("not a {what} of the catalogue"),
    };
    let all = keys.collect::<Vec<_>>().join(", ");
    let remedy = format!("write one of: {all}; or the figures themselves: {figures}");
    wrong.add(
        code::UNKNOWN_VALUE,
        written.span.clone(),
        format!("no {what} is called \"{key}\""),
        wanted,
        remedy,
    );
}

fn fuses(section: &text::Power, wrong: &mut Wrong) -> Option<Vec<Amps>> {
    let Some(written) = &section.fuses else {
        return Some(FUSES.map(Amps).to_vec());
    };
    let rising = written.value.windows(2).all(|pair| pair[0].value < pair[1].value);
    if !rising {
        wrong.add(
            code::OUT_OF_RANGE,
            written.span.clone(),
            "`fuses` does not rise",
            "wanted: each rating above the one before",
            "sort the ratings and name each once",
        );
        return None;
    }
    Some(written.value.iter().map(|w| w.value).collect())
}

fn mains(section: Option<&text::Mains>) -> Mains {
    let empty = text::Mains::default();
    let section = section.unwrap_or(&empty);
    Mains {
        volts: or(section.volts.as_ref(), Volts(230.0)),
        hertz: or(section.hertz.as_ref(), Hertz(50.0)),
        circuit_amps: or(section.circuit_amps.as_ref(), Amps(10.0)),
        colours: or(section.colours.as_ref(), MainsColours::Iec),
        cord: or(section.cord.as_ref(), Metres(2.0)),
    }
}

/// The wire that feeds are made of unless they have their own.
pub fn feed_wire(text: &Text, wrong: &mut Wrong) -> Wire {
    let written = text.power.as_ref().and_then(|power| power.feed_wire.as_ref());
    wire(written.map(|w| &w.value), FEED, wrong)
}

/// A wire with its resistance and limit. What is wrong with it is said once, however many panels
/// use it.
pub fn wire(section: Option<&text::Wire>, default: WireDefault, wrong: &mut Wrong) -> Wire {
    let empty = text::Wire::default();
    let section = section.unwrap_or(&empty);
    let gauge = match (&section.gauge, &section.ohms_per_metre) {
        (Some(gauge), Some(_)) => {
            say_once(gauge, wrong, |wrong| {
                wrong.add(
                    code::WIRE_TWO_WAYS,
                    gauge.span.clone(),
                    "a wire gives `gauge` and `ohms_per_metre`",
                    "one of the two says what it is",
                    "take one of the two out",
                );
            });
            None
        }
        (Some(gauge), None) => Some(gauge.value),
        (None, Some(_)) => None,
        (None, None) => Some(default.gauge),
    };
    let table = gauge.and_then(wires::resistance).map(|figure| figure.value);
    if let (Some(gauge), Some(written), None) = (gauge, &section.gauge, table) {
        say_once(written, wrong, |wrong| {
            let sizes: Vec<String> = wires::metric_sizes().map(|mm2| mm2.to_string()).collect();
            wrong.add(
                code::UNKNOWN_GAUGE,
                written.span.clone(),
                format!("no table holds a wire of {gauge}"),
                format!("known: {} mm2, and AWG sizes", sizes.join(", ")),
                "take a known size, or write `ohms_per_metre` and `amps` in place of `gauge`",
            );
        });
    }
    let ohms_per_metre = section.ohms_per_metre.as_ref().map(|w| w.value).or(table);
    let limit = gauge.and_then(wires::ampacity).map(|figure| figure.value);
    Wire {
        gauge,
        ohms_per_metre: ohms_per_metre.unwrap_or_default(),
        amps: section.amps.as_ref().map(|w| w.value).or(limit),
        length: or(section.length.as_ref(), default.length),
    }
}

fn say_once<T>(written: &Written<T>, wrong: &mut Wrong, say: impl FnOnce(&mut Wrong)) {
    if !wrong.said_within(&written.span) {
        say(wrong);
    }
}
