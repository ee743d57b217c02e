//! Letters on a wall: texts and clocks, drawn with pixel faces so that they stay crisp at a few rows.
//!
//! Letters are never averaged: each of their pixels is one pixel of the wall, or a whole number of
//! them each way.

#[cfg(test)]
mod art;
mod clock;
mod error;
mod face;
mod layout;
mod light;
mod text;

pub use self::clock::{ClockPicture, ClockStyle, DateOrder, Hours, Reading, Seconds};
pub use self::error::LetteringError;
pub use self::face::Face;
pub use self::light::Light;
pub use self::text::{Flow, Text, TextStyle};
