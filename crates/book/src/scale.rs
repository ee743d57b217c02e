//! Scales of drawings: 10:1, 5:1, 2:1, 1:1, 1:2, 1:5 and so on (ISO 5455, from memory).

use std::fmt;

use glowloom_units::{Figures, Metres};

/// So many millimetres on paper for so many of the wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Scale {
    paper: u32,
    wall: u32,
}

impl Scale {
    /// The usual scales, the largest first, down to what shows the longest wall there can be.
    pub fn all() -> impl Iterator<Item = Self> {
        let larger = [10, 5, 2].map(|paper| Self { paper, wall: 1 });
        let smaller = (0..8)
            .flat_map(|tens| [1, 2, 5].map(|wall| Self { paper: 1, wall: wall * 10u32.pow(tens) }));
        larger.into_iter().chain(smaller)
    }

    /// As large as the wall.
    pub fn natural() -> Self {
        Self { paper: 1, wall: 1 }
    }

    /// A length of the wall on paper, mm.
    pub fn drawn(self, length: Metres) -> f64 {
        length.0 * 1000.0 * f64::from(self.paper) / f64::from(self.wall)
    }

    /// A round length, for a scale bar, that is 30 to 80 mm on paper.
    pub fn bar(self, figures: Figures) -> Metres {
        let round = |unit: f64, steps: &[f64]| {
            let lengths =
                (0..12).flat_map(|tens| steps.iter().map(move |s| s * 10f64.powi(tens - 3)));
            let lengths = lengths.map(|length| Metres(length * unit));
            lengths.filter(|length| self.drawn(*length) >= 30.0).reduce(|a, b| a.min(b))
        };
        let length = match figures {
            Figures::Metric => round(1.0, &[1.0, 2.0, 5.0]),
            // Inches to a foot, then whole feet.
            Figures::Imperial => [0.1, 0.2, 0.5, 1.0, 2.0, 3.0, 6.0]
                .map(|inches| Metres(inches * 0.0254))
                .into_iter()
                .find(|length| self.drawn(*length) >= 30.0)
                .or_else(|| round(304.8, &[1.0, 2.0, 5.0])),
        };
        length.unwrap_or(Metres(1.0))
    }
}

impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.paper, self.wall)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ever_smaller_by_steps_of_two_to_two_and_a_half() {
        let drawn: Vec<f64> = Scale::all().map(|scale| scale.drawn(Metres(1.0))).collect();
        for pair in drawn.windows(2) {
            assert!((2.0..=2.5 + 1e-9).contains(&(pair[0] / pair[1])), "{pair:?}");
        }
        let names: Vec<_> = Scale::all().take(7).map(|scale| scale.to_string()).collect();
        assert_eq!(names, ["10:1", "5:1", "2:1", "1:1", "1:2", "1:5", "1:10"]);
        assert_eq!(Scale { paper: 1, wall: 5 }.drawn(Metres(2.0)), 400.0);
    }

    #[test]
    fn scale_bars_are_round_and_of_a_hand_s_width() {
        let five = Scale { paper: 1, wall: 5 };
        assert_eq!(five.bar(Figures::Metric), Metres(0.2));
        for scale in Scale::all() {
            for figures in [Figures::Metric, Figures::Imperial] {
                let drawn = scale.drawn(scale.bar(figures));
                assert!((30.0..=80.0).contains(&drawn), "{scale}: {drawn}");
            }
        }
    }
}
