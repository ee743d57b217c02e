//! What the wall takes from its circuit.

use glowloom_design::Wall;
use glowloom_units::{Amps, VoltAmps, Watts};
use serde::Serialize;

/// Days of a year.
const YEAR: f64 = 365.0;

/// Energy, kWh.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct KilowattHours(pub f64);

/// The wall at its plug.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Mains {
    /// Volt-amperes over the mains voltage.
    pub amps: Amps,
    /// What the supplies give, over their efficiency.
    pub watts: Watts,
    /// Of the circuit's amps.
    pub circuit_share: f64,
    /// Heat in the supplies for want of efficiency.
    pub supply_heat_watts: Watts,
}

/// What all strips and receivers take from the mains, for strips that draw so much.
#[must_use]
pub fn mains(wall: &Wall, strips: Amps) -> Mains {
    let power = &wall.power;
    let given = given(wall, strips);
    let watts = given / power.efficiency;
    let amps = mains_amps(wall, strips);
    Mains {
        amps,
        watts,
        circuit_share: amps / power.mains.circuit_amps,
        supply_heat_watts: watts - given,
    }
}

/// What the supplies give: strips and receivers at `trim_volts`.
fn given(wall: &Wall, strips: Amps) -> Watts {
    let receivers: Amps = wall.panels.iter().map(|_| wall.receiver.amps).sum();
    wall.power.trim_volts * (strips + receivers)
}

/// Amps at the plug for strips that draw so much, receivers included.
pub(super) fn mains_amps(wall: &Wall, strips: Amps) -> Amps {
    let power = &wall.power;
    let apparent = VoltAmps(given(wall, strips).0 / power.efficiency / power.power_factor);
    Amps(apparent.0 / power.mains.volts.0)
}

/// What the wall takes in time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Energy {
    /// That the wall is lit.
    pub hours_per_day: f64,
    /// In such a day.
    pub kwh_per_day: KilowattHours,
    /// In a year of such days.
    pub kwh_per_year: KilowattHours,
}

impl Mains {
    /// Energy of days of so many hours.
    #[must_use]
    pub fn energy(&self, hours_per_day: f64) -> Energy {
        Energy {
            hours_per_day,
            kwh_per_day: self.per_day(hours_per_day),
            kwh_per_year: self.per_year(hours_per_day),
        }
    }

    /// Energy of a day of so many hours.
    #[must_use]
    pub fn per_day(&self, hours: f64) -> KilowattHours {
        KilowattHours(self.watts.0 * hours / 1000.0)
    }

    /// Energy of a year of such days.
    #[must_use]
    pub fn per_year(&self, hours: f64) -> KilowattHours {
        KilowattHours(self.per_day(hours).0 * YEAR)
    }
}
