//! Current and power as plain sums: no droop, idle current included.

use glowloom_design::Wall;
use glowloom_design::wall::{Panel, Strip};
use glowloom_units::{Amps, VoltAmps, Watts};
use serde::Serialize;

use crate::path::Shares;

/// Current and power of the whole wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Power {
    /// Every colour of every pixel full on, brightness 1.
    pub full_white: Load,
    /// The colours at `typical_level` of that.
    pub typical: Load,
    /// From the mains at full white under `brightness_limit`, receivers included.
    pub mains: MainsLoad,
}

/// What the strips draw.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Load {
    /// At the strips' voltage.
    pub amps: Amps,
    /// At `trim_volts`.
    pub watts: Watts,
}

/// What the wall takes from its circuit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MainsLoad {
    /// Volt-amperes over the mains voltage.
    pub amps: Amps,
    /// What the supplies give over their efficiency.
    pub watts: Watts,
    /// Of the circuit's amps.
    pub circuit_share: f64,
}

/// The sums of a wall.
#[must_use]
pub fn power(wall: &Wall) -> Power {
    Power {
        full_white: strips(wall, 1.0),
        typical: strips(wall, wall.power.typical_level),
        mains: mains(wall, wall.power.brightness_limit),
    }
}

/// What one pixel draws with its colours at a level of 0 to 1; the idle current is not scaled.
#[must_use]
pub fn pixel_amps(strip: &Strip, level: f64) -> Amps {
    let channels = if strip.channels() == 4 { 4.0 } else { 3.0 };
    strip.channel_amps * (channels * level) + strip.idle_amps
}

/// What all strips draw with their colours at a level of 0 to 1. Spare pixels are left out.
#[must_use]
pub fn strips(wall: &Wall, level: f64) -> Load {
    let pixels: u32 = wall.panels.iter().map(Panel::pixels).sum();
    let amps = pixel_amps(&wall.strip, level) * f64::from(pixels);
    Load { amps, watts: wall.power.trim_volts * amps }
}

/// What the wall takes from the mains with its colours at a level of 0 to 1.
#[must_use]
pub fn mains(wall: &Wall, level: f64) -> MainsLoad {
    let power = &wall.power;
    let receivers: Amps = wall.panels.iter().map(|_| wall.receiver.amps).sum();
    let given = strips(wall, level).watts + power.trim_volts * receivers;
    let watts = given / power.efficiency;
    let apparent = VoltAmps(watts.0 / power.power_factor);
    let amps = Amps(apparent.0 / power.mains.volts.0);
    MainsLoad { amps, watts, circuit_share: amps / power.mains.circuit_amps }
}

/// What the most loaded of `supplies` on a panel gives with the colours at a level of 0 to 1. It is
/// the first: it takes the odd strip, and the receiver hangs on it.
#[must_use]
pub fn supply_amps(wall: &Wall, panel: &Panel, supplies: u32, level: f64) -> Amps {
    let strips = Shares::new(panel.strip_count(), supplies).of(0);
    let pixels = f64::from(strips * panel.strip_pixels());
    pixel_amps(&wall.strip, level) * pixels + wall.receiver.amps
}
