//! What is printed, cut, hung and paid for.

use glowloom_units::{
    FromText, Gauge, GramsPerCubicCentimetre, Kilograms, KilogramsPerSquareMetre, Metres, Pascals,
    Seconds, VolumeFlow,
};

use super::{length, share};
use crate::catalogue;
use crate::text::Written;
use crate::text::keys::{keys, section};
use crate::text::reader::Section;
use crate::text::values::Value;
use crate::wall::{FIXINGS, Fixing, SupplyOn};

/// A length that may be nothing.
fn some_length(v: Value<'_, '_, '_>) -> Option<Metres> {
    v.measured(|m: Metres| m.0, 0.0..=1000.0)
}

section! {
    /// `[baffle]`
    Baffle {
        /// What the printer's bed takes: width, depth.
        bed: (Metres, Metres) = |v| v.pair(length),
        /// Thickness between two cells.
        wall: Metres = length,
        /// From the strip to the cloth.
        depth: Metres = length,
        /// `"pla"`, `"petg"`, `"abs"` or `"asa"`; another needs `grams_per_cubic_centimetre`.
        material: String = |v| v.text(),
        /// Density; absent: the material's.
        grams_per_cubic_centimetre: GramsPerCubicCentimetre = |v| v.number(0.01..=30.0).map(GramsPerCubicCentimetre),
        /// What the printer really lays down.
        flow: VolumeFlow = |v| v.measured(|f: VolumeFlow| f.0, 0.001..=10_000.0),
        /// Of the printer.
        nozzle: Metres = length,
        /// That the printer runs.
        hours_per_day: f64 = |v| v.number(0.01..=24.0),
        /// Between two tiles: each stands back by half of it on every side; `"0.2 mm"` if absent.
        fit_gap: Metres = |v| v.measured(|m: Metres| m.0, 0.0..=0.1),
        /// For the strip, under each wall that it crosses: width, height; `["12 mm", "3 mm"]`, in a shallow baffle lower, if absent.
        channel: (Metres, Metres) = |v| v.pair(length),
        /// Widens the mouth of a channel on each side, at 45 degrees; `"1 mm"` if absent.
        lead_in: Metres = |v| v.measured(|m: Metres| m.0, 0.0..=0.1),
        /// Over strip ends, for joints and feed wires: from the edge's wall inward, height; `["10 mm", "6 mm"]` or what the cell allows if absent.
        joint_room: (Metres, Metres) = |v| v.pair(length),
        /// Inward flange at the cloth, on the outer walls of every tile: width, thickness; absent: none.
        lip: (Metres, Metres) = |v| v.pair(length),
        /// Thickness of a closed rim around each panel, printed as strips of its own; absent: none.
        rim: Metres = length,
        /// Of the filament; `"1.75 mm"` if absent.
        filament_diameter: Metres = |v| v.measured(|m: Metres| m.0, 0.0005..=0.01),
        /// Filament on a spool; `"1 kg"` if absent.
        spool: Kilograms = |v| v.measured(|m: Kilograms| m.0, 0.01..=1000.0),
        /// From the end of one print to the start of the next; `"15 min"` if absent.
        between_prints: Seconds = |v| v.measured(|t: Seconds| t.0, 0.0..=86_400.0),
    }
}

section! {
    /// `[board]`
    Board {
        /// `"corrugated-card"`, `"foam-board"`, `"plywood"` or `"aluminium-composite"`; another needs `kg_per_square_metre`.
        material: String = |v| v.text(),
        /// Of the board.
        thickness: Metres = length,
        /// For its area, at that thickness; absent: the material's.
        kg_per_square_metre: KilogramsPerSquareMetre = |v| v.number(0.0..=1000.0).map(KilogramsPerSquareMetre),
        /// Width and height as bought.
        sheet: (Metres, Metres) = |v| v.pair(length),
        /// What a saw takes away between two pieces; 0 for a knife.
        saw_cut: Metres = |v| v.measured(|m: Metres| m.0, 0.0..=0.1),
        /// Young's modulus in bending, such as `"9 GPa"`; absent: the material's, where it is known.
        stiffness: Pascals = |v| v.measured(|p: Pascals| p.0, 1e3..=1e12),
    }
}

section! {
    /// `[stock]`
    Stock {
        /// Strip left on the shelf: pixels of each part roll.
        rolls: Vec<Written<u32>> = |v| v.list(0..=10_000, |v| v.count(1..=1_000_000)),
        /// Length of wire on a spool as bought.
        wire_spool: Metres = length,
        /// Share of every wire added for its ends and for mistakes.
        wire_spare: f64 = share,
    }
}

section! {
    /// `[diffuser]`
    Diffuser {
        /// Folded behind, each side.
        wrap: Metres = |v| v.measured(|m: Metres| m.0, 0.0..=10.0),
        /// Width of the cloth as bought.
        roll_width: Metres = length,
        /// For its area.
        kg_per_square_metre: KilogramsPerSquareMetre = |v| v.number(0.0..=100.0).map(KilogramsPerSquareMetre),
        /// Share of the light that comes through, spread evenly; soft, measure yours.
        transmission: f64 = |v| v.number(0.01..=1.0),
        /// Share of the light that the walls and the floor of a cell throw back; soft, 0 for black.
        cell_reflectance: f64 = |v| v.number(0.0..=0.98),
        /// Wanted light at the edge of a cell, as a share of that at its centre.
        wanted_evenness: f64 = |v| v.number(0.01..=0.99),
    }
}

section! {
    /// `[hanging]`
    Hanging {
        /// `"adhesive"`, `"screws"` or `"hooks"`.
        kind: Fixing = |v| v.choice(Fixing::WORDS),
        /// What one fixing holds along the wall.
        rated: Kilograms = |v| v.measured(|m: Kilograms| m.0, 0.001..=100_000.0),
        /// How many a panel has.
        fixings_per_panel: u32 = |v| v.count(FIXINGS),
        /// What one fixing holds when it is pulled off the wall.
        rated_in_peel: Kilograms = |v| v.measured(|m: Kilograms| m.0, 0.001..=100_000.0),
        /// Whether people sit, stand or sleep below.
        above_people: bool = |v| v.flag(),
        /// Whether each panel has a cord or hook besides.
        safety_cord: bool = |v| v.flag(),
        /// What carries the supplies: `"board"`, `"wall"` or `"floor"`.
        supply_on: SupplyOn = |v| v.choice(SupplyOn::WORDS),
        /// Middle of a supply on the board, right and down from its top-left corner as hung.
        supply_at: (Metres, Metres) = |v| v.pair(some_length),
        /// Of one supply; absent: from its watts.
        supply_mass: Kilograms = |v| v.measured(|m: Kilograms| m.0, 0.0..=1000.0),
        /// Height of the wall's lower edge above the floor.
        above_floor: Metres = |v| v.measured(|m: Metres| m.0, 0.0..=100.0),
    }
}

keys! {
    /// `[prices]`, the keys that are not parts.
    Money {
        /// Such as `"EUR"`.
        currency: String = |v| v.text(),
        /// Of one kilowatt-hour.
        energy_per_kwh: f64 = |v| v.number(0.0..=1e9),
        /// That the wall is lit, a day.
        hours_per_day: f64 = |v| v.number(0.0..=24.0),
    }
}

/// `[prices]`
#[derive(Clone, Debug, Default)]
pub struct Prices {
    /// The keys that are not parts.
    pub money: Money,
    /// By catalogue key, or by wire size.
    pub items: Vec<(String, f64)>,
}

impl Prices {
    pub(in crate::text) fn read(mut section: Section<'_, '_, '_>) -> Self {
        let money = Money::take(&mut section);
        let keys: Vec<&str> = Money::KEYS.iter().map(|key| key.0).collect();
        let mut items = Vec::new();
        for (key, value) in section.others(&keys) {
            let wire = Gauge::from_text(&key.value).is_ok();
            if !wire && !catalogue::keys().any(|part| part == key.value) {
                let known: Vec<&str> = keys.iter().copied().chain(catalogue::keys()).collect();
                section.unknown(&key, known.into_iter());
                continue;
            }
            let price = section.read_other(&key.value, value, |v| v.number(0.0..=1e12));
            items.extend(price.map(|price| (key.value, price)));
        }
        Self { money, items }
    }
}
