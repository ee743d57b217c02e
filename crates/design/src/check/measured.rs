//! Readings of a meter: each of a panel and a place that there is, or of a roll on the bench.

use glowloom_units::{Amps, Volts};

use super::{Wrong, or};
use crate::diagnostic::{code, nearest};
use crate::text::{self, Text, Written};
use crate::wall::{Current, Edge, Figure, Lit, Measured, Panel, Subject, Tips};

/// Of a meter that is held in the hand, of what it shows and beside that, V (common practice, no source).
const VOLTS_ERROR: (f64, Volts) = (0.005, Volts(0.01));
/// The same of a clamp for direct current, A (common practice, no source).
const AMPS_ERROR: (f64, Amps) = (0.02, Amps(0.05));

/// `None` where one of them is wrong.
pub fn measured(text: &Text, panels: Option<&[Panel]>, wrong: &mut Wrong) -> Option<Vec<Measured>> {
    let limit = text.power.as_ref().and_then(|power| power.brightness_limit.as_ref());
    let limit = or(limit, 1.0);
    // Feeds are not laid out where panels do not fit, nor where there are more than strips.
    let unfed = [code::OUTSIDE_PICTURE, code::PANELS_OVERLAP, code::TOO_MANY_FEEDS];
    let fed = text.wall.is_some() && !wrong.0.iter().any(|d| unfed.contains(&d.code));
    let entries = text.measured.iter().enumerate();
    let checked: Vec<Option<Measured>> = entries
        .map(|(number, entry)| {
            let of_bench = or(entry.bench.as_ref(), false);
            if mixed(entry, of_bench, wrong) {
                return None;
            }
            if of_bench {
                bench(number, entry, wrong)
            } else {
                on_panel(number, entry, panels, (limit, fed), wrong)
            }
        })
        .collect();
    checked.into_iter().collect()
}

/// Says which keys are of the other kind of reading.
fn mixed(entry: &text::Measured, of_bench: bool, wrong: &mut Wrong) -> bool {
    let before = wrong.0.len();
    if of_bench {
        for (key, span) in entry.of_panel() {
            let remedy = match key {
                "volts" => "write `volts_at_start` and `volts_at_end` in its place".to_owned(),
                _ => format!("take `{key}` out, or take `bench` out if a panel was read"),
            };
            let message = format!("`{key}` says nothing of a roll on the bench");
            wrong.add(code::MIXED_READING, span, message, "not with `bench = true`", remedy);
        }
    } else {
        for (key, span) in entry.of_bench() {
            let message = format!("`{key}` says nothing of a panel");
            let remedy = format!("write `bench = true` if a roll was read, or take `{key}` out");
            wrong.add(code::MIXED_READING, span, message, "only with `bench = true`", remedy);
        }
    }
    wrong.0.len() > before
}

/// Whether a key is there, right or wrong.
fn there<T>(entry: &text::Measured, key: &str, written: Option<&Written<T>>) -> bool {
    written.is_some() || entry.refused.contains(&key)
}

fn bench(number: usize, entry: &text::Measured, wrong: &mut Wrong) -> Option<Measured> {
    let pixels = required!(entry.pixels, wrong);
    let start = required!(entry.volts_at_start, wrong);
    let end = entry.volts_at_end.as_ref();
    if !there(entry, "volts_at_end", end) && !there(entry, "amps", entry.amps.as_ref()) {
        nothing_read(entry, "`volts_at_end` or `amps`", wrong);
    }
    let (pixels, start) = (pixels?.value, start?.value);
    let tips = Tips::Mark { strip: 1, pixel: pixels - 1 };
    let measured = Measured {
        number,
        subject: Subject::Bench { pixels, dark_pixels: or(entry.dark_pixels.as_ref(), 0) },
        lit: or(entry.showing.as_ref(), Lit::White),
        brightness: or(entry.brightness.as_ref(), 1.0),
        fed_with: Some(start),
        volts: end.map(|end| (tips, volts(entry, end.value))),
        amps: entry.amps.as_ref().map(|read| (Current::Whole, amps(entry, read.value))),
    };
    (entry.refused.is_empty() && (measured.volts.is_some() || measured.amps.is_some()))
        .then_some(measured)
}

fn on_panel(
    number: usize,
    entry: &text::Measured,
    panels: Option<&[Panel]>,
    (limit, fed): (f64, bool),
    wrong: &mut Wrong,
) -> Option<Measured> {
    let name = required!(entry.panel, wrong);
    let (has_volts, has_amps) =
        (there(entry, "volts", entry.volts.as_ref()), there(entry, "amps", entry.amps.as_ref()));
    if !has_volts && !has_amps {
        nothing_read(entry, "`volts` or `amps`", wrong);
        return None;
    }
    let placed = placed(entry, has_volts, has_amps, wrong);
    // Without panels nothing more can be said.
    let panel = named(name?, panels?, wrong);
    let (panel, place) = (panel?, placed?);
    let mut right = entry.refused.is_empty();
    if let Some(place) = place {
        right &= on_strip(place, entry, panel, fed, wrong);
    }
    right.then(|| Measured {
        number,
        subject: Subject::Panel(panel.number),
        lit: or(entry.showing.as_ref(), Lit::White),
        brightness: or(entry.brightness.as_ref(), limit),
        fed_with: entry.volts_at_supply.as_ref().map(|written| written.value),
        volts: entry.volts.as_ref().zip(place).map(|(read, tips)| (tips, volts(entry, read.value))),
        amps: entry.amps.as_ref().map(|read| {
            let current = match place {
                Some(Tips::Pads { strip, edge }) => Current::Feed { strip, edge },
                _ => Current::Whole,
            };
            (current, amps(entry, read.value))
        }),
    })
}

/// The place that an entry names: none, or one whole one. `None` where that is wrong.
fn placed(
    entry: &text::Measured,
    has_volts: bool,
    has_amps: bool,
    wrong: &mut Wrong,
) -> Option<Option<Tips>> {
    let (strip, edge, pixel) = (&entry.strip, &entry.edge, &entry.pixel);
    if let (Some(_), Some(pixel)) = (edge, pixel) {
        wrong.add(
            code::MIXED_READING,
            pixel.span.clone(),
            "a reading names `edge` and `pixel`",
            "one of the two says where the meter was",
            "take one of the two out, or make two entries",
        );
        return None;
    }
    if let Some(pixel) = pixel.as_ref().filter(|_| has_amps) {
        wrong.add(
            code::MIXED_READING,
            pixel.span.clone(),
            "`amps` was read at a pixel",
            "wanted: the current of a feed, or of the whole panel",
            "name the feed by `strip` and `edge`, or leave both out for the whole panel",
        );
        return None;
    }
    let named = |key: &str| entry.refused.contains(&key);
    let part = edge.is_some() || pixel.is_some() || named("edge") || named("pixel");
    let strip_there = strip.is_some() || named("strip");
    if !strip_there && (has_volts || part) {
        wrong.missing("strip", &entry.span);
        return None;
    }
    if strip_there && !part {
        wrong.missing("edge", &entry.span);
        return None;
    }
    match (strip, edge, pixel) {
        (Some(strip), Some(edge), None) => {
            Some(Some(Tips::Pads { strip: strip.value, edge: edge.value }))
        }
        (Some(strip), None, Some(pixel)) => {
            Some(Some(Tips::Pixel { strip: strip.value, pixel: pixel.value }))
        }
        (None, None, None) if !strip_there && !part => Some(None),
        // Something was refused.
        _ => None,
    }
}

fn named<'p>(name: &Written<String>, panels: &'p [Panel], wrong: &mut Wrong) -> Option<&'p Panel> {
    let found = panels.iter().find(|panel| panel.name == name.value);
    if found.is_none() {
        let names = || panels.iter().map(|panel| panel.name.as_str());
        let wanted = match nearest(&name.value, names()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => "not a panel of this wall".to_owned(),
        };
        let some: Vec<&str> = names().take(8).collect();
        let more = if panels.len() > some.len() { " and others" } else { "" };
        wrong.add(
            code::UNKNOWN_VALUE,
            name.span.clone(),
            format!("no panel is called \"{}\"", name.value),
            wanted,
            format!("write one of: {}{more}", some.join(", ")),
        );
    }
    found
}

/// Whether the panel has that place.
fn on_strip(
    place: Tips,
    entry: &text::Measured,
    panel: &Panel,
    fed: bool,
    wrong: &mut Wrong,
) -> bool {
    let before = wrong.0.len();
    let (Tips::Pads { strip, .. } | Tips::Pixel { strip, .. } | Tips::Mark { strip, .. }) = place;
    if strip > panel.strip_count() {
        let span = entry.strip.as_ref().map_or(entry.span.clone(), |w| w.span.clone());
        wrong.add(
            code::NO_SUCH_STRIP,
            span,
            format!("{} has no strip {strip}", panel.name),
            format!("its strips are 1 to {}", panel.strip_count()),
            "name a strip that the panel has",
        );
    } else if let Tips::Pads { strip, edge } = place {
        let here = panel.feeds.iter().any(|feed| (feed.strip, feed.edge) == (strip, edge));
        if let Some(amps) = entry.amps.as_ref().filter(|_| fed && !here) {
            no_feed(amps, strip, edge, panel, wrong);
        }
    }
    if let (Tips::Pixel { pixel, .. }, Some(written)) = (place, &entry.pixel)
        && pixel >= panel.strip_pixels()
    {
        let last = panel.strip_pixels() - 1;
        wrong.add(
            code::OUT_OF_RANGE,
            written.span.clone(),
            format!("a strip of {} has no pixel {pixel}", panel.name),
            format!("its pixels are 0 to {last}"),
            "count from 0 at the end where the data comes in",
        );
    }
    wrong.0.len() == before
}

fn no_feed(amps: &Written<Amps>, strip: u32, edge: Edge, panel: &Panel, wrong: &mut Wrong) {
    let word = |edge: Edge| if edge == Edge::Near { "near" } else { "far" };
    let closest = panel.feeds.iter().min_by_key(|feed| feed.strip.abs_diff(strip));
    let wanted = match closest {
        Some(feed) => format!("the closest is on strip {}, {}", feed.strip, word(feed.edge)),
        None => "the panel has no feed at all".to_owned(),
    };
    wrong.add(
        code::NO_SUCH_FEED,
        amps.span.clone(),
        format!("{} has no feed at the {} end of strip {strip}", panel.name, word(edge)),
        wanted,
        "name the strip and edge of a feed; leave both out for the current of the whole panel",
    );
}

fn nothing_read(entry: &text::Measured, wanted: &str, wrong: &mut Wrong) {
    wrong.add(
        code::MISSING_KEY,
        entry.span.clone(),
        "a reading without a figure",
        format!("wanted: {wanted} here"),
        format!("add {wanted} with what the meter showed"),
    );
}

fn volts(entry: &text::Measured, shown: Volts) -> Figure<Volts> {
    let (share, beside) = VOLTS_ERROR;
    Figure { shown, error: or(entry.volts_error.as_ref(), shown * share + beside) }
}

fn amps(entry: &text::Measured, shown: Amps) -> Figure<Amps> {
    let (share, beside) = AMPS_ERROR;
    Figure { shown, error: or(entry.amps_error.as_ref(), shown * share + beside) }
}
