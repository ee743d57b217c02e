//! Sources that are written as words: `text:Hello`, `clock`, `frames,rate=25`. What is chosen stands behind
//! the first word, each choice after a comma, as a name alone or with its value after `=`.

pub mod films;
mod sound;

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::num::NonZeroU32;
use std::str::FromStr;
use std::time::Duration;

use glowloom_drive::{FramesPerSecond, Rate, Timepiece, Zone};
use glowloom_show::Source;
use glowloom_show::data::{Pointer, Template};
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
    /// Something that is fetched again and again.
    Fetched(Fetched),
    /// Frames over a WebSocket: where it listens, and which pages may send.
    Socket { at: SocketAddr, origins: Vec<String> },
}

/// Something that is fetched again and again.
#[derive(Clone, Debug)]
pub struct Fetched {
    /// Where: an address, or a file.
    pub from: String,
    /// How often.
    pub every: Duration,
    /// What is made of it.
    pub made: Made,
}

/// What is made of data.
#[derive(Clone, Debug)]
pub enum Made {
    /// Words.
    Words { template: Template, style: TextStyle },
    /// The picture whose address stands in them.
    Picture(Pointer),
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
    // It has no text, and addresses have colons.
    if let Some(choices) =
        name.strip_prefix("socket").filter(|rest| rest.is_empty() || rest.starts_with(','))
    {
        let choices = choices.split(',').skip(1).map(Choice::of).collect::<Vec<_>>();
        return read_socket(&choices).map(Some);
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
        ("data", Some(text)) => read_data(text, &choices).map(Some),
        ("album", Some(text)) => read_album(text, &choices).map(Some),
        ("data" | "album", None) => Err(Failure::other(
            format!("the source {word} does not say where its data are"),
            "write their address or file after a colon, and what is shown of them: \
             \"data:http://192.0.2.7/weather.json {/now/temperature} °C\", or \
             \"album:now.json /cover\"",
        )),
        _ => Ok(None),
    }
}

/// What may be chosen of letters.
const STYLE: &str = "face, rows, flow, speed, colour, ground";

/// Takes a choice of letters; `false`: it is another.
fn style_choice(style: &mut TextStyle, choice: &Choice<'_>) -> Result<bool, Failure> {
    match choice.name {
        "face" => style.face = choice.one_of(FACES)?,
        "rows" => style.rows = Some(choice.number::<NonZeroU32>("a number of rows, such as 8")?),
        "flow" => style.flow = choice.one_of(FLOWS)?,
        "speed" => style.speed = PixelsPerSecond(choice.number("pixels a second, such as 20")?),
        "colour" => style.colour = choice.colour()?,
        "ground" => style.ground = choice.colour()?,
        _ => return Ok(false),
    }
    Ok(true)
}

fn read_text(text: &str, choices: &[Choice<'_>]) -> Result<Lettering, Failure> {
    let mut style = TextStyle::default();
    for choice in choices {
        if !style_choice(&mut style, choice)? {
            return Err(choice.unknown(STYLE));
        }
    }
    // For what has no key on a command line: a line end is written as \n.
    Ok(Lettering::Text { text: text.replace("\\n", "\n"), style })
}

/// How often data are fetched, without a choice and at the most and least.
const EVERY: Duration = Duration::from_secs(60);
const SECONDS_BETWEEN: std::ops::RangeInclusive<u64> = 1..=86_400;

impl Choice<'_> {
    fn every(&self) -> Result<Duration, Failure> {
        let wanted = "seconds from 1 to 86400, such as every=60";
        let seconds: u64 = self.number(wanted)?;
        if !SECONDS_BETWEEN.contains(&seconds) {
            return Err(self.wrong(wanted));
        }
        Ok(Duration::from_secs(seconds))
    }
}

fn read_data(text: &str, choices: &[Choice<'_>]) -> Result<Worded, Failure> {
    let (mut style, mut every) = (TextStyle::default(), EVERY);
    for choice in choices {
        if choice.name == "every" {
            every = choice.every()?;
        } else if !style_choice(&mut style, choice)? {
            return Err(choice.unknown(&format!("every, {STYLE}")));
        }
    }
    let (from, rest) = place(text)?;
    let template = Template::new(&rest.replace("\\n", "\n")).map_err(data_failure)?;
    Ok(Worded::Fetched(Fetched { from, every, made: Made::Words { template, style } }))
}

fn read_album(text: &str, choices: &[Choice<'_>]) -> Result<Worded, Failure> {
    let mut every = EVERY;
    for choice in choices {
        match choice.name {
            "every" => every = choice.every()?,
            _ => return Err(choice.unknown("every")),
        }
    }
    let (from, rest) = place(text)?;
    let pointer = Pointer::new(rest.trim_end()).map_err(data_failure)?;
    Ok(Worded::Fetched(Fetched { from, every, made: Made::Picture(pointer) }))
}

/// Where data are, and what stands behind that: up to the first space, or in angle brackets.
fn place(text: &str) -> Result<(String, &str), Failure> {
    let split = match text.strip_prefix('<') {
        Some(inner) => inner.split_once('>'),
        None => text.split_once(' '),
    };
    let (from, rest) = split.unwrap_or((text, ""));
    if from.is_empty() || rest.trim().is_empty() {
        return Err(Failure::other(
            format!("the source says {text:?} of its data"),
            "write where they are, a space, and what is shown of them, such as \
             \"http://192.0.2.7/weather.json {/now/temperature} °C\"; a file whose name has a space stands in \
             <angle brackets>",
        ));
    }
    Ok((from.to_owned(), rest.strip_prefix(' ').unwrap_or(rest)))
}

/// The errors say what to do.
fn data_failure(error: glowloom_show::data::DataError) -> Failure {
    Failure::Other { message: error.to_string(), remedy: None }
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

/// Where frames are taken without a choice: by this computer alone.
const SOCKET: SocketAddr = SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), 15_580);

fn read_socket(choices: &[Choice<'_>]) -> Result<Worded, Failure> {
    let (mut at, mut origins) = (SOCKET, Vec::new());
    for choice in choices {
        match choice.name {
            "listen" => {
                at = choice
                    .number("an address of this computer and a port, such as 127.0.0.1:15580")?;
            }
            "origin" => origins.push(choice.value()?.to_owned()),
            _ => return Err(choice.unknown("listen, origin")),
        }
    }
    Ok(Worded::Socket { at, origins })
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
