//! What a wall costs to run.

use glowloom_design::Wall;
use glowloom_design::wall::Prices;
use glowloom_units::Watts;
use serde::Serialize;

use crate::power::mains::mains;
use crate::totals::strips;

/// Days of a year.
const DAYS: f64 = 365.0;

/// Energy of a year.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Energy {
    /// From the mains while it is lit, at `typical_level` of full white, or at the brightness limit
    /// if that is lower; receivers included. Solved, or a plain sum where the wall has no answer.
    pub watts: Watts,
    /// That it is lit. For the rest of the day it is taken to be unplugged.
    pub hours_per_day: f64,
    /// In a year of 365 days.
    pub kwh_per_year: f64,
    /// Of one kilowatt-hour.
    pub price_per_kwh: f64,
    /// In the currency of the prices.
    pub cost_per_year: f64,
}

/// Energy of a year at the tariff of the wall file. `typical` is what the solved wall takes from the
/// mains at the typical level; `None` where it has no answer.
#[must_use]
pub fn energy(wall: &Wall, prices: &Prices, typical: Option<Watts>) -> Energy {
    let level = wall.power.typical_level.min(wall.power.brightness_limit);
    let watts = typical.unwrap_or_else(|| mains(wall, strips(wall, level).amps).watts);
    let kwh_per_year = watts.0 / 1000.0 * prices.hours_per_day * DAYS;
    Energy {
        watts,
        hours_per_day: prices.hours_per_day,
        kwh_per_year,
        price_per_kwh: prices.energy_per_kwh,
        cost_per_year: kwh_per_year * prices.energy_per_kwh,
    }
}
