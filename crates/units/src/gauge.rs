//! Wire sizes as they are sold.

/// The size of a conductor, in the system that it was bought in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Gauge {
    /// American wire gauge: the larger the number, the thinner the wire. 0 to 40.
    Awg(u8),
    /// Cross-section, mm2. Above zero.
    SquareMillimetres(f64),
}

/// Resistivity of annealed copper at 20 C, ohm mm2/m: IEC 60028 (1/58, from memory).
const COPPER_OHM_MM2_PER_M: f64 = 0.017241;

impl Gauge {
    /// Diameter of the solid round conductor, mm: 0.127 mm x 92^((36-n)/39) for AWG n (handbook
    /// page, in its inch form).
    #[must_use]
    pub fn diameter_mm(self) -> f64 {
        match self {
            Self::Awg(n) => 0.127 * 92f64.powf((36.0 - f64::from(n)) / 39.0),
            Self::SquareMillimetres(area) => (4.0 * area / std::f64::consts::PI).sqrt(),
        }
    }

    /// Cross-section, mm2.
    #[must_use]
    pub fn area_mm2(self) -> f64 {
        match self {
            Self::Awg(_) => std::f64::consts::PI / 4.0 * self.diameter_mm().powi(2),
            Self::SquareMillimetres(area) => area,
        }
    }

    /// Resistance of solid copper of this size at 20 C, ohm/m. Named mm2 sizes of stranded wire are
    /// allowed more than this; a catalogue of wire knows how much.
    #[must_use]
    pub fn copper(self) -> crate::OhmsPerMetre {
        crate::OhmsPerMetre(COPPER_OHM_MM2_PER_M / self.area_mm2())
    }
}

impl std::fmt::Display for Gauge {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Awg(n) => write!(f, "{n} AWG"),
            Self::SquareMillimetres(area) => write!(f, "{area} mm2"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Handbook table of solid copper wire at 20 C, mohm/m and mm2; agrees with printed copies
    /// within 0.1 %.
    #[test]
    fn awg_agrees_with_the_wire_table() {
        for (n, mm2, mohm) in [
            (10, 5.2612, 3.277),
            (12, 3.3088, 5.211),
            (14, 2.0809, 8.285),
            (16, 1.3087, 13.174),
            (18, 0.8230, 20.948),
            (20, 0.5176, 33.308),
            (22, 0.3255, 52.962),
            (24, 0.2047, 84.213),
            (30, 0.0509, 338.55),
        ] {
            let wire = Gauge::Awg(n);
            assert!((wire.area_mm2() - mm2).abs() < 6e-5, "{n} AWG: {}", wire.area_mm2());
            let ours = wire.copper().0 * 1000.0;
            assert!((ours / mohm - 1.0).abs() < 1e-4, "{n} AWG: {ours}");
        }
    }
}
