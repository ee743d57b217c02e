//! Supplies, wires, limits and mains.

use glowloom_units::{Amps, Hertz, Metres, Ohms, Volts};

use super::Wire;

/// A DC supply.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Catalogue key, or `own figures`.
    pub part: String,
    /// Rated output.
    pub volts: Volts,
    /// Rated output.
    pub amps: Amps,
}

/// Which convention the mains conductors' colours follow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MainsColours {
    /// Brown line, blue neutral, green-and-yellow earth (IEC 60445).
    Iec,
    /// Black line, white neutral, green ground (US).
    Us,
}

/// The circuit that the wall is plugged into.
#[derive(Clone, Debug, PartialEq)]
pub struct Mains {
    /// Nominal.
    pub volts: Volts,
    /// Nominal.
    pub hertz: Hertz,
    /// Of the circuit's breaker.
    pub circuit_amps: Amps,
    /// Of the conductors.
    pub colours: MainsColours,
    /// From the plug to each supply.
    pub cord: Metres,
}

/// `[power]` of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Power {
    /// What each panel has.
    pub supply: Supply,
    /// At least 1, at most the strips of any panel.
    pub supplies_per_panel: u32,
    /// What the supply is set to.
    pub trim_volts: Volts,
    /// Between two strips, each conductor.
    pub jumper_wire: Wire,
    /// Each soldered or screwed end of each conductor.
    pub connection_ohms: Ohms,
    /// Lowest voltage wanted at any pixel.
    pub least_volts: Volts,
    /// Ceiling of every channel, 0 to 1; scales colours, never idle current.
    pub brightness_limit: f64,
    /// Share of full white in typical figures, 0 to 1.
    pub typical_level: f64,
    /// Inside the supply.
    pub supply_ohms: Ohms,
    /// Of the supply, above 0 to 1.
    pub efficiency: f64,
    /// Of the supply at the mains, above 0 to 1.
    pub power_factor: f64,
    /// Share of a supply's rating that may be used, above 0 to 1.
    pub supply_load: f64,
    /// Share of the circuit that may be used, above 0 to 1.
    pub circuit_load: f64,
    /// Share of a fuse's rating that may be used, above 0 to 1.
    pub fuse_load: f64,
    /// Ratings that can be bought, rising.
    pub fuses: Vec<Amps>,
    /// Where it is plugged in.
    pub mains: Mains,
}
