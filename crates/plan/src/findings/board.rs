//! Whether the receiver's board can do what the wall asks of it.

use std::collections::BTreeMap;

use glowloom_design::catalogue::receiver as catalogue;
use glowloom_design::wall::{DataLevel, Link};
use glowloom_design::{Place, Wall};
use glowloom_units::{Metres, Volts};

use super::words::{listed, names};
use super::{key_place, panel_place};
use crate::finding::{Code, Finding};

/// More data lines than pins: one finding for each place of the file that says so.
pub(super) fn pins(wall: &Wall) -> Vec<Finding> {
    let pins = wall.receiver.data_pins;
    let mut places: BTreeMap<(Place, u32), Vec<&str>> = BTreeMap::new();
    for panel in wall.panels.iter().filter(|panel| panel.data_lines > pins) {
        let place = panel_place(wall, panel, "data_lines");
        places.entry((place, panel.data_lines)).or_default().push(&panel.name);
    }
    let finding = |((place, lines), panels): ((Place, u32), Vec<&str>)| {
        let noun = if pins == 1 { "pin" } else { "pins" };
        Finding::new(
            Code::MoreDataLinesThanPins,
            place,
            format!("more data lines than the receiver has pins on {}", names(&panels)),
            format!(
                "{lines} data lines on {}; the board, {}, drives {pins} {noun} at the same time",
                names(&panels),
                wall.receiver.board
            ),
            pins_remedy(wall, lines),
        )
    };
    places.into_iter().map(finding).collect()
}

fn pins_remedy(wall: &Wall, lines: u32) -> String {
    let boards =
        boards(|part| part.data_pins.value >= lines && part.links.contains(&wall.receiver.link));
    let fewer = format!("Set data_lines = {}", wall.receiver.data_pins);
    match boards {
        Some(boards) => format!("{fewer}, or in [receiver] set board = {boards}."),
        None => format!("{fewer}, or give the panel fewer strips for each receiver."),
    }
}

/// Boards of the catalogue that will do, as the file names them.
fn boards(will_do: impl Fn(&catalogue::ReceiverPart) -> bool) -> Option<String> {
    let keys: Vec<String> = catalogue::ALL
        .iter()
        .filter(|part| will_do(part))
        .map(|part| format!("\"{}\"", part.key))
        .collect();
    let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
    (!keys.is_empty()).then(|| listed(&keys, "or"))
}

/// A link that the board has not got.
pub(super) fn link(wall: &Wall) -> Option<Finding> {
    let receiver = &wall.receiver;
    if receiver.links.contains(&receiver.link) {
        return None;
    }
    let has: Vec<&str> = receiver.links.iter().map(|link| link.key()).collect();
    let quoted: Vec<String> = has.iter().map(|key| format!("\"{key}\"")).collect();
    let quoted: Vec<&str> = quoted.iter().map(String::as_str).collect();
    let mut ways = Vec::new();
    if !quoted.is_empty() {
        ways.push(format!("set link = {}", listed(&quoted, "or")));
    }
    if let Some(boards) = boards(|part| part.links.contains(&receiver.link)) {
        ways.push(format!("set board = {boards}"));
    }
    let ways: Vec<&str> = ways.iter().map(String::as_str).collect();
    Some(Finding::new(
        Code::LinkNotOnBoard,
        key_place(wall, "receiver", "link"),
        format!("the receiver's board has no link by {}", receiver.link.key()),
        format!(
            "the board, {}, has {}",
            receiver.board,
            if has.is_empty() { "no link".into() } else { listed(&has, "and") }
        ),
        format!("In [receiver], {}.", listed(&ways, "or")),
    ))
}

/// A strip reads a data level as high from this share of its chips' own supply on (WS2812B data
/// sheet, first edition).
const HIGH_SHARE: f64 = 0.7;
/// The chips' own supply on strips for more than that: such parts make 5 V for themselves (WS2811
/// data sheet; quoted for WS2815).
const LOGIC_VOLTS: Volts = Volts(5.0);

/// A data pin below the level that the strip reads as high.
pub(super) fn level(wall: &Wall) -> Option<Finding> {
    let receiver = &wall.receiver;
    let logic = wall.power.trim_volts.min(LOGIC_VOLTS);
    let wanted = logic * HIGH_SHARE;
    if receiver.pin_volts >= wanted {
        return None;
    }
    let place = key_place(wall, "receiver", "data_level");
    let low = format!(
        "a pin gives {}; the strip reads a level as high from {HIGH_SHARE} x {logic} = {wanted} on",
        receiver.pin_volts
    );
    match receiver.data_level {
        DataLevel::Shifter => None,
        DataLevel::None => Some(Finding::new(
            Code::DataLevelTooLow,
            place,
            "the data signal is too low for the strip".into(),
            low,
            format!(
                "In [receiver], set data_level = \"shifter\" and fit a level shifter{}.",
                spare_pixel_way(wall)
            ),
        )),
        DataLevel::SparePixel => {
            let bare: Vec<&str> = wall
                .panels
                .iter()
                .filter(|panel| panel.spare_pixels == 0)
                .map(|panel| panel.name.as_str())
                .collect();
            if bare.is_empty() {
                return None;
            }
            Some(Finding::new(
                Code::DataLevelTooLow,
                place,
                format!("no spare pixel re-shapes the data signal on {}", names(&bare)),
                format!("{low}; data_level is \"spare pixel\", but spare_pixels is 0"),
                format!(
                    "In [receiver], set data_level = \"shifter\" and fit a level shifter; or set \
                     spare_pixels = 1 for {}. {SPARE_PIXEL}",
                    names(&bare)
                ),
            ))
        }
    }
}

/// How a spare pixel is fed: on the full 5 V it would want as much as the strip does.
const SPARE_PIXEL: &str = "The spare pixel itself is fed about 4.3 V, through a diode, so that it reads \
     3.3 V as high (common practice, no source)";

/// The way with a spare pixel; strips of more than 5 V make their own 5 V, so there it is none.
fn spare_pixel_way(wall: &Wall) -> String {
    if wall.strip.volts > LOGIC_VOLTS {
        return String::new();
    }
    format!("; or set data_level = \"spare pixel\" and spare_pixels = 1 in [panel]. {SPARE_PIXEL}")
}

/// Above this a plain data lead wants care (common practice, no source).
const LONG_LEAD: Metres = Metres(1.0);
/// Above this it is beyond a plain signal (common practice, no source).
const LONGEST_LEAD: Metres = Metres(10.0);

/// A long lead from the receiver to the first pixel.
pub(super) fn lead(wall: &Wall) -> Option<Finding> {
    let receiver = &wall.receiver;
    if receiver.data_lead <= LONG_LEAD {
        return None;
    }
    let beyond = receiver.data_lead > LONGEST_LEAD;
    let (code, title, limit) = if beyond {
        (Code::DataLeadTooLong, "the data lead is too long for a plain signal", LONGEST_LEAD)
    } else {
        (Code::LongDataLead, "the data lead is long", LONG_LEAD)
    };
    let mut remedy = format!(
        "Mount the receiver beside the first pixel and set data_lead = \"300 mm\" in [receiver]; a \
         resistor of some hundred ohms at the pin, a level shifter and a ground wire along the lead \
         help up to {}.",
        LONGEST_LEAD.shown(wall.figures)
    );
    if receiver.link == Link::Usb {
        remedy.push_str(" Lengthen the USB cable, not the lead.");
    }
    Some(Finding::new(
        code,
        key_place(wall, "receiver", "data_lead"),
        title.into(),
        format!(
            "{} from the receiver to the first pixel, above {} (common practice, no source): \
             pixels near the head may flicker or show wrong colours",
            receiver.data_lead.shown(wall.figures),
            limit.shown(wall.figures)
        ),
        remedy,
    ))
}
