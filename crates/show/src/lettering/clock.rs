//! A clock: what the time looks like on a wall. The time itself is handed in.

use std::fmt::{self, Write};

use super::error::LetteringError;
use super::face::Face;
use super::layout::{Size, sizes};
use super::light::Light;
use crate::frame::LinearFrame;
use crate::source::Drawn;

/// A moment as a clock on the wall reads it, in local time (Gregorian calendar).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reading {
    /// The year, 0 to 9999.
    pub year: u16,
    /// The month, 1 to 12.
    pub month: u8,
    /// The day of the month, 1 to 31.
    pub day: u8,
    /// The hour, 0 to 23.
    pub hour: u8,
    /// The minute, 0 to 59.
    pub minute: u8,
    /// The second, 0 to 59; 60 in a leap second.
    pub second: u8,
    /// Nanoseconds into the second.
    pub nanosecond: u32,
}

/// How hours are told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Hours {
    /// 00:00 to 23:59.
    #[default]
    TwentyFour,
    /// 12:00 am, 1:00 am to 11:59 pm.
    Twelve,
}

/// How seconds are told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Seconds {
    /// Not at all.
    #[default]
    None,
    /// By digits after the minutes.
    Digits,
    /// By a line along the foot of the wall that grows smoothly to the full width in a minute.
    Sweep,
}

/// In which order a date is told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum DateOrder {
    /// 2026-11-26 (ISO 8601); where there is no room, 11-26.
    #[default]
    YearMonthDay,
    /// 26.11.2026; where there is no room, 26.11.
    DayMonthYear,
    /// 11/26/2026; where there is no room, 11/26.
    MonthDayYear,
}

/// What a clock tells, and how it looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClockStyle {
    /// The face; `None`: the one that gives the largest digits.
    pub face: Option<Face>,
    /// How hours are told.
    pub hours: Hours,
    /// How seconds are told.
    pub seconds: Seconds,
    /// Whether the date stands under the time, and how.
    pub date: Option<DateOrder>,
    /// The digits and the line of seconds.
    pub colour: Light,
    /// What is behind them.
    pub ground: Light,
}

impl Default for ClockStyle {
    /// Hours and minutes, white on black.
    fn default() -> Self {
        Self {
            face: None,
            hours: Hours::default(),
            seconds: Seconds::default(),
            date: None,
            colour: Light::WHITE,
            ground: Light::BLACK,
        }
    }
}

/// One line: its size, and the column and row of the wall where its first letter's cell begins; parts of
/// the cell that are never lit may lie beyond the wall.
#[derive(Clone, Copy, Debug)]
struct Line {
    size: Size,
    left: i64,
    top: i64,
    long: bool,
}

/// A clock laid out for one wall.
#[derive(Debug)]
pub struct ClockPicture {
    style: ClockStyle,
    time: Line,
    date: Option<Line>,
    drawn: Option<Reading>,
}

/// What a line's letters cover at most, in pixels of the cut.
struct Extent {
    left: u32,
    top: u32,
    width: u32,
    height: u32,
}

impl ClockPicture {
    /// Lays a clock out for a wall of `columns` x `rows`: the largest digits with which all that was
    /// asked for fits. The year, and am or pm, are left out where they do not fit in any size.
    ///
    /// # Errors
    /// [`LetteringError::WallTooSmall`].
    pub fn new(style: ClockStyle, (columns, rows): (u32, u32)) -> Result<Self, LetteringError> {
        let all = sizes(style.face, rows.saturating_mul(2));
        let dates: &[bool] = if style.date.is_some() { &[true, false] } else { &[false] };
        let marks: &[bool] = if style.hours == Hours::Twelve { &[true, false] } else { &[false] };
        for &mark in marks {
            for &year in dates {
                for &size in &all {
                    let found = Self::laid(style, size, &all, (mark, year), (columns, rows));
                    if let Some(picture) = found {
                        return Ok(picture);
                    }
                }
            }
        }
        Err(Self::too_small(style, (columns, rows)))
    }

    /// With the time in this size, `None` where it does not fit; the date in the largest size up to it
    /// that does.
    fn laid(
        style: ClockStyle,
        size: Size,
        all: &[Size],
        (mark, year): (bool, bool),
        (columns, rows): (u32, u32),
    ) -> Option<Self> {
        let foot = if style.seconds == Seconds::Sweep { 2 } else { 0 };
        let room = rows.checked_sub(foot)?;
        let time = extent(size, &time_text(style, mark, WIDEST))?;
        let left = room.checked_sub(time.height).filter(|_| time.width <= columns)?;
        let place = |size: Size, extent: &Extent, top: u32, long: bool| Line {
            size,
            left: i64::from((columns - extent.width) / 2) - i64::from(extent.left),
            top: i64::from(top) - i64::from(extent.top),
            long,
        };
        let Some(order) = style.date else {
            let line = place(size, &time, left / 2, mark);
            return Some(Self { style, time: line, date: None, drawn: None });
        };
        let mut smaller = all.iter().filter(|date| date.height() <= size.height());
        let (date_size, date) = smaller.find_map(|&date_size| {
            let date = extent(date_size, &date_text(order, year, WIDEST))?;
            (date.width <= columns && date.height < left).then_some((date_size, date))
        })?;
        // What is left over goes above, between and below.
        let over = (left - date.height - 1) / 3;
        let below = over + time.height + 1 + over;
        Some(Self {
            style,
            time: place(size, &time, over, mark),
            date: Some(place(date_size, &date, below, year)),
            drawn: None,
        })
    }

    fn too_small(style: ClockStyle, wall: (u32, u32)) -> LetteringError {
        let foot = if style.seconds == Seconds::Sweep { 2 } else { 0 };
        let smallest = sizes(style.face, 8);
        let smallest = smallest.last().copied();
        let of = |text: &Buffer| smallest.and_then(|size| extent(size, text));
        let time = of(&time_text(style, false, WIDEST));
        let date = style.date.and_then(|order| of(&date_text(order, false, WIDEST)));
        let wide = time.iter().chain(&date).map(|line| line.width).max().unwrap_or(1);
        let high = time.map_or(1, |line| line.height) + date.map_or(0, |line| line.height + 1);
        let what = match (style.date.is_some(), style.seconds) {
            (false, Seconds::None) => "a clock",
            (false, Seconds::Digits) => "a clock with seconds",
            (false, Seconds::Sweep) => "a clock with a line of seconds",
            (true, Seconds::None) => "a clock with a date",
            (true, _) => "a clock with seconds and a date",
        };
        LetteringError::WallTooSmall { what, wall, least: (wide, high + foot) }
    }

    /// Draws what the clock reads. Takes no memory. Draws nothing where nothing has changed since the
    /// last call, unless `into` is blank. A frame of another size shows the part that falls on it.
    pub fn draw(&mut self, now: &Reading, into: &mut LinearFrame) -> Drawn {
        if self.drawn.is_some_and(|before| !self.differs(&before, now)) && !into.is_blank() {
            return Drawn::Same;
        }
        self.drawn = Some(*now);
        let ClockStyle { colour, ground, .. } = self.style;
        for pixel in into.values_mut().chunks_exact_mut(3) {
            pixel.copy_from_slice(&ground.0);
        }
        put(self.time, &time_text(self.style, self.time.long, *now), colour, into);
        if let (Some(line), Some(order)) = (self.date, self.style.date) {
            put(line, &date_text(order, line.long, *now), colour, into);
        }
        if self.style.seconds == Seconds::Sweep {
            sweep(now, colour, ground, into);
        }
        Drawn::New
    }

    fn differs(&self, before: &Reading, now: &Reading) -> bool {
        let seconds = |reading: &Reading| match self.style.seconds {
            Seconds::None => (0, 0),
            Seconds::Digits => (reading.second, 0),
            Seconds::Sweep => (reading.second, reading.nanosecond),
        };
        let whole = |reading: &Reading| Reading { second: 0, nanosecond: 0, ..*reading };
        seconds(before) != seconds(now) || whole(before) != whole(now)
    }
}

/// The line of seconds: whole pixels, and the last one as bright as it is covered.
fn sweep(now: &Reading, colour: Light, ground: Light, into: &mut LinearFrame) {
    let seconds = f64::from(now.second) + f64::from(now.nanosecond) / 1e9;
    let columns = into.columns() as usize;
    let lit = (seconds / 60.0).min(1.0) * columns as f64;
    let foot = into.values_mut().len().saturating_sub(columns * 3);
    for (column, pixel) in into.values_mut()[foot..].chunks_exact_mut(3).enumerate() {
        pixel.copy_from_slice(&ground.towards(colour, lit - column as f64).0);
    }
}

/// Draws one line.
fn put(line: Line, text: &Buffer, colour: Light, into: &mut LinearFrame) {
    let (columns, rows) = (i64::from(into.columns()), i64::from(into.rows()));
    let scale = i64::from(line.size.scale);
    let cut = line.size.cut;
    let values = into.values_mut();
    for row in 0..i64::from(cut.height) * scale {
        let at = line.top + row;
        if !(0..rows).contains(&at) {
            continue;
        }
        for (nth, letter) in text.letters().enumerate() {
            let left = line.left + nth as i64 * i64::from(cut.width) * scale;
            for column in 0..i64::from(cut.width) * scale {
                let (x, lit) =
                    (left + column, cut.lit(letter, (column / scale) as u32, (row / scale) as u32));
                if !lit || !(0..columns).contains(&x) {
                    continue;
                }
                let index = (at * columns + x) as usize * 3;
                if let Some(pixel) = values.get_mut(index..index + 3) {
                    pixel.copy_from_slice(&colour.0);
                }
            }
        }
    }
}

/// Stands for any reading: what is measured are all digits laid over each other.
const WIDEST: Reading =
    Reading { year: 2000, month: 12, day: 20, hour: 20, minute: 0, second: 0, nanosecond: 0 };

/// What a text covers at most, whichever digits it has, in pixels of the wall.
fn extent(Size { cut, scale }: Size, text: &Buffer) -> Option<Extent> {
    let marks = text.letters().filter(|letter| !letter.is_ascii_digit());
    let also = if marks.clone().any(|letter| letter == 'p') { "a" } else { "" };
    let ink = cut.ink(('0'..='9').chain(marks).chain(also.chars()))?;
    let letters = text.letters().count() as u32;
    let ends = |letter: Option<char>| {
        // A space stands where the tens of an hour may be.
        match letter.filter(|letter| !letter.is_ascii_digit() && *letter != ' ') {
            Some(letter) => cut.letter_ink(letter),
            None => cut.ink('0'..='9'),
        }
    };
    let (first, last) = (ends(text.letters().next())?, ends(text.letters().last())?);
    let width = (letters - 1) * cut.width + last.right + 1 - first.left;
    Some(Extent {
        left: first.left.saturating_mul(scale),
        top: ink.top.saturating_mul(scale),
        width: width.saturating_mul(scale),
        height: (ink.bottom - ink.top + 1).saturating_mul(scale),
    })
}

/// A short text without memory of its own on the heap.
#[derive(Clone, Copy, Default)]
struct Buffer {
    bytes: [u8; 16],
    length: usize,
}

impl Buffer {
    fn letters(&self) -> impl Iterator<Item = char> + Clone {
        self.bytes.iter().take(self.length).map(|&byte| char::from(byte))
    }
}

impl Write for Buffer {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        let room = self.bytes.get_mut(self.length..self.length + text.len()).ok_or(fmt::Error)?;
        room.copy_from_slice(text.as_bytes());
        self.length += text.len();
        Ok(())
    }
}

/// The time in as many letters whatever it is, so that nothing moves.
fn time_text(style: ClockStyle, mark: bool, now: Reading) -> Buffer {
    let mut text = Buffer::default();
    let (minute, second) = (now.minute % 100, now.second % 100);
    // The longest, "12:34:56 pm", has room.
    let _ = match style.hours {
        Hours::TwentyFour => write!(text, "{:02}:{minute:02}", now.hour % 100),
        Hours::Twelve => write!(text, "{:>2}:{minute:02}", (now.hour + 11) % 12 + 1),
    };
    let _ = match style.seconds {
        Seconds::Digits => write!(text, ":{second:02}"),
        Seconds::None | Seconds::Sweep => Ok(()),
    };
    let _ = match (mark, now.hour < 12) {
        (false, _) => Ok(()),
        (true, true) => write!(text, " am"),
        (true, false) => write!(text, " pm"),
    };
    text
}

fn date_text(order: DateOrder, year: bool, now: Reading) -> Buffer {
    let mut text = Buffer::default();
    let (full, month, day) = (now.year % 10_000, now.month % 100, now.day % 100);
    // The longest has ten letters.
    let _ = match (order, year) {
        (DateOrder::YearMonthDay, true) => write!(text, "{full:04}-{month:02}-{day:02}"),
        (DateOrder::YearMonthDay, false) => write!(text, "{month:02}-{day:02}"),
        (DateOrder::DayMonthYear, true) => write!(text, "{day:02}.{month:02}.{full:04}"),
        (DateOrder::DayMonthYear, false) => write!(text, "{day:02}.{month:02}"),
        (DateOrder::MonthDayYear, true) => write!(text, "{month:02}/{day:02}/{full:04}"),
        (DateOrder::MonthDayYear, false) => write!(text, "{month:02}/{day:02}"),
    };
    text
}

#[cfg(test)]
mod tests;
