//! The scale of a drawing: the largest usual one at which it fits its room.

use std::fmt;

use glowloom_design::wall::Paper;
use glowloom_units::{Figures, Metres};

use super::frame::Frame;
use crate::svg::{Point, Rect};

/// Steps of scales within ten, in hundredths: 1, 2 and 5 of ISO 5455 (from memory) and steps between, so
/// that drawings fill their sheets.
const STEPS: [u32; 10] = [100, 125, 150, 200, 250, 300, 400, 500, 600, 800];
/// For feet and inches: an inch of paper to so many twelfths of a foot.
const IMPERIAL: [u32; 7] = [100, 150, 200, 300, 400, 600, 800];

/// Millimetres on paper for those of the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratio {
    paper: f64,
    wall: f64,
}

impl Ratio {
    /// As large as it is.
    pub const NATURAL: Self = Self { paper: 1.0, wall: 1.0 };

    /// From the largest down.
    fn all(figures: Figures) -> impl Iterator<Item = Self> {
        let larger = [10.0, 5.0, 2.0].map(|paper| Self { paper, wall: 1.0 });
        let steps: &[u32] = if figures == Figures::Metric { &STEPS } else { &IMPERIAL };
        let smaller = (0..7).flat_map(move |tens| {
            steps.iter().map(move |step| Self {
                paper: 1.0,
                wall: f64::from(*step) / 100.0 * 10f64.powi(tens),
            })
        });
        larger.into_iter().chain(smaller)
    }

    /// The largest at which a size fits into a room, mm.
    pub fn fitting(size: (Metres, Metres), room: (f64, f64), figures: Figures) -> Self {
        let fits = |ratio: &Self| ratio.drawn(size.0) <= room.0 && ratio.drawn(size.1) <= room.1;
        let least = Self { paper: 1.0, wall: 1e7 };
        Self::all(figures).find(fits).unwrap_or(least)
    }

    /// A length of the wall on paper, mm.
    pub fn drawn(self, length: Metres) -> f64 {
        length.0 * 1000.0 * self.paper / self.wall
    }

    /// Larger drawings first.
    pub fn size(self) -> f64 {
        self.paper / self.wall
    }
}

impl fmt::Display for Ratio {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.paper, self.wall)
    }
}

/// The way round of the paper and the scale at which something is drawn largest, with these margins of
/// the body free: left, top, right, bottom.
pub fn best(
    paper: Paper,
    size: (Metres, Metres),
    margins: [f64; 4],
    figures: Figures,
) -> (Frame, Ratio) {
    let [left, top, right, bottom] = margins;
    let of = |upright: bool| {
        let frame = Frame::new(paper, upright);
        let body = frame.body();
        let room = (body.width - left - right, body.height - top - bottom);
        (frame, Ratio::fitting(size, room, figures))
    };
    let (lying, upright) = (of(false), of(true));
    if upright.1.size() > lying.1.size() { upright } else { lying }
}

/// Where a drawing of that size stands: in the middle of what the margins leave.
pub fn placed(body: &Rect, size: (f64, f64), margins: [f64; 4]) -> Rect {
    let [left, top, right, bottom] = margins;
    let free = Point::new(
        (body.width - left - right - size.0).max(0.0),
        (body.height - top - bottom - size.1).max(0.0),
    );
    Rect {
        left: body.left + left + free.x / 2.0,
        top: body.top + top + free.y / 2.0,
        width: size.0,
        height: size.1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_that_fits() {
        let of = |w: f64, h: f64| {
            Ratio::fitting((Metres(w), Metres(h)), (150.0, 200.0), Figures::Metric).to_string()
        };
        assert_eq!(of(0.667, 1.067), "1:6");
        assert_eq!(of(0.3, 0.3), "1:2");
        assert_eq!(of(0.01, 0.01), "10:1");
        assert_eq!(of(0.15, 0.2), "1:1");
        assert_eq!(of(900.0, 0.2), "1:6000");
        assert_eq!(of(1e9, 0.2), "1:10000000");
    }
}
