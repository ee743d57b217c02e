//! Current and power as plain sums: no droop, idle current included.

use glowloom_design::Wall;
use glowloom_design::wall::{Panel, Strip};
use glowloom_units::{Amps, Watts};
use serde::Serialize;

/// What the strips draw.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Load {
    /// At the strips' voltage.
    pub amps: Amps,
    /// At `trim_volts`.
    pub watts: Watts,
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
