//! What the page asks of whoever opens it: files, chance, the show. The room itself reads no file and
//! has no chance of its own.

use std::sync::Arc;

/// Why a file could not be read or written, in words for the person at the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trouble {
    /// What was found, in one line with no full stop.
    pub found: String,
    /// What to do; never empty.
    pub remedy: String,
}

impl Trouble {
    /// Words of both.
    pub fn new(found: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { found: found.into(), remedy: remedy.into() }
    }
}

/// What saving a wall file came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Saved {
    /// It is written whole.
    Written,
    /// Nothing is written: the file is not what it was, but this.
    Changed(Vec<u8>),
}

/// The files of one wall, and what else the page may not have of itself.
pub trait Home: Send + Sync {
    /// The wall file's name, for people.
    fn name(&self) -> String;

    /// Whether there is no wall file yet.
    fn is_new(&self) -> bool {
        false
    }

    /// Writes the first wall file whole, where there is none.
    ///
    /// # Errors
    /// Where it cannot be written, or there is one.
    fn begin(&self, now: &[u8]) -> Result<(), Trouble>;

    /// The wall file, at most one byte more than [`glowloom_design::MOST_BYTES`].
    ///
    /// # Errors
    /// Where it cannot be read.
    fn wall(&self) -> Result<Vec<u8>, Trouble>;

    /// Writes the wall file whole, if it is still `before`.
    ///
    /// # Errors
    /// Where it cannot be written; then it is as it was.
    fn save_wall(&self, before: &[u8], now: &[u8]) -> Result<Saved, Trouble>;

    /// The journal beside it; `None` where there is none yet.
    ///
    /// # Errors
    /// Where it cannot be read.
    fn journal(&self) -> Result<Option<Vec<u8>>, Trouble>;

    /// Writes the journal whole.
    ///
    /// # Errors
    /// Where it cannot be written; then it is as it was.
    fn save_journal(&self, text: &[u8]) -> Result<(), Trouble>;

    /// A text that nobody guesses: at least 120 bits of chance as letters and digits.
    fn secret(&self) -> String;

    /// The show that is on, if there is one.
    fn show(&self) -> Option<Arc<dyn Show>> {
        None
    }
}

/// A show that is on.
pub trait Show: Send + Sync {
    /// The picture as the virtual panels have it now, three bytes of sRGB to a pixel, row by row. Gives a
    /// number that is another one for another picture.
    fn picture(&self, into: &mut Vec<[u8; 3]>) -> u64;

    /// How it goes.
    fn state(&self) -> State;

    /// Changes the brightness, 0 to 1 of the ceiling. False where nobody listens any more.
    fn set_brightness(&self, share: f32) -> bool;

    /// Shows a text, until another is shown; an empty one goes back to what the wall shows by itself.
    ///
    /// # Errors
    /// Where it cannot be drawn.
    fn show_text(&self, text: &str) -> Result<(), Trouble>;
}

/// How a show goes.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct State {
    /// One line about it all.
    pub line: String,
    /// Of the ceiling, 0 to 1.
    pub brightness: f32,
    /// What was typed, while it is shown.
    pub text: String,
    /// In the order of the wall file.
    pub panels: Vec<PanelState>,
    /// What the guards do, and what is wrong, each in a sentence.
    pub words: Vec<String>,
}

/// How one panel of it is.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct PanelState {
    /// As the wall file has it.
    pub name: String,
    /// Whether it is well.
    pub well: bool,
    /// In words.
    pub words: String,
}
