//! Why a text or a clock cannot be shown.

use std::fmt;

/// Why a text or a clock cannot be shown on a wall. Each says what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum LetteringError {
    /// There is nothing to read.
    NoText,
    /// More letters than are laid out.
    TooLong {
        /// How many there are.
        letters: usize,
        /// How many there may be.
        most: usize,
    },
    /// The faces have no such letter.
    NoLetter(char),
    /// Letters of so few rows were asked for that the face has none.
    TooFewRows {
        /// How many.
        rows: u32,
        /// The rows of its smallest letters.
        least: u32,
    },
    /// The least that is needed is larger than the wall, columns x rows.
    WallTooSmall {
        /// What was to be shown.
        what: &'static str,
        /// The wall.
        wall: (u32, u32),
        /// The least that it takes.
        least: (u32, u32),
    },
}

impl fmt::Display for LetteringError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoText => write!(f, "there is no letter in the text; write what is to be read"),
            Self::TooLong { letters, most } => {
                write!(f, "the text has {letters} letters and may have {most}; shorten it")
            }
            Self::NoLetter(letter) => write!(
                f,
                "the pixel faces have no {letter:?} (U+{code:04X}): they have the letters, digits and signs of \
                 Western Europe (ISO 8859-1); write it another way",
                code = u32::from(*letter)
            ),
            Self::TooFewRows { rows, least } => {
                write!(
                    f,
                    "letters of {rows} rows are too small for this face; it begins at {least}"
                )
            }
            Self::WallTooSmall { what, wall, least } => write!(
                f,
                "the wall is {} x {} pixels and {what} takes {} x {} at least; show less, or smaller letters",
                wall.0, wall.1, least.0, least.1
            ),
        }
    }
}

impl std::error::Error for LetteringError {}
