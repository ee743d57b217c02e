//! Panels: shape, place in the picture, feeds.

use std::collections::{BTreeMap, BTreeSet};

use super::light::Picture;
use super::power::{FEED, feed_wire, wire};
use super::{Wrong, colour, or};
use crate::diagnostic::code;
use crate::text::{self, Text, Written};
use crate::wall::{
    Address, Corner, Direction, Edge, Feed, Jumpers, Panel, Path, Turn, Wire, shared,
};

pub fn panels(text: &Text, picture: Option<&Picture>, wrong: &mut Wrong) -> Option<Vec<Panel>> {
    if text.panels.is_empty() {
        if !text.refused.contains(&"panels") {
            wrong.add(
                code::MISSING_KEY,
                0..0,
                "there is no panel",
                "wanted: at least one [[panels]]",
                "add [[panels]] with name = \"...\" and at = [0, 0]",
            );
        }
        return None;
    }
    let empty = text::PanelShape::default();
    let shape = text.panel.as_ref().unwrap_or(&empty);
    let supplies = text.power.as_ref().and_then(|power| power.supplies_per_panel.as_ref());
    let wall_wire = feed_wire(text, wrong);
    let mut panels: Vec<Panel> = (text.panels.iter().enumerate())
        .filter_map(|(number, written)| panel(number, written, shape, &wall_wire, wrong))
        .collect();
    repeated_names(text, wrong);
    let before = wrong.0.len();
    if let Some(picture) = picture {
        inside(&panels, text, picture, wrong);
    }
    overlaps(&panels, text, wrong);
    // Panels that fit have no more strips than the picture has pixels, so that their feeds fit in
    // memory too; those that do not are only asked about.
    let fit = wrong.0.len() == before && picture.is_some();
    for panel in &mut panels {
        let supplies = supplies_of(panel, supplies, wrong);
        let feeds = feeds_of(panel, supplies, &text.panels[panel.number], text, fit, wrong);
        panel.feeds = feeds;
    }
    (panels.len() == text.panels.len()).then_some(panels)
}

/// A panel's own value before the shared one before the default.
fn own_or_shared<T: Copy>(own: Option<&Written<T>>, shared: Option<&Written<T>>, default: T) -> T {
    own.or(shared).map_or(default, |written| written.value)
}

fn panel(
    number: usize,
    written: &text::Panel,
    shape: &text::PanelShape,
    wall_wire: &Wire,
    wrong: &mut Wrong,
) -> Option<Panel> {
    let (own, mine) = (&written.own, &written.shape);
    let name = required!(own.name, wrong);
    let at = required!(own.at, wrong);
    let columns = mine.columns.as_ref().or(shape.columns.as_ref());
    let rows = mine.rows.as_ref().or(shape.rows.as_ref());
    for (key, found) in [("columns", columns), ("rows", rows)] {
        let refused = mine.refused.contains(&key) || shape.refused.contains(&key);
        if found.is_none() && !refused {
            wrong.missing(key, &own.span);
        }
    }
    let (name, at, columns, rows) = (name?, at?, columns?, rows?);
    let panel = Panel {
        name: name.value.clone(),
        at: at.value,
        turn: or(own.turn.as_ref(), Turn::None),
        columns: columns.value,
        rows: rows.value,
        strips: own_or_shared(mine.strips.as_ref(), shape.strips.as_ref(), Direction::Vertical),
        enter: own_or_shared(mine.enter.as_ref(), shape.enter.as_ref(), Corner::BottomLeft),
        path: own_or_shared(mine.path.as_ref(), shape.path.as_ref(), Path::Serpentine),
        data_lines: own_or_shared(mine.data_lines.as_ref(), shape.data_lines.as_ref(), 1),
        spare_pixels: own_or_shared(mine.spare_pixels.as_ref(), shape.spare_pixels.as_ref(), 0),
        jumpers: own_or_shared(
            mine.jumpers.as_ref(),
            shape.jumpers.as_ref(),
            Jumpers::PowerAndData,
        ),
        strip_spacing: mine
            .strip_spacing
            .as_ref()
            .or(shape.strip_spacing.as_ref())
            .map(|w| w.value),
        shares: colour::shares(mine, shape),
        place: own.place.as_ref().map(|w| w.value),
        // Settled when the protocol is known.
        address: Address::Virtual { port: 0 },
        first_universe: 0,
        universes_end: 0,
        feeds: Vec::new(),
        // A panel's own wire replaces the wall's whole.
        feed_wire: match &own.feed_wire {
            Some(own) => wire(Some(&own.value), FEED, wrong),
            None => wall_wire.clone(),
        },
        number,
    };
    let lines = mine.data_lines.as_ref().or(shape.data_lines.as_ref());
    if let Some(lines) = lines.filter(|lines| lines.value > panel.strip_count()) {
        wrong.add(
            code::TOO_MANY_LINES,
            lines.span.clone(),
            format!(
                "{} data lines for the {} strips of {}",
                lines.value,
                panel.strip_count(),
                panel.name
            ),
            "wanted: at most one data line for each strip",
            format!("write `data_lines = {}` or fewer", panel.strip_count()),
        );
        return None;
    }
    Some(panel)
}

/// How many supplies this panel has; more than strips is said once.
fn supplies_of(panel: &Panel, written: Option<&Written<u32>>, wrong: &mut Wrong) -> u32 {
    let Some(supplies) = written else { return 1 };
    if supplies.value > panel.strip_count() && !wrong.said_within(&supplies.span) {
        wrong.add(
            code::TOO_MANY_SUPPLIES,
            supplies.span.clone(),
            format!(
                "{} supplies for the {} strips of {}",
                supplies.value,
                panel.strip_count(),
                panel.name
            ),
            "wanted: at most one supply for each strip",
            format!("write `supplies_per_panel = {}` or fewer", panel.strip_count()),
        );
    }
    supplies.value.min(panel.strip_count())
}

/// A panel's own feeds, or the wall's, or one. Where panels do not `fit`, feeds that are spread are
/// counted and left out.
fn feeds_of(
    panel: &Panel,
    supplies: u32,
    written: &text::Panel,
    text: &Text,
    fit: bool,
    wrong: &mut Wrong,
) -> Vec<Feed> {
    let shared_feeds = text.power.as_ref().and_then(|power| power.feeds.as_ref());
    let default = &panel.feed_wire;
    match written.own.feeds.as_ref().or(shared_feeds) {
        None => spread(panel, 1, supplies, default),
        Some(Written { value: text::Feeds::List(list), .. }) => {
            listed(panel, list, supplies, default, wrong)
        }
        Some(Written { value: text::Feeds::Count(count), span }) => {
            let strips = panel.strip_count();
            if *count <= strips {
                return if fit { spread(panel, *count, supplies, default) } else { Vec::new() };
            }
            if !wrong.said_within(span) {
                wrong.add(
                    code::TOO_MANY_FEEDS,
                    span.clone(),
                    format!("{count} feeds for the {strips} strips of {}", panel.name),
                    "wanted: at most one feed for each strip of the near edge",
                    format!("write `feeds = {strips}` or fewer, or list feeds at both edges"),
                );
            }
            Vec::new()
        }
    }
}

/// `count` feeds over the near edge: shared out among the supplies' zones, and within a zone of
/// `s` strips feed i (from 0) of n on strip ceil((2i+1)s / 2n).
fn spread(panel: &Panel, count: u32, supplies: u32, wire: &Wire) -> Vec<Feed> {
    let mut feeds = Vec::with_capacity(count as usize);
    let mut first = 0;
    let zones = shared(panel.strip_count(), supplies).zip(shared(count, supplies));
    for (supply, (strips, count)) in (1..).zip(zones) {
        for i in 0..count {
            // In 64 bits: 65,535 strips and feeds pass 32.
            let (strips, count, i) = (u64::from(strips), u64::from(count), u64::from(i));
            let within = ((2 * i + 1) * strips).div_ceil(2 * count);
            let strip = first + u32::try_from(within).unwrap_or(u32::MAX);
            feeds.push(Feed { strip, edge: Edge::Near, supply, wire: wire.clone() });
        }
        first += strips;
    }
    feeds
}

fn listed(
    panel: &Panel,
    list: &[Written<text::Feed>],
    supplies: u32,
    default: &Wire,
    wrong: &mut Wrong,
) -> Vec<Feed> {
    let mut feeds: BTreeMap<(u32, Edge), Feed> = BTreeMap::new();
    for entry in list {
        let feed = &entry.value;
        let strip = required!(feed.strip, wrong);
        // A feed's own wire replaces `feed_wire` whole.
        let own_wire = feed.wire.as_ref().map(|w| wire(Some(&w.value), FEED, wrong));
        let Some(strip) = strip else { continue };
        if strip.value > panel.strip_count() {
            wrong.add(
                code::NO_SUCH_STRIP,
                strip.span.clone(),
                format!("{} has no strip {}", panel.name, strip.value),
                format!("its strips are 1 to {}", panel.strip_count()),
                "name a strip that the panel has",
            );
            continue;
        }
        let edge = or(feed.edge.as_ref(), Edge::Near);
        let supply = zone_of(strip.value, panel.strip_count(), supplies);
        let wire = own_wire.unwrap_or_else(|| default.clone());
        let here = Feed { strip: strip.value, edge, supply, wire };
        if feeds.insert((strip.value, edge), here).is_some() {
            let edge = if edge == Edge::Near { "near" } else { "far" };
            wrong.add(
                code::REPEATED_FEED,
                entry.span.clone(),
                format!("strip {} is fed twice at its {edge} end", strip.value),
                "one feed for each strip end",
                "take one of the two out",
            );
        }
    }
    feeds.into_values().collect()
}

/// The supply, from 1, in whose zone a strip lies.
fn zone_of(strip: u32, strips: u32, supplies: u32) -> u32 {
    let mut last = 0;
    for (supply, zone) in (1..).zip(shared(strips, supplies)) {
        last += zone;
        if strip <= last {
            return supply;
        }
    }
    supplies
}

fn repeated_names(text: &Text, wrong: &mut Wrong) {
    let mut first: BTreeMap<&str, &Written<String>> = BTreeMap::new();
    for name in text.panels.iter().filter_map(|panel| panel.own.name.as_ref()) {
        if first.insert(&name.value, name).is_some() {
            wrong.add(
                code::REPEATED_NAME,
                name.span.clone(),
                format!("two panels are called \"{}\"", name.value),
                "wanted: a name of its own",
                "give each panel a name of its own",
            );
        }
    }
}

/// Each panel lies inside the picture.
fn inside(panels: &[Panel], text: &Text, picture: &Picture, wrong: &mut Wrong) {
    for panel in panels {
        let written = &text.panels[panel.number];
        let (columns, rows) = panel.hung();
        let (right, bottom) = (panel.at.0 + columns, panel.at.1 + rows);
        if right > picture.columns || bottom > picture.rows {
            let span = written.own.at.as_ref().map_or(written.own.span.clone(), |w| w.span.clone());
            wrong.add(
                code::OUTSIDE_PICTURE,
                span,
                format!(
                    "{} takes up columns {} to {} and rows {} to {}",
                    panel.name,
                    panel.at.0,
                    right - 1,
                    panel.at.1,
                    bottom - 1
                ),
                format!(
                    "the picture has columns 0 to {} and rows 0 to {}",
                    picture.columns - 1,
                    picture.rows - 1
                ),
                "move the panel with `at`, make it smaller, or make the picture larger",
            );
        }
    }
}

/// Panels in the order of their first column: each is held against those that it may still touch,
/// so a thousand panels cost little. One overlap of a panel is told; mending it may mend the rest.
fn overlaps(panels: &[Panel], text: &Text, wrong: &mut Wrong) {
    let mut order: Vec<&Panel> = panels.iter().collect();
    order.sort_by_key(|panel| panel.at.0);
    let mut told = BTreeSet::new();
    for (i, a) in order.iter().enumerate() {
        let end = a.at.0 + a.hung().0;
        for b in order[i + 1..].iter().take_while(|b| b.at.0 < end) {
            let rows_meet = a.at.1 < b.at.1 + b.hung().1 && b.at.1 < a.at.1 + a.hung().1;
            if !rows_meet {
                continue;
            }
            let (first, second) = if a.number < b.number { (a, b) } else { (b, a) };
            if !told.insert(second.number) {
                continue;
            }
            let written = &text.panels[second.number].own;
            let span = written.at.as_ref().map_or(written.span.clone(), |w| w.span.clone());
            let (column, row) = (a.at.0.max(b.at.0), a.at.1.max(b.at.1));
            wrong.add(
                code::PANELS_OVERLAP,
                span,
                format!("{} lies over {}", second.name, first.name),
                format!("both show the pixel in column {column}, row {row}"),
                "move one of the two with `at`, or make one smaller",
            );
        }
    }
}
