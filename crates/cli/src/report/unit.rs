//! Quantities that only a meter's pages print.

use glowloom_units::{Amps, OhmsPerMetre};

/// `0.123 ohm/m`
pub fn ohms_per_metre(ohms: OhmsPerMetre) -> String {
    format!("{} ohm/m", three(ohms.0))
}

/// `18.2 mA`
pub fn milliamps(amps: Amps) -> String {
    format!("{} mA", three(amps.0 * 1000.0))
}

/// Three significant digits, at most six behind the point.
fn three(value: f64) -> String {
    let size = value.abs();
    let steps = [100.0, 10.0, 1.0, 0.1, 0.01, 0.001];
    let behind = steps.iter().position(|step| size >= *step * 0.9995).unwrap_or(6);
    format!("{value:.behind$}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_digits() {
        let shown = |r: f64| ohms_per_metre(OhmsPerMetre(r));
        assert_eq!(shown(0.123_45), "0.123 ohm/m");
        assert_eq!(shown(0.04), "0.0400 ohm/m");
        assert_eq!(shown(1.0), "1.00 ohm/m");
        assert_eq!(shown(0.0), "0.000000 ohm/m");
        assert_eq!(milliamps(Amps(0.0182)), "18.2 mA");
        assert_eq!(milliamps(Amps(0.2)), "200 mA");
    }
}
