//! Baffle tiles: which are printed, of how much filament, and how long that takes.
//!
//! [`partition`] cuts a panel into tiles that fit the bed, [`kinds`] counts equal ones over the wall,
//! [`shape`] is the solid of one with its volume by formula, in [`grains`], [`rim`] the strips of a
//! rim; [`conflicts`] tells which settings cannot all be kept. From there on it is sums: [`filament`],
//! [`plates`] and a [`calendar`].
//!
//! Against common practice (no source): four panels of 16 x 36 cells at 33.3 mm take about 3.5 kg of
//! PLA, 1.5 g a cell, and weeks of printing. The default solid, walls of 0.8 mm 20 mm deep with room for
//! strips and joints, takes 1.26 g a cell, 2.91 kg. A whole wall along two sides of each cell is 1.31 g
//! before anything is cut away, so the practice's figure means walls thicker or deeper by a fifth, or
//! counts what a printer lays down besides: first lines, skirts, tiles that failed. Time goes with the
//! flow: 126 h, 11 days of 12 h, at the default's 6 mm3/s; about 280 h, 26 days, at 2.5 mm3/s.

pub mod calendar;
pub mod conflicts;
pub mod filament;
pub mod grains;
pub mod kinds;
pub mod partition;
pub mod plates;
pub mod rim;
pub mod shape;

use glowloom_design::Wall;
use glowloom_design::wall::{Baffle, Panel};
use glowloom_units::{CubicMetres, Hours, Kilograms, Metres};
use serde::Serialize;

use calendar::Stretch;
use grains::{Grains, Volume};
use kinds::TileKind;
use plates::{Job, Plate, Printer};
use rim::RimKind;

/// Everything that is printed. Masses, lengths, hours and days are of tiles and rim together, as the
/// parts are drawn: nothing is added for first lines or for prints that fail.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tiles {
    /// Large ones first.
    pub kinds: Vec<TileKind>,
    /// Of tiles on the whole wall.
    pub count: u64,
    /// Mass.
    pub filament_kg: Kilograms,
    /// Length at the filament's diameter.
    pub filament_m: Metres,
    /// At the real flow, and the time from one print to the next.
    pub hours: Hours,
    /// One for each pixel that a panel shows.
    pub cells: u64,
    /// Strips of a rim around each panel; none where none is wanted. Long ones first.
    pub rim: Vec<RimKind>,
    /// Of all parts.
    pub volume_m3: CubicMetres,
    /// Whole ones that it takes.
    pub spools: u64,
    /// On the last spool.
    pub left_over_kg: Kilograms,
    /// In the order of the calendar.
    pub plates: Vec<Plate>,
    /// Of the calendar.
    pub days: u64,
    /// Which days what is printed.
    pub calendar: Vec<Stretch>,
}

/// The tiles of a wall; `None` where it has no baffle, or where the baffle's settings cannot all be
/// kept: then [`conflicts::conflicts`] says which.
#[must_use]
pub fn tiles(wall: &Wall) -> Option<Tiles> {
    let baffle = wall.baffle.as_ref()?;
    if !conflicts::conflicts(wall, baffle).is_empty() {
        return None;
    }
    let kinds = kinds::kinds(wall, baffle)?;
    let rim = rim::kinds(wall, baffle);
    let jobs = jobs(&kinds, &rim);
    let volume = jobs.iter().map(|job| Volume(job.volume.0 * i128::from(job.wanted)));
    let volume_m3 = volume.fold(Volume(0), |sum, one| sum + one).cubic_metres();
    let bed = (Grains::of(baffle.bed.0), Grains::of(baffle.bed.1));
    let printer = Printer { bed, flow: baffle.flow, day: Hours(baffle.hours_per_day) };
    let plates: Vec<Plate> = jobs.iter().flat_map(|job| plates::plates(job, &printer)).collect();
    let between = Hours::from(baffle.between_prints);
    let calendar = calendar::calendar(&plates, between, printer.day);
    let filament_kg = volume_m3 * baffle.density;
    let (spools, left_over_kg) = filament::spools(filament_kg, baffle);
    Some(Tiles {
        count: kinds.iter().map(|kind| kind.per_wall).sum(),
        cells: wall.panels.iter().map(Panel::pixels).map(u64::from).sum(),
        kinds,
        filament_kg,
        filament_m: filament::length(volume_m3, baffle.filament_diameter),
        hours: hours(volume_m3, &plates, baffle),
        rim,
        volume_m3,
        spools,
        left_over_kg,
        plates,
        days: calendar.last().map_or(0, |stretch| stretch.last_day),
        calendar,
    })
}

/// What there is to print: tiles, then rim strips, which are drawn lying on their broad side.
fn jobs<'n>(kinds: &'n [TileKind], rim: &'n [RimKind]) -> Vec<Job<'n>> {
    let tiles = kinds.iter().map(|kind| Job {
        name: &kind.name,
        size: (kind.shape.width(), kind.shape.length()),
        volume: kind.shape.volume(),
        wanted: kind.per_wall,
    });
    let strips = rim.iter().map(|kind| Job {
        name: &kind.name,
        size: (kind.shape.length, kind.shape.depth),
        volume: kind.shape.volume(),
        wanted: kind.per_wall,
    });
    tiles.chain(strips).collect()
}

/// Printing at the real flow, and the time from each print to the next.
fn hours(volume: CubicMetres, plates: &[Plate], baffle: &Baffle) -> Hours {
    let prints: u64 = plates.iter().map(|plate| plate.times).sum();
    #[expect(clippy::cast_precision_loss, reason = "a count of prints")]
    let between = baffle.between_prints * prints.saturating_sub(1) as f64;
    Hours::from(volume / baffle.flow + between)
}
