//! `[book]`, `[cuts]` and `[show]`.

use glowloom_units::{Chromaticity, Seconds};

use super::{chromaticity, share};
use crate::text::Written;
use crate::text::keys::{keys, section};
use crate::text::values::Value;
use crate::wall::{CutBy, Filter, Paper};

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
        /// How pictures are made smaller: `"area"`, or `"sharp"` (Lanczos) with crisper edges; absent: `"area"`.
        filter: Filter = |v| v.choice(&[("area", Filter::Area), ("sharp", Filter::Sharp)]),
        /// When it is dimmed: a list of `{ from, to, brightness }`.
        quiet_hours: Vec<Written<QuietHours>> = |v| v.list(0..=100, |v| {
            v.inline("a table, such as { from = \"23:00\", to = \"07:00\", brightness = 0 }", QuietHours::read)
        }),
        /// What it shows, in order: a list of `{ source, seconds }`.
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
        /// Of the ceiling, 0 to 1.
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
