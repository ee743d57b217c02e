//! Wire by gauge: resistance and what it may carry.
//!
//! Current limits are those of mains wiring codes, quoted as a yardstick; the code of the place
//! where the wall hangs rules.

use glowloom_units::{Amps, Gauge, OhmsPerMetre};

use super::{Figure, figure};

/// Metric sizes: (mm2, largest ohm/km of class 5, A).
const METRIC: &[(f64, f64, f64)] = &[
    (0.5, 39.0, 3.0),
    (0.75, 26.0, 6.0),
    (1.0, 19.5, 10.0),
    (1.5, 13.3, 15.0),
    (2.5, 7.98, 20.0),
    (4.0, 4.95, 27.0),
    (6.0, 3.30, 35.0),
];

/// AWG sizes of 18 and thicker: (AWG, A).
const THICK_AWG: &[(u8, f64)] = &[(10, 30.0), (12, 20.0), (14, 15.0), (16, 10.0), (18, 7.0)];

/// Thinner ones: (AWG, A of a single wire in free air).
const THIN_AWG: &[(u8, f64)] = &[
    (19, 14.0),
    (20, 11.0),
    (21, 9.0),
    (22, 7.0),
    (23, 4.7),
    (24, 3.5),
    (25, 2.7),
    (26, 2.2),
    (27, 1.7),
    (28, 1.4),
    (29, 1.2),
    (30, 0.86),
];

/// Share of the free-air figure for wire that lies under cloth: soft; it reproduces the code's
/// own limits at 18 to 14 AWG within 4 %.
const UNDER_CLOTH: f64 = 0.45;

/// The metric sizes that need no figures of their own, mm2.
pub fn metric_sizes() -> impl Iterator<Item = f64> {
    METRIC.iter().map(|row| row.0)
}

/// Resistance at 20 C: AWG by the formula for solid copper; the metric sizes by the largest that
/// IEC 60228 allows for class 5. `None` for another metric size.
#[must_use]
pub fn resistance(gauge: Gauge) -> Option<Figure<OhmsPerMetre>> {
    match gauge {
        Gauge::Awg(_) => {
            Some(figure(gauge.copper(), "AWG formula; copper of IEC 60028, from memory, at 20 C"))
        }
        Gauge::SquareMillimetres(area) => METRIC
            .iter()
            .find(|row| same_size(row.0, area))
            .map(|row| figure(OhmsPerMetre(row.1 / 1000.0), "IEC 60228, class 5, plain, at 20 C")),
    }
}

/// What a wire may carry all day. `None` for a size that no table here holds.
#[must_use]
pub fn ampacity(gauge: Gauge) -> Option<Figure<Amps>> {
    match gauge {
        Gauge::Awg(n) => {
            // Sizes between two rows take the thinner row's limit.
            let thick = THICK_AWG.iter().find(|row| n <= row.0 && n >= 10);
            let thin = THIN_AWG.iter().find(|row| row.0 == n);
            thick
                .map(|row| figure(Amps(row.1), "NEC 240.4(D), as quoted; local codes rule"))
                .or_else(|| {
                    thin.map(|row| figure(Amps(row.1 * UNDER_CLOTH), "0.45 x free air; soft"))
                })
        }
        Gauge::SquareMillimetres(area) => METRIC
            .iter()
            .find(|row| same_size(row.0, area))
            .map(|row| figure(Amps(row.2), if row.0 < 4.0 { CORD } else { LARGE_CORD })),
    }
}

const CORD: &str = "flexible cord tables, lower figure; local codes rule";
const LARGE_CORD: &str = "flexible cord tables, partly from memory, lower figure; local codes rule";

fn same_size(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amps(gauge: Gauge) -> Option<f64> {
        ampacity(gauge).map(|f| (f.value.0 * 1e6).round() / 1e6)
    }

    #[test]
    fn limits_of_the_reference_table() {
        assert_eq!(amps(Gauge::Awg(16)), Some(10.0));
        assert_eq!(amps(Gauge::Awg(17)), Some(7.0)); // no row: as 18
        assert_eq!(amps(Gauge::Awg(22)), Some(3.15));
        assert_eq!(amps(Gauge::Awg(30)), Some(0.387));
        assert_eq!(amps(Gauge::Awg(9)), None);
        assert_eq!(amps(Gauge::Awg(31)), None);
        assert_eq!(amps(Gauge::SquareMillimetres(2.5)), Some(20.0));
        assert_eq!(amps(Gauge::SquareMillimetres(2.0)), None);
    }

    #[test]
    fn metric_wire_is_allowed_more_than_copper_needs() {
        for area in metric_sizes() {
            let gauge = Gauge::SquareMillimetres(area);
            let ratio = resistance(gauge).unwrap().value / gauge.copper();
            assert!((1.13..1.16).contains(&ratio), "{area}: {ratio}");
        }
    }
}
