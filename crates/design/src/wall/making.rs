//! What is printed, cut, hung, paid for and shown.

use std::collections::BTreeMap;

use glowloom_units::{
    GramsPerCubicCentimetre, Kilograms, KilogramsPerSquareMetre, Metres, Seconds, VolumeFlow,
};

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
    /// Width and height as bought; absent: not known.
    pub sheet: Option<(Metres, Metres)>,
}

/// The cloth in front.
#[derive(Clone, Debug, PartialEq)]
pub struct Diffuser {
    /// Folded behind, each side.
    pub wrap: Metres,
}

/// What holds a panel on the wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Hanging {
    /// Of one fixing.
    pub rated: Kilograms,
    /// At least 1.
    pub fixings_per_panel: u32,
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

/// Hours in which the wall is dimmed.
#[derive(Clone, Debug, PartialEq)]
pub struct QuietHours {
    /// Minute of the day, 0 to 1439.
    pub from: u32,
    /// Minute of the day, 0 to 1439; before `from`: the next morning.
    pub to: u32,
    /// Of the ceiling, 0 to 1.
    pub brightness: f64,
}

/// One entry of the running order.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// A file beside the wall file, or a picture made by code.
    pub source: String,
    /// How long.
    pub seconds: Seconds,
}

/// What the wall shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Show {
    /// Of the ceiling, 0 to 1.
    pub brightness: f64,
    /// When it is dimmed.
    pub quiet_hours: Vec<QuietHours>,
    /// What it shows, in order, over and over.
    pub running_order: Vec<Scene>,
}
