//! Films, streams, screens, windows and cameras as people write them: what ffmpeg reads for us.

use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::time::Duration;

use glowloom_design::Wall;
use glowloom_media::{
    Camera, Ffmpeg, Film, Input, InputError, Pace, Platform, Screen, Showing, TestPicture, Window,
};
use glowloom_show::{Laying, Source, SourceError};

use super::Choice;
use crate::failure::Failure;
use crate::{output, stopping};

/// Where the program ffmpeg is, if not where the system keeps programs.
const PLACE: &str = "GLOWLOOM_FFMPEG";

/// How long a film may take to show its first picture before a show begins without it.
const PATIENCE: Duration = Duration::from_secs(8);

/// Files that our own decoders read, by the ends of their names: where one of them is broken, they say it best.
const PICTURES: [&str; 6] = ["png", "apng", "gif", "jpg", "jpeg", "webp"];

/// Something that ffmpeg reads.
#[derive(Clone, Debug)]
pub struct Filmed {
    read: Read,
    from: Duration,
    looped: bool,
}

#[derive(Clone, Debug)]
enum Read {
    File(PathBuf),
    Input(Input),
}

/// Understands a source of these words; `None`: it is none of them.
pub(super) fn read(
    word: &str,
    text: Option<&str>,
    choices: &[Choice<'_>],
) -> Option<Result<Filmed, Failure>> {
    Some(match (word, text) {
        ("film", Some(name)) if !name.is_empty() => read_film(name, choices),
        ("film", _) => Err(Failure::other(
            "the source film has no name",
            "write the file's name, or a stream's, after a colon, such as film,from=90s:regatta.mp4",
        )),
        ("screen", None) => read_screen(choices),
        ("window", Some(name)) if !name.is_empty() => read_window(name, choices),
        ("window", _) => Err(Failure::other(
            "the source window does not say which",
            "write its number (X11: xwininfo tells it) or its title (Windows) after a colon, such as \
             window:0x1e00007",
        )),
        ("camera", None) => read_camera(choices),
        ("test-picture", None) => read_test_picture(choices),
        ("screen" | "camera" | "test-picture", Some(_)) => Err(Failure::other(
            format!("the source {word} has no text after a colon"),
            format!("part choices by commas, such as {word},rate=25"),
        )),
        _ => return None,
    })
}

/// A stream by its URL alone; `None`: it is none.
pub(super) fn stream(name: &str) -> Option<Result<Filmed, Failure>> {
    let known = |error| Failure::other(refused(&error), "give a stream's URL");
    Input::is_stream(name).then(|| Input::stream(name).map(Filmed::of).map_err(known))
}

fn refused(error: &InputError) -> String {
    error.to_string()
}

fn read_film(name: &str, choices: &[Choice<'_>]) -> Result<Filmed, Failure> {
    let mut film = match stream(name) {
        Some(stream) => stream?,
        None => Filmed::file(Path::new(name)),
    };
    for choice in choices {
        match (choice.name, &mut film.read) {
            ("from", Read::File(_)) => {
                let wanted = "a time, such as 90s or 1.5min";
                let time = stopping::duration(choice.value()?);
                film.from = time.map_err(|_| choice.wrong(wanted))?;
            }
            ("from", Read::Input(_)) => {
                return Err(Failure::other(
                    "a stream is shown from where it is",
                    "leave out from=, or save it as a file first",
                ));
            }
            ("once", _) if choice.value.is_none() => film.looped = false,
            ("pace", Read::Input(input)) => {
                let pace = choice.one_of(&[("timed", Pace::Timed), ("newest", Pace::Newest)])?;
                *input = input.clone().with_pace(pace);
            }
            _ => return Err(choice.unknown("from (of a file), once, pace (of a stream)")),
        }
    }
    Ok(film)
}

fn read_screen(choices: &[Choice<'_>]) -> Result<Filmed, Failure> {
    let mut screen = Screen { name: None, at: (0, 0), size: None, rate: 25.0, pointer: true };
    for choice in choices {
        match choice.name {
            "at" => screen.at = pair(choice, "columns and rows, such as 100x50")?,
            "size" => screen.size = Some(size(choice)?),
            "rate" => screen.rate = rate(choice)?,
            "display" => screen.name = Some(choice.value()?.into()),
            "pointer" => screen.pointer = choice.one_of(YES_OR_NO)?,
            _ => return Err(choice.unknown("at, size, rate, display, pointer")),
        }
    }
    captured(screen.input(&Platform::here()))
}

fn read_window(name: &str, choices: &[Choice<'_>]) -> Result<Filmed, Failure> {
    let mut window = Window { name: name.into(), rate: 25.0, pointer: true };
    for choice in choices {
        match choice.name {
            "rate" => window.rate = rate(choice)?,
            "pointer" => window.pointer = choice.one_of(YES_OR_NO)?,
            _ => return Err(choice.unknown("rate, pointer")),
        }
    }
    captured(window.input(&Platform::here()))
}

fn read_camera(choices: &[Choice<'_>]) -> Result<Filmed, Failure> {
    let mut camera = Camera { name: None, size: None, rate: None };
    for choice in choices {
        match choice.name {
            "device" => camera.name = Some(choice.value()?.into()),
            "size" => camera.size = Some(size(choice)?),
            "rate" => camera.rate = Some(rate(choice)?),
            _ => return Err(choice.unknown("device, size, rate")),
        }
    }
    captured(camera.input(&Platform::here()))
}

fn read_test_picture(choices: &[Choice<'_>]) -> Result<Filmed, Failure> {
    let (mut kind, mut of, mut per_second) = (TestPicture::Moving, (640, 360), 25.0);
    for choice in choices {
        match choice.name {
            "kind" => {
                kind = choice
                    .one_of(&[("moving", TestPicture::Moving), ("bars", TestPicture::Bars)])?;
            }
            "size" => of = size(choice)?,
            "rate" => per_second = rate(choice)?,
            _ => return Err(choice.unknown("kind, size, rate")),
        }
    }
    Ok(Filmed::of(Input::test_picture(kind, of, per_second)))
}

const YES_OR_NO: &[(&str, bool)] = &[("yes", true), ("no", false)];

/// Two numbers with `x` between them.
fn pair(choice: &Choice<'_>, wanted: &str) -> Result<(u32, u32), Failure> {
    let numbers = choice.value()?.split_once('x');
    let number = |text: &str| u32::from_str(text).ok().filter(|number| *number <= 65_535);
    numbers
        .and_then(|(across, down)| number(across).zip(number(down)))
        .ok_or_else(|| choice.wrong(wanted))
}

fn size(choice: &Choice<'_>) -> Result<(u32, u32), Failure> {
    let wanted = "a width and a height in pixels, such as 640x360";
    let (width, height) = pair(choice, wanted)?;
    if width == 0 || height == 0 { Err(choice.wrong(wanted)) } else { Ok((width, height)) }
}

fn rate(choice: &Choice<'_>) -> Result<f64, Failure> {
    let wanted = "frames a second from 1 to 240, such as 25";
    let rate: f64 = choice.number(wanted)?;
    if (1.0..=240.0).contains(&rate) { Ok(rate) } else { Err(choice.wrong(wanted)) }
}

/// The errors say what to do.
fn captured(input: Result<Input, InputError>) -> Result<Filmed, Failure> {
    let unable = |error| Failure::Other { message: refused(&error), remedy: None };
    input.map(Filmed::of).map_err(unable)
}

/// Whether a file is left to our own decoders, whatever is in it.
pub fn is_named_as_picture(path: &Path) -> bool {
    let end = path.extension().and_then(|end| end.to_str()).unwrap_or_default();
    PICTURES.iter().any(|known| end.eq_ignore_ascii_case(known))
}

/// The program, wherever it is.
pub(super) fn ffmpeg() -> Ffmpeg {
    std::env::var_os(PLACE)
        .filter(|place| !place.is_empty())
        .map_or_else(Ffmpeg::default, Ffmpeg::at)
}

impl Filmed {
    /// A file, from its beginning, over and over.
    pub fn file(path: &Path) -> Self {
        Self { read: Read::File(path.into()), from: Duration::ZERO, looped: true }
    }

    fn of(input: Input) -> Self {
        Self { read: Read::Input(input), from: Duration::ZERO, looped: true }
    }

    /// The file that it is, if it is one.
    pub fn path(&self) -> Option<&Path> {
        match &self.read {
            Read::File(path) => Some(path),
            Read::Input(_) => None,
        }
    }

    /// The same, with its file in this folder.
    pub fn in_folder(self, folder: &Path) -> Self {
        match self.read {
            Read::File(path) => Self { read: Read::File(folder.join(path)), ..self },
            read @ Read::Input(_) => Self { read, ..self },
        }
    }

    /// Begins to read, and waits until it is known whether that can be. A stream may come later.
    pub fn open(&self, wall: WallSize, laying: Laying) -> Result<Box<dyn Source>, Failure> {
        if let Read::File(path) = &self.read {
            std::fs::File::open(path).map_err(|error| Failure::file(path, "read", error))?;
        }
        let film = self.start(wall, laying).map_err(|error| {
            Failure::other(format!("cannot start to read a film: {error}"), "try again")
        })?;
        if let Err(why) = film.first(PATIENCE) {
            if !self.input().is_stream_of_the_network() {
                let message = format!("cannot show {why}");
                return Err(Failure::Other { message, remedy: None });
            }
            output::note(&format!("warning: {why}; it is tried again"));
        }
        Ok(Box::new(film))
    }

    /// Begins to read when its turn has come. Whoever shows it waits for its first frame.
    pub fn begin(&self, wall: WallSize, laying: Laying) -> Result<Box<dyn Source>, SourceError> {
        let film = self.start(wall, laying);
        let film = film.map_err(|error| SourceError::Frames(format!("no film: {error}")))?;
        Ok(Box::new(film))
    }

    fn input(&self) -> Input {
        match &self.read {
            Read::File(path) => Input::file(path),
            Read::Input(input) => input.clone(),
        }
    }

    fn start(&self, wall: WallSize, laying: Laying) -> std::io::Result<Film> {
        let WallSize { wall, tick } = wall;
        let (from, looped) = (self.from, self.looped);
        let showing = Showing { input: self.input(), from, looped, laying, wall, tick };
        Film::start(&ffmpeg(), &showing)
    }
}

/// What a film has to know of a wall.
#[derive(Clone, Copy, Debug)]
pub struct WallSize {
    wall: (u32, u32),
    tick: Duration,
}

/// Columns, rows, and how long a picture stays.
pub fn wall_of(wall: &Wall) -> WallSize {
    let rate = wall.receiver.frames_per_second.0;
    let tick = Duration::try_from_secs_f64(1.0 / rate).unwrap_or(Duration::from_millis(20));
    WallSize { wall: (wall.columns, wall.rows), tick }
}

#[cfg(test)]
mod tests;
