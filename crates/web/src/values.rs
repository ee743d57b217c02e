//! Quantities over the pixels of the picture, and the shades that they are drawn in.

use glowloom_design::Wall;
use glowloom_plan::path::PanelPath;
use glowloom_plan::power::{Networks, Showing, UnsolvedPanel};

/// What is drawn over the pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Volts at full white under the ceiling.
    Volts,
    /// Amps of each pixel then, in milliamps.
    Current,
}

/// Where no panel shows a pixel, or no feed reaches it.
pub const NONE: u16 = u16::MAX;

/// Thousandths of each pixel of the picture, row by row: millivolts, or tenths of a milliamp.
///
/// # Errors
/// The first panel whose network has no answer.
pub fn over_picture(wall: &Wall, quantity: Quantity) -> Result<Vec<u16>, UnsolvedPanel> {
    let networks = Networks::of(wall);
    let of_panels = networks.each_panel(
        wall,
        Showing::WHITE,
        wall.power.brightness_limit,
        |panel, solution| {
            let path = PanelPath::of(&wall.panels[panel]);
            let pixels = path.lines().flat_map(|line| line.path());
            let values = pixels.zip(solution.all_volts()).enumerate().map(|(i, (pixel, volts))| {
                let live = solution.network().is_live(pixel.strip as usize - 1);
                let value = match quantity {
                    Quantity::Volts => volts.0 * 1e3,
                    Quantity::Current => solution.pixel_amps(i).0 * 1e4,
                };
                (pixel.picture, if live { number(value) } else { NONE })
            });
            values.collect::<Vec<_>>()
        },
    )?;
    let mut all = vec![NONE; wall.columns as usize * wall.rows as usize];
    for (cell, value) in of_panels.into_iter().flatten() {
        let at = cell.row as usize * wall.columns as usize + cell.column as usize;
        if let Some(place) = all.get_mut(at) {
            *place = value;
        }
    }
    Ok(all)
}

fn number(value: f64) -> u16 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
    let whole = value.round().clamp(0.0, f64::from(NONE - 1)) as u16;
    whole
}

/// As bytes, the low one first.
#[must_use]
pub fn bytes(values: &[u16]) -> Vec<u8> {
    values.iter().flat_map(|value| value.to_le_bytes()).collect()
}

/// The shades of a ramp from low to high: even to the eye, for colour-blind readers too.
#[must_use]
pub fn ramp(count: usize) -> Vec<[u8; 3]> {
    #[expect(clippy::cast_precision_loss, reason = "few shades")]
    let share = |i: usize| (i as f64 + 0.5) / count.max(1) as f64;
    let shade = |i| colorous::CIVIDIS.eval_continuous(share(i)).as_array();
    (0..count).map(shade).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn volts_stand_where_the_pixels_are() {
        let text = include_str!("../../../examples/walls/tidewall.toml");
        let wall = glowloom_design::read(text.as_bytes()).unwrap();
        let all = over_picture(&wall, Quantity::Volts).unwrap();
        assert_eq!(all.len(), 60 * 32);
        let plan = glowloom_plan::plan(&wall);
        let panel = &plan.power.panels[2];
        let [column, row] = panel.least_volts_at;
        let here = f64::from(all[row as usize * 60 + column as usize]) / 1000.0;
        assert!((here - panel.least_volts.0).abs() < 0.002, "{here} {}", panel.least_volts);
        assert!(!all.contains(&NONE));
        let amps = over_picture(&wall, Quantity::Current).unwrap();
        let sum: f64 = amps.iter().map(|a| f64::from(*a) * 1e-4).sum();
        let wanted: f64 = plan.power.panels.iter().map(|p| p.amps.0).sum();
        // Receivers draw besides, and each pixel is rounded.
        assert!((sum - wanted).abs() < 1.5, "{sum} {wanted}");
    }

    #[test]
    fn the_ramp_goes_from_dark_to_light() {
        let light =
            |c: &[u8; 3]| f64::from(c[0]) * 0.2 + f64::from(c[1]) * 0.7 + f64::from(c[2]) * 0.1;
        assert!(ramp(24).windows(2).all(|pair| light(&pair[0]) < light(&pair[1])));
    }
}
