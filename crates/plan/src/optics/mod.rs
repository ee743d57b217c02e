//! What the eye sees of a wall: from where cells merge, how bright and how even it is, how much text
//! it holds.
//!
//! Each figure is a small model from stated assumptions: [`acuity`] of the eye, [`letters`] of the
//! smallest matrix, [`cell`], light in a box. The assumptions are in the wall file, to be measured.

pub mod acuity;
pub mod cell;
mod form_factor;
pub mod letters;

use glowloom_design::Wall;
use glowloom_design::wall::Strip;
use glowloom_units::{Candelas, CandelasPerSquareMetre, Metres};
use serde::Serialize;

use crate::built::Built;
use cell::{Cell, CellLight};

/// Light of one pixel straight ahead for its power, cd/W: 1.3 cd of three colours at 20 mA each
/// and 5 V, the middle of the WS2812B data sheet's ranges (from memory; soft, measure yours).
const CANDELA_PER_WATT: f64 = 4.3;

/// Evenness that a depth is told for where the file wants none (common practice, no source).
const EVENNESS: f64 = 0.5;

/// What the eye sees.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Optics {
    /// From here on an eye of normal acuity (one minute of arc) sees no single cells.
    pub merge_distance_m: Metres,
    /// What the trade says instead: 1 m for each mm (common practice, no source).
    pub rule_of_thumb_m: Metres,
    /// Of the cloth, edge over centre of a cell; null without baffle or cloth.
    pub cell_edge_to_centre: Option<f64>,
    /// Wanted of it, else 0.5 (common practice, no source); null without cloth.
    pub wanted_evenness: Option<f64>,
    /// The least depth of the baffle that gives the wanted evenness; null as above, and where none
    /// does.
    pub depth_for_evenness_m: Option<Metres>,
    /// Share of a pixel's light that reaches the cloth; null as above.
    pub light_on_cloth: Option<f64>,
    /// Full white under the ceiling.
    pub brightness_cd_m2: CandelasPerSquareMetre,
    /// The ceiling of that, 0 to 1.
    pub ceiling: f64,
    /// Of one pixel straight ahead, full white, no ceiling: from the wall file or assumed.
    pub pixel_candela: Candelas,
    /// Height of letters that are read at ease from `seen_from`.
    pub letter_height_m: Metres,
    /// Each dot of a letter is this many pixels wide and high.
    pub text_dot_pixels: u32,
    /// Lines of text that fit.
    pub text_rows: u32,
    /// Characters in a line.
    pub text_columns: u32,
    /// What the figures rest on, in words.
    pub assumptions: Vec<&'static str>,
}

/// What the eye sees of a wall whose brightness ends at `ceiling`, 0 to 1.
#[must_use]
pub fn optics(wall: &Wall, ceiling: f64) -> Optics {
    let (right, down) = widest_steps(wall);
    let pitch = right.max(down);
    let letter_height_m = acuity::letter_height(wall.seen_from);
    let text = letters::fitting(wall.columns, wall.rows, lowest_step(wall), letter_height_m);
    let cell = cell(wall, right, down);
    let light = cell.map(|cell| cell.light());
    let wanted = wall.diffuser.as_ref().map(|cloth| cloth.wanted_evenness.unwrap_or(EVENNESS));
    Optics {
        merge_distance_m: acuity::merge_distance(pitch),
        rule_of_thumb_m: acuity::rule_of_thumb(pitch),
        cell_edge_to_centre: light.map(|light| light.edge_to_centre),
        wanted_evenness: wanted,
        depth_for_evenness_m: cell.zip(wanted).and_then(|(cell, wanted)| cell.depth_for(wanted)),
        light_on_cloth: light.map(|light| light.reaching),
        brightness_cd_m2: brightness(wall, ceiling, right.0 * down.0, light),
        ceiling,
        pixel_candela: pixel_candela(&wall.strip),
        letter_height_m,
        text_dot_pixels: text.dot_pixels,
        text_rows: text.rows,
        text_columns: text.columns,
        assumptions: assumptions(wall),
    }
}

/// How light lies on the cloth of one cell, over that at its centre, at `points` times `points` places; `None`
/// without baffle or cloth.
#[must_use]
pub fn cell_profile(wall: &Wall, points: usize) -> Option<Vec<f64>> {
    let (right, down) = widest_steps(wall);
    cell(wall, right, down).map(|cell| cell.profile(points))
}

/// How many pixels lie in a field of 10 degrees from the nearest viewer, across and down, where they are
/// furthest apart.
#[must_use]
pub fn field_pixels(wall: &Wall) -> (f64, f64) {
    let field = acuity::field(wall.seen_from);
    let (right, down) = widest_steps(wall);
    (field / right, field / down)
}

/// The largest steps from pixel to pixel of any panel, right and down as hung.
fn widest_steps(wall: &Wall) -> (Metres, Metres) {
    let steps = wall.panels.iter().map(|panel| Built::of(wall, panel).steps());
    steps.fold((Metres(0.0), Metres(0.0)), |a, b| (a.0.max(b.0), a.1.max(b.1)))
}

/// The smallest step from one row of pixels to the next of any panel: letters are lowest there.
fn lowest_step(wall: &Wall) -> Metres {
    let steps = wall.panels.iter().map(|panel| Built::of(wall, panel).steps().1);
    steps.reduce(Metres::min).unwrap_or(wall.pitch())
}

/// Walls with a baffle and a cloth have cells.
fn cell(wall: &Wall, width: Metres, height: Metres) -> Option<Cell> {
    let (baffle, cloth) = (wall.baffle.as_ref()?, wall.diffuser.as_ref()?);
    Some(Cell { width, height, depth: baffle.depth, reflectance: cloth.cell_reflectance })
}

/// Of one pixel straight ahead, all colours full on.
fn pixel_candela(strip: &Strip) -> Candelas {
    let channels = if strip.channels() == 4 { 4.0 } else { 3.0 };
    let watts = strip.volts * (strip.channel_amps * channels);
    strip.candela.unwrap_or(Candelas(watts.0 * CANDELA_PER_WATT))
}

/// Mean brightness straight ahead. A Lambertian pixel of I cd gives pi I lm; what reaches the cloth
/// comes through evenly, over the area of its cell: I x share x transmission / area. Without a
/// cloth the pixels themselves are seen: I / area.
fn brightness(
    wall: &Wall,
    ceiling: f64,
    area: f64,
    light: Option<CellLight>,
) -> CandelasPerSquareMetre {
    let through = wall.diffuser.as_ref().map_or(1.0, |cloth| cloth.transmission);
    let reaching = light.map_or(1.0, |light| light.reaching);
    let Candelas(candela) = pixel_candela(&wall.strip);
    CandelasPerSquareMetre(candela * ceiling * reaching * through / area)
}

fn assumptions(wall: &Wall) -> Vec<&'static str> {
    let mut words = vec![
        "an eye tells one minute of arc apart (several second-hand sources)",
        "a pixel sends light as a small Lambertian source",
    ];
    if wall.strip.candela.is_none() {
        words.push("4.3 cd for each watt of full white, from memory; soft: set candela in [strip]");
    }
    if wall.diffuser.is_some() {
        words.push("the cloth spreads evenly what comes through and throws nothing back");
    }
    if wall.baffle.is_some() && wall.diffuser.is_some() {
        words.push("walls of cells are thin, and as light as cell_reflectance says");
    } else if wall.diffuser.is_some() {
        words.push("without a baffle all light reaches the cloth");
    }
    words
        .push("letters of 5 x 7 dots, at least 20 minutes of arc high (ISO 9241-303, from memory)");
    words
}
