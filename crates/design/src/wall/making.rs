//! What is printed, cut, hung and paid for.

use std::collections::BTreeMap;

use glowloom_units::{
    GramsPerCubicCentimetre, Kilograms, KilogramsPerSquareMetre, Metres, Pascals, Seconds,
    VolumeFlow,
};

pub use crate::catalogue::board::Body;

/// The printed grid that keeps pixels apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Baffle {
    /// What the printer's bed takes, width and depth.
    pub bed: (Metres, Metres),
    /// Thickness of a wall between two cells.
    pub wall: Metres,
    /// From the strip to the cloth.
    pub depth: Metres,
    /// Filament, by catalogue key.
    pub material: String,
    /// Of the filament.
    pub density: GramsPerCubicCentimetre,
    /// What the printer really lays down.
    pub flow: VolumeFlow,
    /// Of the printer.
    pub nozzle: Metres,
    /// That the printer runs, above 0 to 24.
    pub hours_per_day: f64,
    /// Between two tiles; 0 or more.
    pub fit_gap: Metres,
    /// For the strip, under each wall that it crosses: width, height.
    pub channel: (Metres, Metres),
    /// By which the mouth of a channel is wider on each side, at 45 degrees; 0 or more.
    pub lead_in: Metres,
    /// Over strip ends, for joints and feed wires: from the edge's wall inward, height.
    pub joint_room: (Metres, Metres),
    /// Inward flange at the cloth, on the outer walls of every tile: width, thickness.
    pub lip: Option<(Metres, Metres)>,
    /// Thickness of a closed rim around each panel.
    pub rim: Option<Metres>,
    /// Of the filament.
    pub filament_diameter: Metres,
    /// Filament on a spool.
    pub spool: Kilograms,
    /// From the end of one print to the start of the next; 0 or more.
    pub between_prints: Seconds,
}

/// What the strips are glued to.
#[derive(Clone, Debug, PartialEq)]
pub struct Board {
    /// By catalogue key.
    pub material: String,
    /// Of the board.
    pub thickness: Metres,
    /// For its area, at that thickness.
    pub mass: KilogramsPerSquareMetre,
    /// Whether it burns.
    pub burns: bool,
    /// What it is made of; absent: not known.
    pub body: Option<Body>,
    /// Width and height as bought; absent: not known.
    pub sheet: Option<(Metres, Metres)>,
    /// Taken away between two pieces.
    pub saw_cut: Metres,
    /// Young's modulus in bending; absent: not known.
    pub stiffness: Option<Pascals>,
}

/// The cloth in front.
#[derive(Clone, Debug, PartialEq)]
pub struct Diffuser {
    /// Folded behind, each side.
    pub wrap: Metres,
    /// As bought.
    pub roll_width: Metres,
    /// For its area.
    pub mass: KilogramsPerSquareMetre,
    /// Share of the light that comes through, above 0 to 1.
    pub transmission: f64,
    /// Share of the light that a cell's walls and floor throw back, 0 to 0.98.
    pub cell_reflectance: f64,
    /// Wanted light at the edge of a cell over that at its centre, above 0 and below 1; absent: the
    /// file does not say.
    pub wanted_evenness: Option<f64>,
}

/// Wire as it is bought and cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WireBuying {
    /// On one spool, above 0.
    pub spool: Metres,
    /// Share of every wire added for its ends and for mistakes, 0 to 1.
    pub spare: f64,
}

/// How a fixing holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fixing {
    /// It is glued to the wall.
    Adhesive,
    /// It is screwed into the wall.
    Screws,
    /// It hangs on a hook.
    Hooks,
}

impl Fixing {
    /// Each as the wall file has it.
    pub const WORDS: &'static [(&'static str, Self)] =
        &[("adhesive", Self::Adhesive), ("screws", Self::Screws), ("hooks", Self::Hooks)];

    /// As the wall file has it.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|word| word.1 == self).map_or("", |word| word.0)
    }
}

/// What carries the supplies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SupplyOn {
    /// The panel's board.
    Board,
    /// The wall of the house.
    Wall,
    /// They stand.
    Floor,
}

impl SupplyOn {
    /// Each as the wall file has it.
    pub const WORDS: &'static [(&'static str, Self)] =
        &[("board", Self::Board), ("wall", Self::Wall), ("floor", Self::Floor)];

    /// As the wall file has it.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|word| word.1 == self).map_or("", |word| word.0)
    }
}

/// What holds a panel on the wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Hanging {
    /// How they hold.
    pub kind: Fixing,
    /// Of one fixing, along the wall.
    pub rated: Kilograms,
    /// At least 1.
    pub fixings_per_panel: u32,
    /// Of one fixing pulled off the wall; absent: not known.
    pub rated_in_peel: Option<Kilograms>,
    /// Whether people are below.
    pub above_people: bool,
    /// Whether each panel has a cord or hook besides.
    pub safety_cord: bool,
    /// What carries the supplies; absent: the file does not say.
    pub supply_on: Option<SupplyOn>,
    /// Middle of a supply on the board as hung, right and down from its corner; absent: not said.
    pub supply_at: Option<(Metres, Metres)>,
    /// Of one supply; absent: to be taken from its watts.
    pub supply_mass: Option<Kilograms>,
    /// Height of the wall's lower edge; absent: not said.
    pub above_floor: Option<Metres>,
}

/// What things cost.
#[derive(Clone, Debug, PartialEq)]
pub struct Prices {
    /// As written, such as `EUR`.
    pub currency: String,
    /// Of one kilowatt-hour.
    pub energy_per_kwh: f64,
    /// That the wall is lit, 0 to 24.
    pub hours_per_day: f64,
    /// By catalogue key, each as one buys it.
    pub items: BTreeMap<String, f64>,
}

/// Paper of the book.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)] // the size is the name
pub enum Paper {
    A4,
    Letter,
}

/// Whether panels share rolls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)] // said above
pub enum CutBy {
    Wall,
    Panel,
}

/// How strips are cut from rolls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cuts {
    /// Whether panels share rolls.
    pub by: CutBy,
    /// Whether a strip may be joined from two pieces.
    pub splices: bool,
}
