//! From where cells are seen as one surface, and how small letters may be.

use glowloom_units::Metres;

/// One minute of arc, in radians.
const ARC_MINUTE: f64 = std::f64::consts::PI / 10_800.0;

/// What an eye of normal acuity tells apart, in minutes of arc (several second-hand sources).
const ACUITY: f64 = 1.0;

/// Height of a letter that is read at ease, in minutes of arc: ISO 9241-303 wants 20 to 22, 16 at
/// least (from memory).
const LETTER: f64 = 20.0;

/// The distance from which two neighbouring cells cannot be told apart: pitch / (2 tan(0.5')).
#[must_use]
pub fn merge_distance(pitch: Metres) -> Metres {
    pitch / (2.0 * (ACUITY / 2.0 * ARC_MINUTE).tan())
}

/// What the trade says instead: a metre of distance for each millimetre of pitch (common practice,
/// no source).
#[must_use]
pub fn rule_of_thumb(pitch: Metres) -> Metres {
    pitch * 1000.0
}

/// The height of the smallest letters that are read at ease from there.
#[must_use]
pub fn letter_height(seen_from: Metres) -> Metres {
    seen_from * (2.0 * (LETTER / 2.0 * ARC_MINUTE).tan())
}

/// The side of a field of 10 degrees at that distance: 2 d tan(5 degrees). Flashes are counted in it
/// (WCAG 2.2, success criterion 2.3.1: the area that may flash is a quarter of such a field).
#[must_use]
pub fn field(seen_from: Metres) -> Metres {
    seen_from * (2.0 * (5.0f64).to_radians().tan())
}
