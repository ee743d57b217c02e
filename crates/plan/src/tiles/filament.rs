//! Filament: how long it is, and how many spools.

use std::f64::consts::PI;

use glowloom_design::wall::Baffle;
use glowloom_units::{CubicMetres, Kilograms, Metres};

/// The length of a round filament of that volume.
#[must_use]
pub fn length(volume: CubicMetres, diameter: Metres) -> Metres {
    Metres(volume.0 / (PI * diameter.0 * diameter.0 / 4.0))
}

/// Whole spools that hold a mass, and what is left on the last one. What a printer lays down
/// besides the parts, and prints that fail, are not counted.
#[must_use]
pub fn spools(mass: Kilograms, baffle: &Baffle) -> (u64, Kilograms) {
    // Rounding of a sum must not open another spool.
    let spools = (mass / baffle.spool - 1e-9).ceil().max(0.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
    let whole = spools as u64;
    (whole, (baffle.spool * spools - mass).max(Kilograms(0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_units::GramsPerCubicCentimetre;

    /// Metres to a kilogram by density and diameter: pi d2 / 4 x density (computed; densities are
    /// makers' figures as quoted, ABS and ASA from memory).
    #[test]
    fn metres_to_a_kilogram() {
        for (density, at_175, at_285) in [
            (1.24, 335.28, 126.42),
            (1.27, 327.36, 123.43),
            (1.04, 399.76, 150.73),
            (1.07, 388.55, 146.50),
        ] {
            let one = GramsPerCubicCentimetre(density);
            let volume = CubicMetres(Kilograms(1.0) / (CubicMetres(1.0) * one));
            for (diameter, metres) in [(0.00175, at_175), (0.00285, at_285)] {
                let found = length(volume, Metres(diameter)).0;
                assert!((found - metres).abs() < 0.005, "{density} {diameter}: {found}");
            }
        }
    }
}
