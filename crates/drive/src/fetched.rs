//! Data and pictures that are fetched, as sources.

use std::sync::Arc;
use std::time::Duration;

use glowloom_show::data::{Pointer, Template};
use glowloom_show::lettering::{LetteringError, Light, Text, TextStyle};
use glowloom_show::{Drawn, Laying, LinearFrame, Picture, Source, SourceError};

use crate::DriveError;
use crate::fetch::{Feed, Made, Place};

/// How much of their light letters keep while what they say is stale.
const STALE: f64 = 0.25;

/// What stands for a letter that the faces lack.
const UNKNOWN: char = '?';

/// Words made of data, fetched as often as is asked for.
#[derive(Clone, Debug)]
pub struct Words {
    feed: Feed<Arc<str>>,
    style: TextStyle,
    wall: (u32, u32),
}

impl Words {
    /// Begins to fetch data, and to make words of them for a wall of `columns` x `rows`.
    ///
    /// # Errors
    /// [`DriveError::Thread`].
    pub fn start(
        place: Place,
        every: Duration,
        template: Template,
        style: TextStyle,
        wall: (u32, u32),
    ) -> Result<Self, DriveError> {
        let make = move |bytes: &[u8], _: bool| {
            let text = template.filled(bytes).map_err(|error| error.to_string())?;
            Ok(Made::Done(Arc::from(text)))
        };
        Ok(Self { feed: Feed::start(place, every, Box::new(make))?, style, wall })
    }

    /// A source that shows them. Several may take turns.
    #[must_use]
    pub fn source(&self) -> Box<dyn Source> {
        Box::new(Reading { words: self.clone(), text: None, laid: (0, false), wrong: None })
    }
}

/// Words while they are shown.
struct Reading {
    words: Words,
    text: Option<Text>,
    /// Which words are laid out, and whether as stale ones.
    laid: (u64, bool),
    wrong: Option<String>,
}

impl Reading {
    /// Lays the words out that came last; `true` if they are others than those that are drawn.
    fn lay(&mut self) -> bool {
        let stale = self.words.feed.is_stale();
        if (self.words.feed.version(), stale) == self.laid {
            return false;
        }
        let Some((version, words)) = self.words.feed.latest() else { return false };
        self.laid = (version, stale);
        let mut style = self.words.style;
        if stale {
            style.colour = Light(style.colour.0.map(|value| (f64::from(value) * STALE) as u16));
        }
        match laid(&words, style, self.words.wall) {
            Ok(text) => (self.text, self.wrong) = (Some(text), None),
            Err(error) => self.wrong = Some(error.to_string()),
        }
        true
    }

    fn trouble(&self) -> Option<String> {
        if self.wrong.is_some() {
            return self.wrong.clone();
        }
        let why = self.words.feed.trouble()?;
        match (&self.text, self.laid.1) {
            (None, _) => Some(why),
            (Some(_), true) => Some(format!("{why}; the last words stay, dimmed")),
            (Some(_), false) => None,
        }
    }
}

/// A text of data; letters that the faces lack are marked.
fn laid(words: &str, style: TextStyle, wall: (u32, u32)) -> Result<Text, LetteringError> {
    // A text of nothing is dark, as is one of a space.
    let words = if words.trim().is_empty() { "\u{a0}" } else { words };
    match Text::new(words, style, wall) {
        Err(LetteringError::NoLetter(_)) => {
            let known = |c: char| if u32::from(c) < 0x100 { c } else { UNKNOWN };
            Text::new(&words.chars().map(known).collect::<String>(), style, wall)
        }
        text => text,
    }
}

impl Source for Reading {
    /// Until there are words nothing is drawn, so that what was there before stays.
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let new = self.lay();
        let trouble = self.trouble();
        if new || trouble.is_some() {
            into.clear();
        }
        let drawn = match &mut self.text {
            Some(text) => text.draw(at, into)?,
            None => {
                if trouble.is_some() {
                    into.values_mut().fill(0);
                }
                Drawn::Same
            }
        };
        match trouble {
            Some(why) => Err(SourceError::Frames(why)),
            // What is laid out now may be seen as long as nothing else comes.
            None if drawn == Drawn::Ended => Ok(Drawn::Same),
            None => Ok(drawn),
        }
    }
}

/// A picture whose address stands in data, fetched as often as is asked for.
#[derive(Clone, Debug)]
pub struct Cover {
    feed: Feed<Arc<LinearFrame>>,
}

impl Cover {
    /// Begins to fetch data, and the picture whose address these have at a place, laid on a wall of `columns` x
    /// `rows`. Of one that moves the first frame is shown.
    ///
    /// # Errors
    /// [`DriveError::Thread`].
    pub fn start(
        place: Place,
        every: Duration,
        pointer: Pointer,
        laying: Laying,
        (columns, rows): (u32, u32),
    ) -> Result<Self, DriveError> {
        let make = move |bytes: &[u8], second: bool| {
            if !second {
                return pointer.words(bytes).map(Made::Follow).map_err(|error| error.to_string());
            }
            let picture = Picture::open(bytes.to_vec()).map_err(|error| error.to_string())?;
            let mut frame = LinearFrame::new(columns, rows);
            let mut source = picture.into_source(laying);
            source.draw(Duration::ZERO, &mut frame).map_err(|error| error.to_string())?;
            Ok(Made::Done(Arc::new(frame)))
        };
        Ok(Self { feed: Feed::start(place, every, Box::new(make))? })
    }

    /// A source that shows it. Several may take turns.
    #[must_use]
    pub fn source(&self) -> Box<dyn Source> {
        Box::new(Looking { cover: self.clone(), seen: None })
    }
}

/// A picture while it is shown.
struct Looking {
    cover: Cover,
    seen: Option<(u64, Arc<LinearFrame>)>,
}

impl Source for Looking {
    /// Until there is a picture nothing is drawn, so that what was there before stays.
    fn draw(&mut self, _at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let feed = &self.cover.feed;
        let new = self.seen.as_ref().is_none_or(|(version, _)| *version != feed.version());
        if new && let Some(latest) = feed.latest() {
            self.seen = Some(latest);
            into.clear();
        }
        let trouble = feed.trouble().filter(|_| self.seen.is_none() || feed.is_stale());
        let drawn = into.is_blank() || trouble.is_some();
        match &self.seen {
            // Of the wall that it was laid on; on another it is left away.
            Some((_, frame)) if drawn && frame.values().len() == into.values().len() => {
                into.values_mut().copy_from_slice(frame.values());
            }
            _ if trouble.is_some() => into.values_mut().fill(0),
            _ => {}
        }
        match trouble {
            Some(why) if self.seen.is_some() => {
                Err(SourceError::Frames(format!("{why}; the last picture stays")))
            }
            Some(why) => Err(SourceError::Frames(why)),
            None if drawn && self.seen.is_some() => Ok(Drawn::New),
            None => Ok(Drawn::Same),
        }
    }
}

#[cfg(test)]
mod tests;
