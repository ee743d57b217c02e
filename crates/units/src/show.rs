//! Quantities as a person reads them: sensible digits, and the unit they think in.

use crate::{
    Amps, Candelas, CandelasPerSquareMetre, Hertz, Kilograms, Metres, Seconds, Volts, Watts,
    WattsPerSquareMetre,
};

/// The units that results are printed in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Figures {
    /// Metres, millimetres, kilograms.
    #[default]
    Metric,
    /// Feet, inches, pounds.
    Imperial,
}

/// Three significant digits, but never more than `most` behind the point.
fn digits(value: f64, most: usize) -> String {
    let size = value.abs();
    let behind = if size >= 99.95 {
        0
    } else if size >= 9.995 {
        1
    } else {
        2
    };
    format!("{value:.*}", behind.min(most))
}

impl Metres {
    /// A length to read: `2.00 m` or `33.3 mm`; `6 ft 6.7 in` or `1.31 in`.
    #[must_use]
    pub fn shown(self, figures: Figures) -> String {
        match figures {
            Figures::Metric if self.0.abs() < 1.0 => format!("{} mm", digits(self.0 * 1000.0, 1)),
            Figures::Metric => format!("{:.2} m", self.0),
            Figures::Imperial => {
                // Tenths of an inch, so that 11.96 in does not print as "12.0 in".
                let tenths = (self.0.abs() / 0.0254 * 10.0).round();
                let sign = if self.0 < 0.0 { "-" } else { "" };
                if tenths < 120.0 {
                    return format!("{} in", digits(self.0 / 0.0254, 2));
                }
                format!("{sign}{:.0} ft {:.1} in", (tenths / 120.0).floor(), tenths % 120.0 / 10.0)
            }
        }
    }
}

impl Metres {
    /// A long way, of which nobody measures the last millimetre: `811 m`; `2661 ft`.
    #[must_use]
    pub fn far(self, figures: Figures) -> String {
        match figures {
            Figures::Metric => format!("{:.0} m", self.0),
            Figures::Imperial => format!("{:.0} ft", self.0 / 0.3048),
        }
    }

    /// A length to cut, mark and bore by, to a tenth of a millimetre or a hundredth of an inch:
    /// `1066.7 mm`, `2000 mm`; `41.99 in`.
    #[must_use]
    pub fn to_mark(self, figures: Figures) -> String {
        let (text, unit) = match figures {
            Figures::Metric => (format!("{:.1}", self.0 * 1000.0), "mm"),
            Figures::Imperial => (format!("{:.2}", self.0 / 0.0254), "in"),
        };
        let short = text.trim_end_matches('0').trim_end_matches('.');
        format!("{} {unit}", if short == "-0" { "0" } else { short })
    }
}

impl Kilograms {
    /// A mass to read: `1.80 kg`, `250 g`; `3.97 lb`.
    #[must_use]
    pub fn shown(self, figures: Figures) -> String {
        match figures {
            Figures::Metric if self.0.abs() < 1.0 => format!("{} g", digits(self.0 * 1000.0, 1)),
            Figures::Metric => format!("{} kg", digits(self.0, 2)),
            Figures::Imperial => format!("{} lb", digits(self.0 / 0.453_592_37, 2)),
        }
    }
}

impl WattsPerSquareMetre {
    /// Heat of an area to read: `167 W/m2`; `15.5 W/ft2`.
    #[must_use]
    pub fn shown(self, figures: Figures) -> String {
        match figures {
            Figures::Metric => format!("{} W/m2", digits(self.0, 0)),
            Figures::Imperial => format!("{} W/ft2", digits(self.0 * 0.3048 * 0.3048, 1)),
        }
    }
}

macro_rules! plain {
    ($($name:ident $unit:literal $most:literal;)*) => { $(
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(&format!(concat!("{} ", $unit), digits(self.0, $most)))
            }
        }
    )* };
}
plain! { Volts "V" 2; Amps "A" 2; Watts "W" 1; Hertz "Hz" 1; Candelas "cd" 2; CandelasPerSquareMetre "cd/m2" 0; }

impl std::fmt::Display for Seconds {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let size = self.0.abs();
        f.pad(&if size < 1.0 {
            format!("{} ms", digits(self.0 * 1000.0, 2))
        } else if size < 120.0 {
            format!("{} s", digits(self.0, 1))
        } else if size < 7200.0 {
            format!("{} min", digits(self.0 / 60.0, 1))
        } else {
            format!("{} h", digits(self.0 / 3600.0, 1))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_to_mark_are_exact_enough() {
        let metric = |mm: f64| Metres(mm / 1000.0).to_mark(Figures::Metric);
        assert_eq!(metric(2000.0 / 3.0), "666.7 mm");
        assert_eq!(
            [metric(2000.0), metric(0.0), metric(-0.01), metric(30.0)],
            ["2000 mm", "0 mm", "0 mm", "30 mm"]
        );
        let inches = |inches: f64| Metres(inches * 0.0254).to_mark(Figures::Imperial);
        assert_eq!([inches(42.0), inches(26.247)], ["42 in", "26.25 in"]);
        let filament = Metres(811.2);
        assert_eq!(
            [Figures::Metric, Figures::Imperial].map(|f| filament.far(f)),
            ["811 m", "2661 ft"]
        );
    }

    #[test]
    fn lengths_read_well() {
        let shown = |m: f64| (Metres(m).shown(Figures::Metric), Metres(m).shown(Figures::Imperial));
        assert_eq!(shown(2.0), ("2.00 m".into(), "6 ft 6.7 in".into()));
        assert_eq!(shown(1.0 / 30.0), ("33.3 mm".into(), "1.31 in".into()));
        assert_eq!(shown(0.304), ("304 mm".into(), "1 ft 0.0 in".into()));
        assert_eq!(shown(0.3048), ("305 mm".into(), "1 ft 0.0 in".into()));
        assert_eq!(shown(1.2191), ("1.22 m".into(), "4 ft 0.0 in".into()));
    }

    #[test]
    fn heat_of_an_area() {
        let both =
            |w| [Figures::Metric, Figures::Imperial].map(|f| WattsPerSquareMetre(w).shown(f));
        // A square foot is 0.09290304 m2.
        assert_eq!(both(1000.0), ["1000 W/m2", "92.9 W/ft2"]);
        assert_eq!(both(9.1), ["9 W/m2", "0.8 W/ft2"]);
    }

    #[test]
    fn sensible_digits() {
        assert_eq!(Amps(117.12).to_string(), "117 A");
        assert_eq!(Amps(35.136).to_string(), "35.1 A");
        assert_eq!(Amps(0.3).to_string(), "0.30 A");
        assert_eq!(Seconds(0.01756).to_string(), "17.6 ms");
        assert_eq!(Seconds(90.0).to_string(), "90.0 s");
        assert_eq!(format!("{:>10}", Volts(5.0)), "    5.00 V");
    }
}
