//! Sources that are written as words: `text:Hello`, `clock`, `frames,rate=25`. What is chosen stands behind
//! the first word, each choice after a comma, as a name alone or with its value after `=`.

pub mod films;
mod sound;

use std::num::NonZeroU32;
use std::str::FromStr;

use glowloom_drive::{FramesPerSecond, Rate, Timepiece, Zone};
use glowloom_show::Source;
use glowloom_show::lettering::{
    ClockPicture, ClockStyle, DateOrder, Face, Flow, Hours, LetteringError, Light, Seconds, Text,
    TextStyle,
};
use glowloom_show::made::PixelsPerSecond;

use crate::failure::Failure;
use crate::stage;
use films::Filmed;

pub use self::sound::Sound;

/// A source in words that has been understood.
#[derive(Clone, Debug)]
pub enum Worded {
    /// Something to read.
    Lettering(Lettering),
    /// Something to hear.
    Sound(Sound),
    /// Raw frames on standard input, at a rate if one is given.
    Frames { rate: Option<Rate> },
    /// What ffmpeg reads.
    Filmed(Filmed),
}

/// Something to read.
#[derive(Clone, Debug)]
pub enum Lettering {
    /// A text.
    Text { text: String, style: TextStyle },
    /// The time.
    Clock { style: ClockStyle, zone: Zone },
}

impl Lettering {
    /// The source of it on a wall of so many columns and rows.
    pub fn source(&self, wall: (u32, u32)) -> Result<Box<dyn Source>, LetteringError> {
        Ok(match self {
            Self::Text { text, style } => Box::new(Text::new(text, *style, wall)?),
            Self::Clock { style, zone } => {
                Box::new(Timepiece::new(ClockPicture::new(*style, wall)?, zone.clone()))
            }
        })
    }
}

/// Understands a source; `None`: it is not in words.
pub fn read(name: &str) -> Result<Option<Worded>, Failure> {
    if let Some(stream) = films::stream(name) {
        return stream.map(|stream| Some(Worded::Filmed(stream)));
    }
    let (head, text) = match name.split_once(':') {
        // The name of a device may have a colon.
        Some((head, text)) if !head.starts_with("microphone,") => (head, Some(text)),
        _ => (name, None),
    };
    let mut parts = head.split(',');
    let word = parts.next().unwrap_or_default();
    let choices = parts.map(Choice::of).collect::<Vec<_>>();
    let lettering = |lettering| Some(Worded::Lettering(lettering));
    if let Some(sound) = sound::read(word, text, &choices) {
        return sound.map(|sound| Some(Worded::Sound(sound)));
    }
    if let Some(filmed) = films::read(word, text, &choices) {
        return filmed.map(|filmed| Some(Worded::Filmed(filmed)));
    }
    match (word, text) {
        ("text", Some(text)) => read_text(text, &choices).map(lettering),
        ("text", None) => Err(Failure::other(
            "the source text has nothing to read",
            "write what is to be read after a colon, such as \"text:Open until six\"",
        )),
        ("clock", None) => read_clock(&choices).map(lettering),
        ("clock", Some(_)) => Err(Failure::other(
            format!("{name:?} has a colon, and a clock has no text"),
            "part choices by commas, such as clock,hours=12,seconds=sweep",
        )),
        ("frames", None) => read_frames(&choices).map(Some),
        _ => Ok(None),
    }
}

fn read_text(text: &str, choices: &[Choice<'_>]) -> Result<Lettering, Failure> {
    let mut style = TextStyle::default();
    for choice in choices {
        match choice.name {
            "face" => style.face = choice.one_of(FACES)?,
            "rows" => {
                style.rows = Some(choice.number::<NonZeroU32>("a number of rows, such as 8")?)
            }
            "flow" => style.flow = choice.one_of(FLOWS)?,
            "speed" => style.speed = PixelsPerSecond(choice.number("pixels a second, such as 20")?),
            "colour" => style.colour = choice.colour()?,
            "ground" => style.ground = choice.colour()?,
            _ => return Err(choice.unknown("face, rows, flow, speed, colour, ground")),
        }
    }
    // For what has no key on a command line: a line end is written as \n.
    Ok(Lettering::Text { text: text.replace("\\n", "\n"), style })
}

fn read_clock(choices: &[Choice<'_>]) -> Result<Lettering, Failure> {
    let mut style = ClockStyle::default();
    let mut zone = None;
    for choice in choices {
        match choice.name {
            "face" => style.face = choice.one_of(FACES)?,
            "hours" => style.hours = choice.one_of(HOURS)?,
            "seconds" => style.seconds = choice.one_of(SECONDS)?,
            "date" => style.date = Some(choice.one_of(DATES)?),
            "zone" => zone = Some(Zone::named(choice.value()?).map_err(stage::drive_failure)?),
            "colour" => style.colour = choice.colour()?,
            "ground" => style.ground = choice.colour()?,
            _ => return Err(choice.unknown("face, hours, seconds, date, zone, colour, ground")),
        }
    }
    let zone = zone.map_or_else(Zone::of_this_computer, Ok).map_err(stage::drive_failure)?;
    Ok(Lettering::Clock { style, zone })
}

fn read_frames(choices: &[Choice<'_>]) -> Result<Worded, Failure> {
    let mut rate = None;
    for choice in choices {
        match choice.name {
            "rate" => {
                let wanted = choice.number("frames a second, such as 25")?;
                rate = Some(Rate::new(FramesPerSecond(wanted)).map_err(stage::drive_failure)?);
            }
            _ => return Err(choice.unknown("rate")),
        }
    }
    Ok(Worded::Frames { rate })
}

const FACES: &[(&str, Option<Face>)] =
    &[("fixed", Some(Face::Fixed)), ("broad", Some(Face::Broad)), ("any", None)];
const FLOWS: &[(&str, Flow)] =
    &[("auto", Flow::Auto), ("still", Flow::Still), ("wrap", Flow::Wrap), ("scroll", Flow::Scroll)];
const HOURS: &[(&str, Hours)] = &[("24", Hours::TwentyFour), ("12", Hours::Twelve)];
const SECONDS: &[(&str, Seconds)] =
    &[("none", Seconds::None), ("digits", Seconds::Digits), ("sweep", Seconds::Sweep)];
const DATES: &[(&str, DateOrder)] = &[
    ("ymd", DateOrder::YearMonthDay),
    ("dmy", DateOrder::DayMonthYear),
    ("mdy", DateOrder::MonthDayYear),
];

/// One choice, as written.
struct Choice<'a> {
    whole: &'a str,
    name: &'a str,
    value: Option<&'a str>,
}

impl<'a> Choice<'a> {
    fn of(whole: &'a str) -> Self {
        match whole.split_once('=') {
            Some((name, value)) => Self { whole, name: name.trim(), value: Some(value.trim()) },
            None => Self { whole, name: whole.trim(), value: None },
        }
    }

    fn value(&self) -> Result<&'a str, Failure> {
        self.value.ok_or_else(|| self.wrong(&format!("{}=VALUE", self.name)))
    }

    fn one_of<T: Copy>(&self, known: &[(&str, T)]) -> Result<T, Failure> {
        let value = self.value()?;
        known.iter().find(|(word, _)| *word == value).map(|&(_, meant)| meant).ok_or_else(|| {
            let words = known.iter().map(|(word, _)| *word).collect::<Vec<_>>().join(", ");
            self.wrong(&format!("one of {words}"))
        })
    }

    fn number<T: FromStr>(&self, wanted: &str) -> Result<T, Failure> {
        self.value()?.parse().map_err(|_| self.wrong(wanted))
    }

    /// Six hexadecimal digits, with or without # before them.
    fn colour(&self) -> Result<Light, Failure> {
        let wanted = "a colour of six hexadecimal digits, such as ffcc00";
        let digits = self.value()?.trim_start_matches('#');
        let hexadecimal = digits.len() == 6 && digits.bytes().all(|byte| byte.is_ascii_hexdigit());
        let code = u32::from_str_radix(digits, 16).ok().filter(|_| hexadecimal);
        let [_, red, green, blue] = code.ok_or_else(|| self.wrong(wanted))?.to_be_bytes();
        Ok(Light::of_codes([red, green, blue]))
    }

    fn wrong(&self, wanted: &str) -> Failure {
        Failure::other(format!("the source says {:?}", self.whole), format!("write {wanted}"))
    }

    fn unknown(&self, known: &str) -> Failure {
        Failure::other(
            format!("the source says {:?}, which is no choice that it has", self.whole),
            format!("choose among {known}"),
        )
    }
}

#[cfg(test)]
mod tests;
