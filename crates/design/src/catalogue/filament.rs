//! What baffles are printed from.

use glowloom_units::GramsPerCubicCentimetre;

use super::{Figure, MEMORY, figure};

/// A filament as catalogued.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilamentPart {
    /// The material.
    pub key: &'static str,
    /// Density.
    pub density: Figure<GramsPerCubicCentimetre>,
}

const fn part(key: &'static str, density: f64, source: &'static str) -> FilamentPart {
    FilamentPart { key, density: figure(GramsPerCubicCentimetre(density), source) }
}

/// Every filament, in the order to offer them.
pub const ALL: &[FilamentPart] = &[
    part("pla", 1.24, "makers' sheets as quoted: 1.22 to 1.26"),
    part("petg", 1.27, "makers' sheets as quoted: 1.25 to 1.29"),
    part("abs", 1.04, MEMORY),
    part("asa", 1.07, MEMORY),
];

/// The filament of that key.
#[must_use]
pub fn find(key: &str) -> Option<&'static FilamentPart> {
    ALL.iter().find(|part| part.key == key)
}
