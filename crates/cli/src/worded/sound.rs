//! `sound:FILE`: a sound, drawn.

use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};

use glowloom_show::Source;
use glowloom_show::heard::{Hearing, Sounding, pictures_of_sound};
use glowloom_sound::{Rate, Recording};

use super::Choice;
use crate::failure::Failure;
use crate::output;

/// What sounds, and what is drawn of it.
#[derive(Clone, Debug)]
pub struct Sound {
    picture: &'static Hearing,
    file: PathBuf,
}

/// Understands what stands behind `sound`.
pub fn read(file: Option<&str>, choices: &[Choice<'_>]) -> Result<Sound, Failure> {
    let mut picture = pictures_of_sound().first();
    for choice in choices {
        match choice.name {
            "picture" => picture = Some(one_of(choice)?),
            _ => return Err(choice.unknown("picture")),
        }
    }
    let file = file.filter(|file| !file.is_empty()).ok_or_else(|| {
        Failure::other(
            "the source sound has nothing to hear",
            "write a WAV file after a colon, such as sound:harbour.wav",
        )
    })?;
    let picture = picture.ok_or_else(|| Failure::other("no sound can be drawn", "report it"))?;
    Ok(Sound { picture, file: file.into() })
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
    /// The file that it comes from.
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// The same with its file in a folder.
    pub fn within(mut self, folder: &Path) -> Self {
        self.file = folder.join(self.file);
        self
    }

    /// The source of it.
    pub fn source(&self) -> Result<Sounding, String> {
        let shown = output::shown(&self.file);
        let file =
            File::open(&self.file).map_err(|error| format!("cannot read {shown}: {error}"))?;
        let recording = Recording::open(BufReader::new(file))
            .map_err(|error| format!("cannot listen to {shown}: {error}"))?;
        Ok(Sounding::new(Box::new(recording), self.picture.picture()))
    }

    /// The source of it, opened once to tell how late it is seen.
    pub fn told(&self) -> Result<Box<dyn Source>, Failure> {
        // The error says what to do.
        let failure = |message| Failure::Other { message, remedy: None };
        let sounding = self.source().map_err(failure)?;
        output::note(&lateness(&sounding));
        Ok(Box::new(sounding))
    }
}

fn lateness(sounding: &Sounding) -> String {
    let (rate, latency) = sounding.latency();
    let shown = |samples: u32| format!("{samples} samples ({:.1} ms)", milliseconds(rate, samples));
    format!(
        "note: a sound of {} samples a second; loudness is seen at most {} after it sounds, beats at most {}, \
         and both up to three frames later for the frames that are drawn ahead",
        rate.get(),
        shown(latency.level),
        shown(latency.beat)
    )
}

fn milliseconds(rate: Rate, samples: u32) -> f64 {
    rate.length(samples.into()).0 * 1000.0
}
