//! Quantities that only a meter's pages print.

use glowloom_plan::meter::Shown;
use glowloom_units::{Amps, OhmsPerMetre, Volts};

/// `0.123 ohm/m`
pub fn ohms_per_metre(ohms: OhmsPerMetre) -> String {
    format!("{} ohm/m", three(ohms.0))
}

/// `11.82 V`: hundredths, as a meter shows them.
pub fn volts(volts: Volts) -> String {
    format!("{:.2} V", volts.0)
}

/// What a meter showed, or should have.
pub fn shown(shown: Shown) -> String {
    match shown {
        Shown::Volts(found) => volts(found),
        Shown::Amps(amps) => amps.to_string(),
    }
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
        assert_eq!(volts(Volts(11.816)), "11.82 V");
        let shown = |r: f64| ohms_per_metre(OhmsPerMetre(r));
        assert_eq!(shown(0.123_45), "0.123 ohm/m");
        assert_eq!(shown(0.04), "0.0400 ohm/m");
        assert_eq!(shown(1.0), "1.00 ohm/m");
        assert_eq!(shown(0.0), "0.000000 ohm/m");
        assert_eq!(milliamps(Amps(0.0182)), "18.2 mA");
        assert_eq!(milliamps(Amps(0.2)), "200 mA");
    }
}
