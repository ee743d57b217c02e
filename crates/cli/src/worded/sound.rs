//! `sound:FILE` and `microphone`: a sound, drawn.

use std::fs::File;
use std::io::{BufReader, Read, Seek};
use std::path::{Path, PathBuf};
use std::time::Duration;

use glowloom_media::{Ears, Input, Lateness, Microphone, Platform};
use glowloom_show::heard::{Hearing, Sounding, pictures_of_sound};
use glowloom_show::{Drawn, LinearFrame, Source, SourceError};
use glowloom_sound::{Feed, Rate, Recording};

use super::{Choice, films};
use crate::failure::Failure;
use crate::output;

/// How long is waited at the start until a sound is heard, or it is known why not.
const PATIENCE: Duration = Duration::from_secs(8);

/// How long is listened before it is said how late a live sound is.
const MEASURED: Duration = Duration::from_secs(5);

/// What sounds, and what is drawn of it.
#[derive(Clone, Debug)]
pub struct Sound {
    picture: &'static Hearing,
    from: From,
}

#[derive(Clone, Debug)]
enum From {
    File(PathBuf),
    Microphone(Microphone),
}

/// Understands a source of these words; `None`: it is none of them.
pub fn read(
    word: &str,
    file: Option<&str>,
    choices: &[Choice<'_>],
) -> Option<Result<Sound, Failure>> {
    Some(match (word, file) {
        ("sound", Some(file)) if !file.is_empty() => read_file(file, choices),
        ("sound", _) => Err(Failure::other(
            "the source sound has nothing to hear",
            "write a file of sound after a colon, such as sound:harbour.wav, or microphone to listen",
        )),
        ("microphone", None) => read_microphone(choices),
        ("microphone", Some(_)) => Err(Failure::other(
            "the source microphone has no text after a colon",
            "part choices by commas, such as microphone,picture=lamps",
        )),
        _ => return None,
    })
}

fn read_file(file: &str, choices: &[Choice<'_>]) -> Result<Sound, Failure> {
    let mut picture = first()?;
    for choice in choices {
        match choice.name {
            "picture" => picture = one_of(choice)?,
            _ => return Err(choice.unknown("picture")),
        }
    }
    Ok(Sound { picture, from: From::File(file.into()) })
}

fn read_microphone(choices: &[Choice<'_>]) -> Result<Sound, Failure> {
    let (mut picture, mut microphone) = (first()?, Microphone { name: None });
    for choice in choices {
        match choice.name {
            "picture" => picture = one_of(choice)?,
            "device" => microphone.name = Some(choice.value()?.into()),
            _ => return Err(choice.unknown("picture, device")),
        }
    }
    // The error says what to do.
    let unable = |error| Failure::Other { message: format!("{error}"), remedy: None };
    microphone.input(&Platform::here()).map_err(unable)?;
    Ok(Sound { picture, from: From::Microphone(microphone) })
}

fn first() -> Result<&'static Hearing, Failure> {
    let none =
        || Failure::other("no sound can be drawn", "this is a fault of the program; report it");
    pictures_of_sound().first().ok_or_else(none)
}

fn one_of(choice: &Choice<'_>) -> Result<&'static Hearing, Failure> {
    let value = choice.value()?;
    let all = pictures_of_sound();
    all.iter().find(|hearing| hearing.name == value).ok_or_else(|| {
        let names = all.iter().map(|hearing| hearing.name).collect::<Vec<_>>().join(", ");
        choice.wrong(&format!("one of {names}"))
    })
}

impl Sound {
    /// The file that it comes from, if it does.
    pub fn file(&self) -> Option<&Path> {
        match &self.from {
            From::File(file) => Some(file),
            From::Microphone(_) => None,
        }
    }

    /// The same with its file in a folder.
    pub fn within(mut self, folder: &Path) -> Self {
        if let From::File(file) = &mut self.from {
            *file = folder.join(&file);
        }
        self
    }

    /// The source of it, and whatever is to be said of that.
    pub fn told(&self) -> Result<Box<dyn Source>, Failure> {
        let sounding = self.listen(Some(PATIENCE));
        // The error says what to do.
        let sounding = sounding.map_err(|message| Failure::Other { message, remedy: None })?;
        output::note(&lateness(&sounding.source));
        Ok(Box::new(sounding))
    }

    /// The source of it when its turn has come.
    pub fn source(&self) -> Result<Box<dyn Source>, SourceError> {
        let sounding = self.listen(None).map_err(SourceError::Frames)?;
        Ok(Box::new(sounding))
    }

    /// Begins to listen; waits so long to know whether it can.
    fn listen(&self, patience: Option<Duration>) -> Result<Heard, String> {
        match &self.from {
            From::File(path) => {
                let shown = output::shown(path);
                let file =
                    File::open(path).map_err(|error| format!("cannot read {shown}: {error}"))?;
                let mut file = BufReader::new(file);
                if !is_wave(&mut file).map_err(|error| format!("cannot read {shown}: {error}"))? {
                    return self.by_ffmpeg(&Input::file(path), patience);
                }
                let recording = Recording::open(file)
                    .map_err(|error| format!("cannot listen to {shown}: {error}"))?;
                Ok(self.heard(Box::new(recording), None))
            }
            From::Microphone(microphone) => {
                let input = microphone.input(&Platform::here());
                self.by_ffmpeg(&input.map_err(|error| error.to_string())?, patience)
            }
        }
    }

    fn by_ffmpeg(&self, input: &Input, patience: Option<Duration>) -> Result<Heard, String> {
        let ears = Ears::open(&films::ffmpeg(), input)
            .map_err(|error| format!("cannot listen to {}: {error}", input.shown()))?;
        if let Some(patience) = patience
            && let Some(why) = ears.first(patience).trouble
        {
            return Err(format!("cannot listen to {}: {why}", input.shown()));
        }
        let live = matches!(self.from, From::Microphone(_)).then(|| ears.lateness());
        Ok(self.heard(Box::new(ears), live))
    }

    fn heard(&self, feed: Box<dyn Feed>, live: Option<Lateness>) -> Heard {
        Heard { source: Sounding::new(feed, self.picture.picture()), live }
    }
}

/// Whether a file begins as a WAV file does; it is at its beginning afterwards.
fn is_wave(file: &mut (impl Read + Seek)) -> std::io::Result<bool> {
    let mut head = Vec::new();
    file.by_ref().take(12).read_to_end(&mut head)?;
    file.rewind()?;
    Ok(head.starts_with(b"RIFF") && head.ends_with(b"WAVE"))
}

/// A sound that says once how late it is, when that is known.
struct Heard {
    source: Sounding,
    live: Option<Lateness>,
}

impl Source for Heard {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        if at >= MEASURED
            && let Some((mean, most)) = self.live.take().and_then(|live| live.waiting())
        {
            output::note(&measured(self.source.latency().0, mean, most));
        }
        self.source.draw(at, into)
    }
}

fn measured(rate: Rate, mean: u64, most: u64) -> String {
    format!(
        "note: measured over {} s, samples had waited for their frame: {} at most, {} in the mean",
        MEASURED.as_secs(),
        samples(rate, most),
        samples(rate, mean),
    )
}

fn lateness(sounding: &Sounding) -> String {
    let (rate, latency) = sounding.latency();
    format!(
        "note: a sound of {} samples a second; loudness is seen at most {} after it sounds, beats at most {}, \
         and both up to three frames later for the frames that are drawn ahead",
        rate.get(),
        samples(rate, latency.level.into()),
        samples(rate, latency.beat.into())
    )
}

fn samples(rate: Rate, samples: u64) -> String {
    format!("{samples} samples ({:.1} ms)", rate.milliseconds(samples))
}
