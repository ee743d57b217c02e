//! What a panel weighs, part by part, each with who says so.

use glowloom_design::Wall;
use glowloom_design::catalogue::{board as boards, cloth as cloths, strip as strips};
use glowloom_design::wall::{Panel, SupplyOn};
use glowloom_units::{Kilograms, KilogramsPerMetre, Metres};
use serde::Serialize;

use crate::built::Built;
use crate::material::cloth;
use crate::material::made::Made;
use crate::material::wire::{Run, Use, runs};

/// Copper, g/cm3 (from memory).
const COPPER: f64 = 8.96;
/// Insulation of a wire, as a share of its copper's mass (from memory; weigh a metre).
const INSULATION: f64 = 0.4;
/// One network board with its leads (from memory; weigh one).
const RECEIVER: Kilograms = Kilograms(0.02);
/// Solder, glue, tape and connectors, as a share of all the rest but supplies (from memory).
const SMALL_THINGS: f64 = 0.05;
/// A supply of no watts, and what each watt adds (from memory; weigh one).
const SUPPLY: (Kilograms, f64) = (Kilograms(0.2), 0.0022);

/// Which part of a panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)] // the name says it
pub enum Part {
    Strip,
    Board,
    Baffle,
    Cloth,
    Wire,
    Receiver,
    SmallThings,
    Supplies,
}

impl Part {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Strip => "strip",
            Self::Board => "board",
            Self::Baffle => "printed baffle",
            Self::Cloth => "cloth",
            Self::Wire => "wire",
            Self::Receiver => "receiver",
            Self::SmallThings => "solder, glue, tape, connectors",
            Self::Supplies => "supplies",
        }
    }
}

/// The mass of one part.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PartMass {
    /// Which.
    pub part: Part,
    /// Null where nobody knows it.
    pub kg: Option<Kilograms>,
    /// Who says so.
    pub source: String,
}

/// What hangs with the panel's fixings, part by part.
#[must_use]
pub fn parts(wall: &Wall, panel: &Panel, made: &Made) -> Vec<PartMass> {
    let (width, height) = Built::of(wall, panel).size();
    let area = width.0 * height.0;
    let mut parts = vec![strip(wall, panel)];
    if let Some(board) = &wall.board {
        let known = boards::find(&board.material)
            .filter(|part| part.mass.value * (board.thickness / part.thickness) == board.mass);
        let source = known.map_or(OWN, |part| part.mass.source);
        parts.push(weighed(Part::Board, Some(Kilograms(board.mass.0 * area)), source));
    }
    if wall.baffle.is_some() {
        let all: u64 = wall.panels.iter().map(|panel| u64::from(panel.pixels())).sum();
        #[expect(clippy::cast_precision_loss, reason = "4,000,000 at most")]
        let share = f64::from(panel.pixels()) / all as f64;
        let mass = made.filament.map(|filament| filament * share);
        let source = if mass.is_some() {
            "volume of the tiles and density of the filament, shared out by pixels"
        } else {
            "the tiles are not worked out"
        };
        parts.push(weighed(Part::Baffle, mass, source));
    }
    if let Some(diffuser) = &wall.diffuser {
        let (width, height) = cloth::piece(wall, width, height, diffuser.wrap);
        let source = if diffuser.mass == cloths::MASS.value { cloths::MASS.source } else { OWN };
        let mass = Kilograms(diffuser.mass.0 * width.0 * height.0);
        parts.push(weighed(Part::Cloth, Some(mass), source));
    }
    let wire = "copper 8.96 g/cm3 and 40 % of that for insulation, from memory; weigh a metre";
    parts.push(weighed(Part::Wire, wires(wall, panel), wire));
    parts.push(weighed(Part::Receiver, Some(RECEIVER), "from memory; weigh one"));
    let so_far: Kilograms = parts.iter().filter_map(|part| part.kg).sum();
    let source = "5 % of the parts above, from memory";
    parts.push(weighed(Part::SmallThings, Some(so_far * SMALL_THINGS), source));
    parts.extend(supplies(wall));
    parts
}

const OWN: &str = "the wall file";

fn weighed(part: Part, kg: Option<Kilograms>, source: &str) -> PartMass {
    PartMass { part, kg, source: source.to_owned() }
}

fn strip(wall: &Wall, panel: &Panel) -> PartMass {
    let strip = &wall.strip;
    let length = wall.pitch() * f64::from(panel.pixels());
    let known = strips::find(&strip.part).filter(|part| part.chip.mass.value == strip.mass);
    let source = known.map_or(OWN, |part| part.chip.mass.source);
    // A strip of no mass is one of own figures that leaves it out.
    let mass = (strip.mass > KilogramsPerMetre(0.0)).then(|| strip.mass * length);
    weighed(Part::Strip, mass, if mass.is_some() { source } else { "kg_per_metre is not given" })
}

/// All wires that hang on the panel; the cords of supplies hang on the house.
fn wires(wall: &Wall, panel: &Panel) -> Option<Kilograms> {
    let runs = runs(wall, [panel]);
    runs.iter().filter(|run| run.joins != Use::MainsCord).map(wire).sum()
}

fn wire(run: &Run) -> Option<Kilograms> {
    let Metres(length) = run.length_m;
    #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
    let cubic_centimetres = run.size.copper_mm2()? * length * run.count as f64;
    Some(Kilograms(cubic_centimetres * COPPER * (1.0 + INSULATION) / 1000.0))
}

/// What carries the supplies. Where the file does not say, the worse: the board.
#[must_use]
pub fn supply_on(wall: &Wall) -> SupplyOn {
    wall.hanging.as_ref().and_then(|hanging| hanging.supply_on).unwrap_or(SupplyOn::Board)
}

fn supplies(wall: &Wall) -> Option<PartMass> {
    if supply_on(wall) != SupplyOn::Board {
        return None;
    }
    let power = &wall.power;
    let own = wall.hanging.as_ref().and_then(|hanging| hanging.supply_mass);
    let watts = power.supply.volts * power.supply.amps;
    let one = own.unwrap_or(SUPPLY.0 + Kilograms(watts.0 * SUPPLY.1));
    let source = if own.is_some() { OWN } else { "200 g and 2.2 g a watt, from memory; weigh one" };
    Some(weighed(Part::Supplies, Some(one * f64::from(power.supplies_per_panel)), source))
}
