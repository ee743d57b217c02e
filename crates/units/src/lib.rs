//! Values that carry their unit, and the arithmetic that has a meaning.
//!
//! Rule of this room: no word of a wall. A quantity knows its unit, how it is written in text
//! (`"1.2 m"`, `"16 AWG"`) and how it is shown to a person; it does not know what it measures.

mod chromaticity;
mod gauge;
mod quantity;
mod show;
mod text;

pub use chromaticity::Chromaticity;
pub use gauge::Gauge;
pub use quantity::{
    Amps, Candelas, CandelasPerSquareMetre, CubicMetres, Decibels, DecibelsPerSecond, Grams,
    GramsPerCubicCentimetre, Hertz, Hours, Kilograms, KilogramsPerMetre, KilogramsPerSquareMetre,
    Metres, Ohms, OhmsPerMetre, Pascals, PerMetre, Seconds, VoltAmps, Volts, VolumeFlow, Watts,
    WattsPerSquareMetre,
};
pub use show::Figures;
pub use text::{FromText, TextError};
