//! How bright a new wall may be planned.

use glowloom_design::Wall;

use crate::findings::heat::cool_brightness;
use crate::power::summary::solved;

/// The highest `brightness_limit`, in hundredths, at which every limit of the power holds and nothing
/// softens; no higher than the file's. `None` where none above zero is.
#[must_use]
pub fn sound_brightness(wall: &Wall) -> Option<f64> {
    let (power, _) = solved(wall).ok()?;
    let safe = power.highest_safe_brightness.min(cool_brightness(wall, &power));
    let hundredths = (safe.min(wall.power.brightness_limit) * 100.0 + 1e-9).floor();
    (hundredths >= 1.0).then_some(hundredths / 100.0)
}
