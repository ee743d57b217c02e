//! Pixels that get too few volts, and what brings them more.

use glowloom_design::Wall;
use glowloom_units::{Gauge, Volts};

use super::key_place;
use super::ways::{FarWay, FeedWay, Ways};
use super::words::{listed, names, percent};
use crate::finding::{Code, Finding};
use crate::power::{PanelPower, Power};

/// A finding for each of so many kinds of panel.
const MOST_KINDS: usize = 6;

/// All of it.
pub(super) fn volts(wall: &Wall, power: &Power, ways: Option<&Ways>) -> Vec<Finding> {
    let mut all = Vec::new();
    all.extend(below_least(wall, power, ways));
    all.extend(below_chips(wall, power, ways));
    if let Some(ways) = ways {
        all.extend(ways.feeds.iter().take(MOST_KINDS).filter_map(|way| feeds(wall, way)));
        all.extend(ways.far.iter().take(MOST_KINDS).map(|way| far(wall, way)));
        all.extend(trim(wall, ways));
    }
    all
}

/// Live panels below a voltage, the lowest first.
fn below(power: &Power, least: Volts) -> Vec<&PanelPower> {
    // A strip that no feed reaches has its own finding.
    let lit = power.panels.iter().filter(|panel| panel.dead_strips.is_empty());
    let mut below: Vec<&PanelPower> =
        lit.filter(|panel| panel.least_volts.0 < least.0 - 1e-9).collect();
    below.sort_by(|a, b| a.least_volts.0.total_cmp(&b.least_volts.0));
    below
}

fn below_least(wall: &Wall, power: &Power, ways: Option<&Ways>) -> Option<Finding> {
    let least = wall.power.least_volts;
    let below = below(power, least);
    let worst = below.first()?;
    let called: Vec<&str> = below.iter().map(|panel| panel.name.as_str()).collect();
    let [red, green, blue, _] = worst.least_volts_white.light;
    let light = if red.min(green).min(blue) < 0.995 {
        format!(
            "; there red keeps {}, green {} and blue {} of their light",
            percent(red),
            percent(green),
            percent(blue)
        )
    } else {
        String::new()
    };
    let [column, row] = worst.least_volts_at;
    let more = match ways.and_then(|ways| ways.trim) {
        Some(trim) => vec![format!("set trim_volts = {} in [power]", trim.0)],
        None => Vec::new(),
    };
    Some(Finding::new(
        Code::VoltsBelowLeast,
        key_place(wall, "power", "least_volts"),
        format!("pixels get fewer volts than least_volts on {}", names(&called)),
        format!(
            "At full white under a brightness limit of {} the pixel at column {column}, row {row} \
             gets {}, wanted {least}{light}",
            wall.power.brightness_limit, worst.least_volts
        ),
        Ways::said(ways, wall, &called, &more),
    ))
}

fn below_chips(wall: &Wall, power: &Power, ways: Option<&Ways>) -> Option<Finding> {
    let least = wall.strip.idle_knee_volts;
    // A supply that is set below that has a finding of its own.
    if wall.power.trim_volts <= least {
        return None;
    }
    let below = below(power, least);
    let worst = below.first()?;
    let called: Vec<&str> = below.iter().map(|panel| panel.name.as_str()).collect();
    Some(Finding::new(
        Code::ChipsMayStop,
        key_place(wall, "power", "feeds"),
        format!("chips may stop or show wrong colours on {}", names(&called)),
        format!(
            "The lowest pixel gets about {} at full white under a brightness limit of {}; below {least} \
             the strip's chips are outside their data sheet",
            worst.least_volts, wall.power.brightness_limit
        ),
        Ways::said(ways, wall, &called, &[]),
    ))
}

/// The fewest feeds that were found.
fn feeds(wall: &Wall, way: &FeedWay) -> Option<Finding> {
    let first = way.proposals.first()?;
    let count = |n: usize| if n == 1 { "1 feed".to_owned() } else { format!("{n} feeds") };
    let told: Vec<String> = way
        .proposals
        .iter()
        .map(|found| {
            let wire = match found.wire.gauge {
                Some(gauge) => format!(" of {gauge}"),
                None => String::new(),
            };
            format!(
                "{}{wire}, {} each way, leave {} at the lowest pixel and carry {} at most",
                count(found.feeds.len()),
                found.wire.length.shown(wall.figures),
                found.least_volts,
                found.feed_amps
            )
        })
        .collect();
    let sure = if first.searched {
        "Fewer were looked for and not found, which does not prove that there are none"
    } else {
        "The search was cut short: fewer may do"
    };
    let texts: Vec<String> =
        way.proposals.iter().map(|proposal| way.text(wall, proposal)).collect();
    let mut remedy = texts.join("; or ");
    if let Some(first) = remedy.get(..1) {
        let first = first.to_uppercase();
        remedy.replace_range(..1, &first);
    }
    let panels = called(wall, &way.panels);
    let has = if way.panels.len() == 1 { "has" } else { "have" };
    let was = way.panels.first().and_then(|panel| wall.panels[*panel].feeds.first());
    let was = was.and_then(|feed| feed.wire.gauge);
    let of = |gauge: Option<Gauge>| match gauge {
        Some(gauge) if was != first.wire.gauge => format!(" of {gauge}"),
        _ => String::new(),
    };
    Some(Finding::new(
        Code::FeedsThatDo,
        key_place(wall, "power", "feeds"),
        format!(
            "{}{} keep every limit of the copper on {panels}, which {has} {}{}",
            count(first.feeds.len()),
            of(first.wire.gauge),
            way.now,
            of(was)
        ),
        format!(
            "At full white under a brightness limit of {}, {}. {sure}",
            wall.power.brightness_limit,
            listed(&told.iter().map(String::as_str).collect::<Vec<_>>(), "or")
        ),
        remedy + ".",
    ))
}

/// What the far edge gives.
fn far(wall: &Wall, way: &FarWay) -> Finding {
    let [now, then] = way.volts;
    let enough = if then >= wall.power.least_volts { "" } else { ", which is still too little" };
    let mut remedy = way.text(wall);
    if let Some(first) = remedy.get(..1) {
        let first = first.to_uppercase();
        remedy.replace_range(..1, &first);
    }
    Finding::new(
        Code::FeedBothEdges,
        key_place(wall, "power", "feeds"),
        format!("feeding both edges lifts the lowest pixel on {}", called(wall, &way.panels)),
        format!(
            "With the same strips fed at their other edge as well, through wires as long, the lowest \
             pixel gets {then} for {now} at a brightness of {}{enough}",
            wall.power.brightness_limit
        ),
        remedy + ".",
    )
}

fn trim(wall: &Wall, ways: &Ways) -> Option<Finding> {
    let trim = ways.trim?;
    Some(Finding::new(
        Code::TrimUp,
        key_place(wall, "power", "trim_volts"),
        format!("the supplies set to {trim} keep every limit of the copper"),
        format!(
            "They are set to {} now. The strip takes {} at most; a supply's trimmer mostly reaches a tenth \
             above its rating (common practice, no source)",
            wall.power.trim_volts, wall.strip.max_volts
        ),
        format!(
            "Set trim_volts = {} in [power], and turn the trimmer with a meter on the supply's output and \
             the strips not connected.",
            trim.0
        ),
    ))
}

fn called(wall: &Wall, panels: &[usize]) -> String {
    names(&panels.iter().map(|panel| wall.panels[*panel].name.as_str()).collect::<Vec<_>>())
}
