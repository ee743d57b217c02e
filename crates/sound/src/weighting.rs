//! How loud a tone of one frequency seems, against one of 1 kHz.

use glowloom_units::{Decibels, Hertz};

/// Poles of the A-weighting, Hz (IEC 61672-1, annex E of the 2013 edition, by way of texts that quote it;
/// the exact values come from its construction out of 10^1.5, 10^3.9 and 10^2.45 Hz).
const POLES: [f64; 4] = [20.598_997, 107.652_65, 737.862_23, 12_194.217];

/// The A-weighting at a frequency: 0 dB at 1 kHz, less for low and very high tones (IEC 61672-1). Minus
/// infinity at 0 Hz.
#[must_use]
pub fn a_weighting(frequency: Hertz) -> Decibels {
    Decibels(20.0 * (response(frequency.0) / response(1000.0)).log10())
}

fn response(frequency: f64) -> f64 {
    let square = frequency * frequency;
    let [low, second, third, high] = POLES.map(|pole| pole * pole);
    let below = (square + low) * ((square + second) * (square + third)).sqrt();
    high * square * square / (below * (square + high))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Table 2 of IEC 61672-1 (2002 edition, from a national adoption of it): nominal frequency, weighting
    /// in dB, tolerances of class 1, up and down.
    const TABLE: &[(f64, f64, f64, f64)] = &[
        (20.0, -50.5, 2.5, 2.5),
        (25.0, -44.7, 2.5, 2.0),
        (31.5, -39.4, 2.0, 2.0),
        (40.0, -34.6, 1.5, 1.5),
        (50.0, -30.2, 1.5, 1.5),
        (63.0, -26.2, 1.5, 1.5),
        (80.0, -22.5, 1.5, 1.5),
        (100.0, -19.1, 1.5, 1.5),
        (125.0, -16.1, 1.5, 1.5),
        (160.0, -13.4, 1.5, 1.5),
        (200.0, -10.9, 1.5, 1.5),
        (250.0, -8.6, 1.4, 1.4),
        (315.0, -6.6, 1.4, 1.4),
        (400.0, -4.8, 1.4, 1.4),
        (500.0, -3.2, 1.4, 1.4),
        (630.0, -1.9, 1.4, 1.4),
        (800.0, -0.8, 1.4, 1.4),
        (1000.0, 0.0, 1.1, 1.1),
        (1250.0, 0.6, 1.4, 1.4),
        (1600.0, 1.0, 1.6, 1.6),
        (2000.0, 1.2, 1.6, 1.6),
        (2500.0, 1.3, 1.6, 1.6),
        (3150.0, 1.2, 1.6, 1.6),
        (4000.0, 1.0, 1.6, 1.6),
        (5000.0, 0.5, 2.1, 2.1),
        (6300.0, -0.1, 2.1, 2.6),
        (8000.0, -1.1, 2.1, 3.1),
        (10_000.0, -2.5, 2.6, 3.6),
        (12_500.0, -4.3, 3.0, 6.0),
        (16_000.0, -6.6, 3.5, 17.0),
        (20_000.0, -9.3, 4.0, f64::INFINITY),
    ];

    /// The formula is the table's at the exact frequencies, to the table's last figure; and at the nominal
    /// ones it is within class 1.
    #[test]
    fn the_formula_is_the_table() {
        for (k, &(nominal, wanted, above, below)) in (-17..).zip(TABLE) {
            let exact = 1000.0 * 10f64.powf(f64::from(k) / 10.0);
            let found = a_weighting(Hertz(exact)).0;
            assert!((found - wanted).abs() <= 0.051, "{nominal} Hz: {found}, not {wanted}");
            let found = a_weighting(Hertz(nominal)).0;
            assert!(wanted - below <= found && found <= wanted + above, "{nominal} Hz: {found}");
        }
    }

    #[test]
    fn nothing_is_heard_of_no_tone() {
        assert_eq!(a_weighting(Hertz(0.0)).0, f64::NEG_INFINITY);
    }
}
