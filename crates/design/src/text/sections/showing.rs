//! `[book]`, `[cuts]` and `[show]`.

use glowloom_units::{Chromaticity, Seconds};

use super::{chromaticity, share};
use crate::text::Written;
use crate::text::keys::{keys, section};
use crate::text::values::Value;
use crate::wall::{CutBy, Filter, Paper, Weekday};

section! {
    /// `[book]`
    Book {
        /// `"a4"` or `"letter"`.
        paper: Paper = |v| v.choice(&[("a4", Paper::A4), ("letter", Paper::Letter)]),
        /// Address at which phones find the book's page, such as `"http://192.0.2.10/book/index.html"`: codes on labels open it; absent: they hold its file's name.
        page: String = web_address,
    }
}

section! {
    /// `[cuts]`
    Cuts {
        /// `"wall"` or `"panel"`: whether panels share rolls.
        by: CutBy = |v| v.choice(&[("wall", CutBy::Wall), ("panel", CutBy::Panel)]),
        /// Whether a strip may be joined from two pieces.
        splices: bool = |v| v.flag(),
    }
}

section! {
    /// `[show]`
    Show {
        /// Of the ceiling, 0 to 1.
        brightness: f64 = share,
        /// How far colours are from grey, times so much, 0 to 2; absent: 1, as pictures are.
        saturation: f64 = |v| v.number(0.0..=2.0),
        /// CIE 1931 x and y of what is white in pictures: `[0.3457, 0.3585]` is warmer; absent: `[0.3127, 0.329]`.
        white_point: Chromaticity = chromaticity,
        /// Whether bytes are dithered in time from 50 frames a second on; absent: `true`.
        dither: bool = |v| v.flag(),
        /// Whether pixels near a feed are dimmed to match those that the copper's drop dims, down to half: exact at `typical_level`, while pictures so dim that no pixel lacks volts become less even; absent: `false`.
        even_out: bool = |v| v.flag(),
        /// How pictures are made smaller: `"area"`, or `"sharp"` (Lanczos) with crisper edges; absent: `"area"`.
        filter: Filter = |v| v.choice(&[("area", Filter::Area), ("sharp", Filter::Sharp)]),
        /// When it is dimmed while the running order plays: a list of `{ from, to, brightness }`; the lowest that holds counts.
        quiet_hours: Vec<Written<QuietHours>> = |v| v.list(0..=100, |v| {
            v.inline("a table, such as { from = \"23:00\", to = \"07:00\", brightness = 0 }", QuietHours::read)
        }),
        /// What it shows, in order, over and over: a list of `{ source, seconds, .. }`. While no entry is due, the wall is dark.
        running_order: Vec<Written<Scene>> = |v| v.list(0..=10_000, |v| {
            v.inline("a table, such as { source = \"tide.gif\", seconds = 20 }", Scene::read)
        }),
    }
}

section! {
    /// Hours in which the wall is dimmed.
    QuietHours {
        /// `"23:00"`.
        from: u32 = time_of_day,
        /// `"07:00"`; before `from`: the next morning.
        to: u32 = time_of_day,
        /// Of the ceiling, 0 to 1; reached evenly for the eye, black to full in a minute.
        brightness: f64 = share,
    }
}

section! {
    /// One entry of the running order.
    Scene {
        /// A file beside the wall file, a picture made by code, or words such as `text:Open` or `clock`.
        source: String = |v| v.text(),
        /// How long, s; absent: 20.
        seconds: Seconds = |v| v.quantity(Seconds, |s: Seconds| s.0, 0.01..=1e9),
        /// How often it plays from its beginning, `seconds` each time, before the next has its turn; absent: 1.
        repeats: u32 = |v| v.count(1..=100_000),
        /// Due from this time of day on, such as `"17:30"`, by the computer's clock; absent: midnight.
        from: u32 = time_of_day,
        /// Due until this time of day; before `from`: the next morning; absent: midnight.
        to: u32 = time_of_day,
        /// Due on these days alone: a list of `"mon"` to `"sun"`; hours over midnight belong to the day on which they begin; absent: every day.
        days: Vec<Written<Weekday>> = |v| v.list(1..=7, |v| v.choice(Weekday::WORDS)),
        /// How long it fades in over what was there before, s, no longer than `seconds`; absent: 0.
        fade: Seconds = |v| v.quantity(Seconds, |s: Seconds| s.0, 0.0..=60.0),
        /// A second source laid over it, such as `"clock"`: it covers as it is bright, and where it is black what is below is seen.
        over: String = |v| v.text(),
        /// How much of what is laid over it is seen, 0 to 1; absent: 1.
        strength: f64 = share,
        /// When the source fails or stalls: `"keep"` its last frame, go on to the `"next"` entry, or the name of another source to show instead; absent: `"keep"`.
        on_failure: String = |v| v.text(),
    }
}

/// Letters of an address that a code of a label's size holds in squares that a phone still tells apart.
const LONGEST_ADDRESS: usize = 80;

/// An address without a part behind `#`.
fn web_address(mut v: Value<'_, '_, '_>) -> Option<String> {
    let wanted = "an address such as \"http://192.0.2.10/book/index.html\", of at most 80 plain characters and \
                  with no `#`";
    let Some(text) = v.value.get_ref().as_str() else {
        v.wrong_type(wanted);
        return None;
    };
    let plain = |c: char| c.is_ascii_graphic() && !"#\"<>\\^`{|}".contains(c);
    let behind = text.strip_prefix("http://").or_else(|| text.strip_prefix("https://"));
    let sound = behind
        .is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_alphanumeric() || c == '['))
        && text.chars().all(plain)
        && text.len() <= LONGEST_ADDRESS;
    if !sound {
        v.out_of_range(wanted);
        return None;
    }
    Some(text.to_owned())
}

/// Minutes since midnight.
fn time_of_day(mut v: Value<'_, '_, '_>) -> Option<u32> {
    let wanted = "a time of day, such as \"23:00\"";
    let Some(text) = v.value.get_ref().as_str() else {
        v.wrong_type(wanted);
        return None;
    };
    let minutes = text.trim().split_once(':').and_then(|(hours, minutes)| {
        let digits = |t: &str| t.len() == 2 && t.bytes().all(|b| b.is_ascii_digit());
        if !digits(hours) || !digits(minutes) {
            return None;
        }
        let (hours, minutes): (u32, u32) = (hours.parse().ok()?, minutes.parse().ok()?);
        (hours < 24 && minutes < 60).then_some(hours * 60 + minutes)
    });
    if minutes.is_none() {
        v.out_of_range(wanted);
    }
    minutes
}
