//! A text as a source: still, broken into lines, or running from right to left.

use std::num::NonZeroU32;
use std::time::Duration;

use super::error::LetteringError;
use super::face::{self, Cut, Face};
use super::layout::{Mask, Size, sizes, wrapped};
use super::light::Light;
use crate::frame::LinearFrame;
use crate::made::PixelsPerSecond;
use crate::source::{Drawn, Source, SourceError};

/// The most letters of a text.
const MOST_LETTERS: usize = 2000;

/// Where a word may be broken; it is not.
const SOFT_HYPHEN: char = '\u{AD}';

/// Letters that should be seen at once of a text that runs (common practice, no source): the largest
/// size that shows so many is taken.
const SEEN_AT_ONCE: u32 = 8;

/// How a text is laid on a wall.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Flow {
    /// Broken into lines if some size fits so, else running.
    #[default]
    Auto,
    /// As written: lines end where the text has line ends.
    Still,
    /// Broken into lines at the spaces.
    Wrap,
    /// One line that runs from right to left, over and over.
    Scroll,
}

/// How a text looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TextStyle {
    /// The face; `None`: the one that gives the largest letters.
    pub face: Option<Face>,
    /// The most rows of a line; `None`: as many as fit.
    pub rows: Option<NonZeroU32>,
    /// How it is laid.
    pub flow: Flow,
    /// How fast it runs.
    pub speed: PixelsPerSecond,
    /// The letters.
    pub colour: Light,
    /// What is behind them.
    pub ground: Light,
}

impl Default for TextStyle {
    /// White on black, as large as fits, 20 pixels a second where it runs.
    fn default() -> Self {
        Self {
            face: None,
            rows: None,
            flow: Flow::Auto,
            speed: PixelsPerSecond::default(),
            colour: Light::WHITE,
            ground: Light::BLACK,
        }
    }
}

/// A text laid out for one wall.
///
/// A frame of another size shows the part that falls on it.
#[derive(Debug)]
pub struct Text {
    mask: Mask,
    scale: u32,
    /// Where the block lies when it is still: columns and rows from the top left.
    at: (u32, u32),
    /// The wall's columns, where it runs.
    running: Option<u32>,
    style: TextStyle,
    /// Pixels that it had run when it was last drawn.
    drawn: Option<u64>,
}

impl Text {
    /// Lays a text out for a wall of `columns` x `rows`.
    ///
    /// Typographic quotes, dashes and spaces come as plain ones.
    ///
    /// # Errors
    /// [`LetteringError`] where there is no text or too much, a letter that the faces lack, or no size
    /// fits the wall.
    pub fn new(
        text: &str,
        style: TextStyle,
        (columns, rows): (u32, u32),
    ) -> Result<Self, LetteringError> {
        let paragraphs = read(text)?;
        let wall = (columns, rows);
        let (wanted, least) =
            (style.rows.map_or(u32::MAX, NonZeroU32::get), least_rows(style.face));
        if wanted < least {
            return Err(LetteringError::TooFewRows { rows: wanted, least });
        }
        // Lines may be higher than the wall: what counts is what is lit of them.
        let sizes: Vec<Size> = sizes(style.face, wanted.min(rows.saturating_mul(2)))
            .into_iter()
            .filter(|size| paragraphs.iter().flatten().all(|&letter| size.cut.has(letter)))
            .collect();
        let still = |size: &Size| Self::still(*size, &paragraphs, style, wall);
        let broken = |size: &Size| {
            let lines = wrapped(size.cut, &paragraphs, columns / size.scale)?;
            Self::still(*size, &lines, style, wall)
        };
        let found = match style.flow {
            Flow::Still => sizes.iter().find_map(still),
            Flow::Wrap => sizes.iter().find_map(broken),
            Flow::Scroll => Self::running(&sizes, &paragraphs, style, wall),
            Flow::Auto => sizes
                .iter()
                .find_map(broken)
                .or_else(|| Self::running(&sizes, &paragraphs, style, wall)),
        };
        found.ok_or_else(|| too_small(&paragraphs, style, wall))
    }

    fn still(
        Size { cut, scale }: Size,
        lines: &[Vec<char>],
        style: TextStyle,
        (columns, rows): (u32, u32),
    ) -> Option<Self> {
        // Before the work of a mask that cannot fit; its first and last row may be dark.
        let lowest = (lines.len() as u64).saturating_sub(1) * u64::from(cut.height);
        if lowest * u64::from(scale) > u64::from(rows) {
            return None;
        }
        let mask = Mask::of(cut, lines)?;
        let across = columns.checked_sub(mask.width.checked_mul(scale)?)?;
        let down = rows.checked_sub(mask.height.checked_mul(scale)?)?;
        Some(Self { mask, scale, at: (across / 2, down / 2), running: None, style, drawn: None })
    }

    /// Of the sizes whose ink fits the wall's rows, the largest of which some letters are seen at once,
    /// else the smallest.
    fn running(
        sizes: &[Size],
        paragraphs: &[Vec<char>],
        style: TextStyle,
        (columns, rows): (u32, u32),
    ) -> Option<Self> {
        if columns == 0 {
            return None;
        }
        let line = paragraphs.join(&' ');
        let fits = |size: &&Size| {
            let ink = size.cut.ink(line.iter().copied());
            ink.is_some_and(|ink| (ink.bottom - ink.top + 1) * size.scale <= rows)
        };
        let seen = |size: &&Size| columns / (size.cut.width * size.scale) >= SEEN_AT_ONCE;
        let mut fitting = sizes.iter().filter(fits);
        let Size { cut, scale } = *fitting.clone().find(seen).or_else(|| fitting.next_back())?;
        let mask = Mask::of(cut, &[line])?;
        let down = rows.checked_sub(mask.height * scale)?;
        Some(Self { mask, scale, at: (0, down / 2), running: Some(columns), style, drawn: None })
    }

    /// How far it has run: 0 when nothing is seen yet, and again when the last letter is gone.
    fn run(&self, at: Duration) -> u64 {
        let Some(columns) = self.running else { return 0 };
        let round = u128::from(self.mask.width) * u128::from(self.scale) + u128::from(columns);
        let pixels = at.as_nanos() * u128::from(self.style.speed.0.get()) / 1_000_000_000;
        (pixels % round) as u64
    }
}

impl Source for Text {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let run = self.run(at);
        if self.drawn == Some(run) && !into.is_blank() {
            return Ok(Drawn::Same);
        }
        self.drawn = Some(run);
        let left = match self.running {
            Some(columns) => i64::from(columns) - i64::try_from(run).unwrap_or(i64::MAX),
            None => self.at.0.into(),
        };
        let scale = i64::from(self.scale);
        let columns = into.columns().max(1) as usize;
        for (row, line) in into.values_mut().chunks_exact_mut(columns * 3).enumerate() {
            let letter_row = (row as i64 - i64::from(self.at.1)).div_euclid(scale);
            for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
                let letter_column = (column as i64 - left).div_euclid(scale);
                // What is left of or above the block is beyond any mask as well.
                let on = match (u32::try_from(letter_column), u32::try_from(letter_row)) {
                    (Ok(column), Ok(row)) => self.mask.lit(column, row),
                    _ => false,
                };
                let light = if on { self.style.colour } else { self.style.ground };
                pixel.copy_from_slice(&light.0);
            }
        }
        Ok(Drawn::New)
    }
}

/// The lines of a text, in letters that the faces have.
fn read(text: &str) -> Result<Vec<Vec<char>>, LetteringError> {
    let letters = text.chars().count();
    if letters > MOST_LETTERS {
        return Err(LetteringError::TooLong { letters, most: MOST_LETTERS });
    }
    let line = |line: &str| {
        line.chars().filter(|&letter| letter != SOFT_HYPHEN).map(face::plain).collect::<Vec<char>>()
    };
    let paragraphs: Vec<Vec<char>> = text.lines().map(line).collect();
    let lacking = paragraphs.iter().flatten().find(|&&letter| !face::has(letter));
    if let Some(&letter) = lacking {
        return Err(LetteringError::NoLetter(letter));
    }
    if paragraphs.iter().flatten().all(|&letter| matches!(letter, ' ' | '\u{A0}')) {
        return Err(LetteringError::NoText);
    }
    Ok(paragraphs)
}

/// Rows of the smallest letters of a face.
fn least_rows(face: Option<Face>) -> u32 {
    smallest(face).map_or(0, |cut| cut.height)
}

fn smallest(face: Option<Face>) -> Option<&'static Cut> {
    face::cuts(face.unwrap_or(Face::Fixed)).next()
}

/// What the smallest letters would take of a wall.
fn too_small(paragraphs: &[Vec<char>], style: TextStyle, wall: (u32, u32)) -> LetteringError {
    let what = match style.flow {
        Flow::Still => "this text",
        Flow::Wrap => "this text, broken at its spaces,",
        Flow::Auto | Flow::Scroll => "this text, running,",
    };
    let measured = smallest(style.face).and_then(|cut| {
        let lines = match style.flow {
            Flow::Still => paragraphs.to_vec(),
            Flow::Wrap => (wall.0..).find_map(|columns| wrapped(cut, paragraphs, columns))?,
            Flow::Auto | Flow::Scroll => vec![paragraphs.join(&' ')],
        };
        Mask::of(cut, &lines)
    });
    let (width, height) = measured.map_or((1, 1), |mask| (mask.width, mask.height));
    let runs = matches!(style.flow, Flow::Auto | Flow::Scroll);
    LetteringError::WallTooSmall { what, wall, least: (if runs { 1 } else { width }, height) }
}

#[cfg(test)]
mod tests;
