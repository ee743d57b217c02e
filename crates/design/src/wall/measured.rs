//! What a meter read on the panels, or of a roll on the bench.

use glowloom_units::{Amps, Volts};

use super::Edge;

/// What the light was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lit {
    /// A white picture: on a strip of four colours its white alone.
    White,
    /// Red alone.
    Red,
    /// Green alone.
    Green,
    /// Blue alone.
    Blue,
    /// Nothing.
    Black,
    /// Every colour that the strip has.
    All,
}

impl Lit {
    /// As the file has it.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::White => "white",
            Self::Red => "red",
            Self::Green => "green",
            Self::Blue => "blue",
            Self::Black => "black",
            Self::All => "all",
        }
    }

    /// Red, green, blue and white of a pixel in linear light, on a strip of so many colours.
    #[must_use]
    pub fn levels(self, channels: usize) -> [f64; 4] {
        match self {
            Self::White if channels == 4 => [0.0, 0.0, 0.0, 1.0],
            Self::White => [1.0, 1.0, 1.0, 0.0],
            Self::Red => [1.0, 0.0, 0.0, 0.0],
            Self::Green => [0.0, 1.0, 0.0, 0.0],
            Self::Blue => [0.0, 0.0, 1.0, 0.0],
            Self::Black => [0.0; 4],
            Self::All => [1.0; 4],
        }
    }
}

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// A panel, from 0 as in the file.
    Panel(usize),
    /// A roll that is fed at its start.
    Bench {
        /// Lit, from the start; at least 1.
        pixels: u32,
        /// Behind them, dark.
        dark_pixels: u32,
    },
}

/// Where the tips of the meter were. Strips count from 1, pixels from 0 where the data comes in. A roll
/// on the bench counts as strip 1, its start as the near edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tips {
    /// On the pads at that end of a strip.
    Pads {
        /// The strip.
        strip: u32,
        /// Which end of it.
        edge: Edge,
    },
    /// At a pixel.
    Pixel {
        /// The strip.
        strip: u32,
        /// Which pixel of it.
        pixel: u32,
    },
    /// At the mark behind a pixel, as the data runs.
    Mark {
        /// The strip.
        strip: u32,
        /// The pixel before the mark.
        pixel: u32,
    },
}

/// Which current was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Current {
    /// In the plus wire of a feed.
    Feed {
        /// Its strip, from 1.
        strip: u32,
        /// Its end of the strip.
        edge: Edge,
    },
    /// Into all strips of the panel, or into the roll.
    Whole,
}

/// A figure from a meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure<Q> {
    /// What it showed.
    pub shown: Q,
    /// How far that may be off either way, in 95 of 100 cases; above 0.
    pub error: Q,
}

/// One entry of `[[measured]]`; it holds one figure at least.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Where it stands among the entries of the file, from 0.
    pub number: usize,
    /// What was read.
    pub subject: Subject,
    /// What it showed.
    pub lit: Lit,
    /// Under this brightness, 0 to 1.
    pub brightness: f64,
    /// What fed it: at the supply's terminals, or on the bench at the start of the roll.
    pub fed_with: Option<Volts>,
    /// A voltage.
    pub volts: Option<(Tips, Figure<Volts>)>,
    /// A current.
    pub amps: Option<(Current, Figure<Amps>)>,
}
