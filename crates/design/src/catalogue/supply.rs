//! DC supplies by what their label says.

use glowloom_units::{Amps, Volts};

/// A supply as catalogued; its key is its label, so its figures need no other source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SupplyPart {
    /// `<volts>v-<amps>a`.
    pub key: &'static str,
    /// Rated output.
    pub volts: Volts,
    /// Rated output.
    pub amps: Amps,
}

const fn part(key: &'static str, volts: f64, amps: f64) -> SupplyPart {
    SupplyPart { key, volts: Volts(volts), amps: Amps(amps) }
}

/// Every supply, in the order to offer them.
pub const ALL: &[SupplyPart] = &[
    part("5v-10a", 5.0, 10.0),
    part("5v-20a", 5.0, 20.0),
    part("5v-30a", 5.0, 30.0),
    part("5v-40a", 5.0, 40.0),
    part("5v-60a", 5.0, 60.0),
    part("12v-10a", 12.0, 10.0),
    part("12v-20a", 12.0, 20.0),
    part("12v-30a", 12.0, 30.0),
];

/// The supply of that key.
#[must_use]
pub fn find(key: &str) -> Option<&'static SupplyPart> {
    ALL.iter().find(|part| part.key == key)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_say_what_they_hold() {
        for part in ALL {
            assert_eq!(part.key, format!("{}v-{}a", part.volts.0, part.amps.0));
        }
    }
}
