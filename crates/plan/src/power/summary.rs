//! Power as the plan's document has it: plain sums, the solved panels, how bright the wall may be.

use glowloom_design::Wall;
use glowloom_units::{Amps, Volts, Watts};
use serde::Serialize;

use super::figures::PanelPower;
use super::limits::Binding;
use super::mains::{Energy, Mains, mains};
use super::wall::{Showing, Study, UnsolvedPanel, wall_power_showing};
use crate::path::Cell;
use crate::totals::{Load, strips};

/// The name of the typical level among the pictures that are shown.
pub const TYPICAL: &str = "typical";

/// Current and power of the whole wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Power {
    /// Every colour of every pixel full on, brightness 1: a plain sum.
    pub full_white: Load,
    /// The colours at `typical_level` of that: a plain sum.
    pub typical: Load,
    /// From the mains at full white under `brightness_limit`, solved, receivers included. Of a wall
    /// that has no answer the plain sum, which no answer passes.
    pub mains: Mains,
    /// Every panel at full white under `brightness_limit`, solved; none where one has no answer.
    pub panels: Vec<PanelPower>,
    /// The picture that `mains` and `panels` are of in place of full white; else null.
    pub picture: Option<String>,
    /// The highest brightness of full white at which every limit holds; 0 where there is none.
    pub highest_safe_brightness: f64,
    /// What sets that end.
    pub binding: Binding,
    /// The first panel whose limit that is; null for the circuit's, or none.
    pub binding_panel: Option<String>,
    /// The whole wall at plain pictures, solved.
    pub shown: Vec<Shown>,
    /// At the typical level, where `[prices]` says how long the wall is lit a day; else null.
    pub energy: Option<Energy>,
}

/// What the wall takes for a plain picture.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Shown {
    /// `white`, `red`, `green`, `blue`, `white channel`, `typical`, `black`.
    pub picture: &'static str,
    /// That it is shown under.
    pub brightness: f64,
    /// Of the strips.
    pub amps: Amps,
    /// In the LEDs, light and heat.
    pub led_watts: Watts,
    /// In rails, jumpers and feeds.
    pub copper_watts: Watts,
    /// At the lowest pixel of the wall.
    pub least_volts: Volts,
    /// The first panel that has it.
    pub least_volts_panel: String,
    /// From the mains, receivers included.
    pub mains_watts: Watts,
}

impl Shown {
    fn of(wall: &Wall, picture: &'static str, brightness: f64, panels: &[Of]) -> Self {
        let least = panels.iter().enumerate().min_by(|a, b| a.1.least.0.total_cmp(&b.1.least.0));
        let panel = least.and_then(|(i, _)| wall.panels.get(i));
        let amps: Amps = panels.iter().map(|of| of.amps).sum();
        Self {
            picture,
            brightness,
            amps,
            led_watts: panels.iter().map(|of| of.led).sum(),
            copper_watts: panels.iter().map(|of| of.copper).sum(),
            least_volts: least.map(|(_, of)| of.least).unwrap_or_default(),
            least_volts_panel: panel.map(|panel| panel.name.clone()).unwrap_or_default(),
            mains_watts: mains(wall, amps).watts,
        }
    }
}

/// One panel's part of it.
#[derive(Clone, Copy)]
struct Of {
    amps: Amps,
    led: Watts,
    copper: Watts,
    least: Volts,
}

/// The power of a wall, and what it was worked out from.
///
/// # Errors
/// The first panel whose network has no answer.
pub fn solved(wall: &Wall) -> Result<(Power, Study), UnsolvedPanel> {
    let study = Study::of(wall)?;
    let found = study.power.clone();
    let first = found.binding_panel.and_then(|panel| wall.panels.get(panel));
    let shown = shown(wall, &study)?;
    let typical = shown.iter().find(|shown| shown.picture == TYPICAL).map(|shown| shown.amps);
    let hours = wall.prices.as_ref().map(|prices| prices.hours_per_day);
    let power = Power {
        full_white: strips(wall, 1.0),
        typical: strips(wall, wall.power.typical_level),
        mains: found.mains,
        panels: found.panels,
        picture: None,
        highest_safe_brightness: found.highest_safe_brightness,
        binding: found.binding,
        binding_panel: first.map(|panel| panel.name.clone()),
        shown,
        energy: hours.zip(typical).map(|(hours, amps)| mains(wall, amps).energy(hours)),
    };
    Ok((power, study))
}

impl Power {
    /// Takes in what the panels do at a picture, in place of full white: levels of red, green, blue and
    /// white by place of the picture, 0 to 1 in linear light, under `brightness_limit`.
    ///
    /// # Errors
    /// The first panel whose network has no answer.
    pub fn show(
        &mut self,
        wall: &Wall,
        name: String,
        levels: &(dyn Fn(Cell) -> [f64; 4] + Sync),
    ) -> Result<(), UnsolvedPanel> {
        let limit = wall.power.brightness_limit;
        let shown = wall_power_showing(wall, Showing::Picture(levels), limit)?;
        (self.mains, self.panels, self.picture) = (shown.mains, shown.panels, Some(name));
        Ok(())
    }
}

/// The power of a wall that has no answer: plain sums, and no brightness that is known to be safe.
#[must_use]
pub fn unsolved(wall: &Wall) -> Power {
    let full = strips(wall, wall.power.brightness_limit);
    Power {
        full_white: strips(wall, 1.0),
        typical: strips(wall, wall.power.typical_level),
        mains: mains(wall, full.amps),
        panels: Vec::new(),
        picture: None,
        highest_safe_brightness: 0.0,
        binding: Binding::None,
        binding_panel: None,
        shown: Vec::new(),
        energy: None,
    }
}

/// White, each colour, the typical level and black.
fn shown(wall: &Wall, study: &Study) -> Result<Vec<Shown>, UnsolvedPanel> {
    let limit = wall.power.brightness_limit;
    let typical = wall.power.typical_level;
    let mut pictures = vec![
        ("white", [1.0; 4], limit),
        ("red", [1.0, 0.0, 0.0, 0.0], limit),
        ("green", [0.0, 1.0, 0.0, 0.0], limit),
        ("blue", [0.0, 0.0, 1.0, 0.0], limit),
    ];
    if wall.strip.channels() == 4 {
        pictures.push(("white channel", [0.0, 0.0, 0.0, 1.0], limit));
    }
    // A ceiling below the typical level holds here too.
    pictures.push((TYPICAL, [typical.min(limit); 4], 1.0));
    pictures.push(("black", [0.0; 4], limit));
    let (names, pictures): (Vec<_>, Vec<_>) =
        pictures.into_iter().map(|(name, levels, under)| (name, (levels, under))).unzip();
    let kinds = study.networks.all().len();
    let solved = study.networks.each_kind(wall, &pictures, |solution| {
        let heat = solution.heat();
        let least = solution.all_volts().reduce(Volts::min).unwrap_or_default();
        Of { amps: solution.amps(), led: heat.led, copper: heat.copper, least }
    })?;
    let of = |(picture, (_, brightness)): (&&'static str, &([f64; 4], f64)), kinds: &[Of]| {
        let panels: Vec<Of> =
            (0..wall.panels.len()).map(|panel| kinds[study.networks.kind(panel)]).collect();
        Shown::of(wall, picture, *brightness, &panels)
    };
    let named = names.iter().zip(&pictures);
    Ok(named.zip(solved.chunks(kinds.max(1))).map(|(named, kinds)| of(named, kinds)).collect())
}
