//! What the wall shows, and when.

use std::ops::Range;

use glowloom_units::Seconds;

use super::{Wrong, colour, or};
use crate::diagnostic::code;
use crate::text::{self, Written};
use crate::wall::{Filter, OnFailure, Over, QuietHours, Scene, Show, Weekday};

/// Minutes of a day.
const DAY: u32 = 24 * 60;

/// `None` if a part of it is wrong.
pub fn show(section: Option<&text::Show>, wrong: &mut Wrong) -> Option<Show> {
    let empty = text::Show::default();
    let section = section.unwrap_or(&empty);
    let quiet = entries(section.quiet_hours.as_ref(), |entry| quiet_hours(entry, wrong));
    let order = entries(section.running_order.as_ref(), |entry| scene(entry, wrong));
    Some(Show {
        brightness: or(section.brightness.as_ref(), 0.8),
        saturation: or(section.saturation.as_ref(), 1.0),
        white_point: colour::white_point(section.white_point.as_ref(), wrong),
        dither: or(section.dither.as_ref(), true),
        even_out: or(section.even_out.as_ref(), false),
        filter: or(section.filter.as_ref(), Filter::Area),
        quiet_hours: quiet?,
        running_order: order?,
    })
}

fn quiet_hours(entry: &text::QuietHours, wrong: &mut Wrong) -> Option<QuietHours> {
    let from = required!(entry.from, wrong);
    let to = required!(entry.to, wrong);
    let (from, to) = (from?, to?);
    if from.value == to.value {
        same_time(to.span.clone(), "write another time; for the whole day set `brightness`", wrong);
    }
    let brightness = or(entry.brightness.as_ref(), 0.0);
    Some(QuietHours { from: from.value, to: to.value, brightness })
}

fn scene(entry: &text::Scene, wrong: &mut Wrong) -> Option<Scene> {
    let source = required!(entry.source, wrong);
    let seconds = or(entry.seconds.as_ref(), Seconds(20.0));
    let (from, to) = hours(entry, wrong);
    let days = days(entry, wrong);
    let fade = or(entry.fade.as_ref(), Seconds(0.0));
    if let Some(written) = entry.fade.as_ref().filter(|_| fade > seconds) {
        wrong.add(
            code::OUT_OF_RANGE,
            written.span.clone(),
            format!("`fade` is {} s, and the entry plays for {} s", fade.0, seconds.0),
            format!("wanted: from 0 to {} s", seconds.0),
            "write a shorter fade, or more `seconds`",
        );
    }
    let over = over(entry, wrong);
    let on_failure = match entry.on_failure.as_ref().map(|w| w.value.as_str()) {
        None | Some("keep") => OnFailure::Keep,
        Some("next") => OnFailure::Next,
        Some(source) => OnFailure::Source(source.to_owned()),
    };
    Some(Scene {
        source: source?.value.clone(),
        seconds,
        repeats: or(entry.repeats.as_ref(), 1),
        from,
        to,
        days,
        fade,
        over,
        on_failure,
    })
}

fn hours(entry: &text::Scene, wrong: &mut Wrong) -> (u32, u32) {
    let from = or(entry.from.as_ref(), 0);
    // Midnight as an end is that of the day.
    let to = entry.to.as_ref().map_or(DAY, |to| if to.value == 0 { DAY } else { to.value });
    if let Some(written) = entry.to.as_ref().or(entry.from.as_ref())
        && from == to % DAY
        && entry.from.is_some() == entry.to.is_some()
    {
        same_time(
            written.span.clone(),
            "write another time; for the whole day take both out",
            wrong,
        );
    }
    (from, to)
}

fn same_time(span: Range<usize>, remedy: &str, wrong: &mut Wrong) {
    let message = "`to` is the same time as `from`";
    wrong.add(code::OUT_OF_RANGE, span, message, "wanted: another time than `from`", remedy);
}

fn days(entry: &text::Scene, wrong: &mut Wrong) -> Vec<Weekday> {
    let Some(written) = &entry.days else {
        return Weekday::WORDS.iter().map(|word| word.1).collect();
    };
    let mut days: Vec<Weekday> = Vec::new();
    for day in &written.value {
        if days.contains(&day.value) {
            wrong.add(
                code::SECOND_VALUE,
                day.span.clone(),
                "`days` names this day a second time",
                "each day once",
                "take one of the two out",
            );
        }
        days.push(day.value);
    }
    days.sort_unstable();
    days
}

fn over(entry: &text::Scene, wrong: &mut Wrong) -> Option<Over> {
    let strength = or(entry.strength.as_ref(), 1.0);
    if let (Some(written), None) = (&entry.strength, &entry.over)
        && !entry.refused.contains(&"over")
    {
        wrong.add(
            code::MISSING_KEY,
            written.span.clone(),
            "`strength` stands without `over`",
            "wanted: `over = ...` beside it",
            "add `over = \"clock\"` or another source, or take `strength` out",
        );
    }
    let source = entry.over.as_ref()?.value.clone();
    Some(Over { source, strength })
}

/// Every entry of a list, checked; `None` if one is wrong, after all were looked at.
fn entries<R, T>(
    written: Option<&Written<Vec<Written<R>>>>,
    mut check: impl FnMut(&R) -> Option<T>,
) -> Option<Vec<T>> {
    let list = written.map(|w| w.value.as_slice()).unwrap_or_default();
    let checked: Vec<Option<T>> = list.iter().map(|entry| check(&entry.value)).collect();
    checked.into_iter().collect()
}
