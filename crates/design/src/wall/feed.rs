//! Pairs of wires from the supply to strip ends.

use glowloom_units::{Amps, Gauge, Metres, OhmsPerMetre};

/// The panel edge where the first strip starts, or the opposite one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)] // said above
pub enum Edge {
    Near,
    Far,
}

impl Edge {
    /// The other one.
    #[must_use]
    pub fn opposite(self) -> Self {
        match self {
            Self::Near => Self::Far,
            Self::Far => Self::Near,
        }
    }
}

/// A pair of wires to one end of one strip.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    /// From 1.
    pub strip: u32,
    /// Which end of the strip.
    pub edge: Edge,
    /// The supply that it comes from, from 1: that of the strip's zone.
    pub supply: u32,
    /// Of each of its two conductors.
    pub wire: Wire,
}

/// A wire: its resistance, limit and length one way.
#[derive(Clone, Debug, PartialEq)]
pub struct Wire {
    /// As sold; absent where the file gives the resistance itself.
    pub gauge: Option<Gauge>,
    /// At 20 C.
    pub ohms_per_metre: OhmsPerMetre,
    /// What it may carry; absent where neither the file nor the table says.
    pub amps: Option<Amps>,
    /// One way.
    pub length: Metres,
}
