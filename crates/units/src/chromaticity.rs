//! A colour without its brightness.

/// Chromaticity in the CIE 1931 system: x and y, shares of the tristimulus values X, Y and Z.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chromaticity {
    x: f64,
    y: f64,
}

impl Chromaticity {
    /// The white of sRGB and of daylight at 6,504 K (IEC 61966-2-1, second-hand from texts that quote it).
    pub const D65: Self = Self { x: 0.3127, y: 0.3290 };
    /// Red, green and blue of sRGB (the same source).
    pub const SRGB: [Self; 3] =
        [Self { x: 0.64, y: 0.33 }, Self { x: 0.30, y: 0.60 }, Self { x: 0.15, y: 0.06 }];

    /// A chromaticity. `None` unless x and y are 0 to 1, y above 0, and both together 1 at most: no
    /// light has another.
    #[must_use]
    pub fn new(x: f64, y: f64) -> Option<Self> {
        let is_light = (0.0..=1.0).contains(&x) && y > 0.0 && x + y <= 1.0;
        is_light.then_some(Self { x, y })
    }

    /// Whether lights of three chromaticities can be mixed to this one, each having a part in it.
    #[must_use]
    pub fn is_mixed_of(self, [a, b, c]: [Self; 3]) -> bool {
        // Twice the area of a triangle, its sign that of the way round.
        let area =
            |p: Self, q: Self, r: Self| (q.x - p.x) * (r.y - p.y) - (r.x - p.x) * (q.y - p.y);
        let whole = area(a, b, c);
        // Three in a line mix no colours.
        let parts = [area(self, b, c), area(a, self, c), area(a, b, self)];
        whole.abs() > 1e-4 && parts.iter().all(|part| part / whole > 1e-6)
    }

    /// X over the sum of the three.
    #[must_use]
    pub fn x(self) -> f64 {
        self.x
    }

    /// Y over the sum of the three.
    #[must_use]
    pub fn y(self) -> f64 {
        self.y
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_between_can_be_mixed() {
        let at = |x, y| Chromaticity::new(x, y).unwrap();
        let [red, green, blue] = Chromaticity::SRGB;
        for three in [[red, green, blue], [blue, green, red]] {
            assert!(Chromaticity::D65.is_mixed_of(three));
            assert!(!at(0.7, 0.29).is_mixed_of(three));
            assert!(!red.is_mixed_of(three));
        }
        assert!(!at(0.3, 0.3).is_mixed_of([at(0.2, 0.2), at(0.3, 0.3), at(0.4, 0.4)]));
    }

    #[test]
    fn only_light_has_a_chromaticity() {
        assert_eq!(Chromaticity::new(0.3127, 0.3290), Some(Chromaticity::D65));
        for (x, y) in [(0.3, 0.0), (-0.1, 0.5), (0.6, 0.5), (f64::NAN, 0.3), (0.3, f64::NAN)] {
            assert_eq!(Chromaticity::new(x, y), None, "{x} {y}");
        }
    }
}
