//! Red flashes: the colour goes into a saturated red and out of it.

use std::time::Duration;

use super::recent::Recent;

/// A colour is a saturated red if red is this share of red, green and blue in linear light. The rule
/// says 0.8; a little less leaves room for what rounding to bytes adds.
const SATURATED: f64 = 0.79;

/// The smallest distance in u'v' that is counted. The rule says more than 0.2; a little less leaves
/// room for what rounding to bytes adds and for the directions that [`Reach`] does not look in.
const COUNTED: f64 = 0.185;

/// How much further colours must reach for a state to be told apart from those before it.
const FURTHER: f64 = 0.005;

/// Below this much of its strongest colour a zone is taken for black, which has no colour: it is as
/// far as can be from a red.
const BLACK: f64 = 0.01;

/// Below this much red a zone is no red that could flash.
const VISIBLE: f64 = 0.03;

/// Linear red, green and blue, 0 to 1.
pub(super) type Light = [f64; 3];

/// A colour without its brightness: CIE 1976 u', v'. `None` for black.
type Colour = Option<(f64, f64)>;

/// The colour of a zone as far as red flashes go.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hue {
    is_red: bool,
    colour: Colour,
}

impl Hue {
    pub(super) fn of([red, green, blue]: Light) -> Self {
        Self {
            is_red: red >= VISIBLE && red >= SATURATED * (red + green + blue),
            colour: colour([red, green, blue]),
        }
    }
}

/// Follows the colour of one zone into red and out of it.
///
/// A change goes from any state since the last change to one of the other kind, red or not, that is
/// far enough from it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Red {
    in_red: bool,
    /// The colours of that kind since the last change.
    since: Reach,
    recent: Recent,
}

impl Default for Red {
    /// A dark zone.
    fn default() -> Self {
        Self { in_red: false, since: Reach::of(None), recent: Recent::default() }
    }
}

impl Red {
    pub(super) fn allows(&self, hue: Hue, now: Duration) -> bool {
        !self.changes(hue) || self.recent.allow(now)
    }

    pub(super) fn note(&mut self, hue: Hue, now: Duration) {
        if self.changes(hue) {
            self.in_red = !self.in_red;
            self.since = Reach::of(hue.colour);
            self.recent.add(now);
        } else if hue.is_red == self.in_red && self.since.add(hue.colour) {
            self.recent.extend(now);
        }
    }

    /// Whether the zone goes into red, or out of it, if it goes to `hue`.
    fn changes(&self, hue: Hue) -> bool {
        hue.is_red != self.in_red && self.since.furthest_from(hue.colour) > COUNTED
    }
}

/// How far a set of colours reaches in each of sixteen directions of the u'v' plane.
#[derive(Clone, Copy, Debug)]
struct Reach {
    along: [f64; DIRECTIONS.len()],
    /// Whether black is one of them.
    black: bool,
}

impl Reach {
    fn of(colour: Colour) -> Self {
        let mut reach = Self { along: [f64::NEG_INFINITY; DIRECTIONS.len()], black: false };
        reach.add(colour);
        reach
    }

    /// Adds a colour; whether it reaches clearly further than those before it.
    fn add(&mut self, colour: Colour) -> bool {
        let Some(point) = colour else { return !std::mem::replace(&mut self.black, true) };
        let mut further = false;
        for (along, direction) in self.along.iter_mut().zip(DIRECTIONS) {
            let place = direction.0 * point.0 + direction.1 * point.1;
            further |= place > *along + FURTHER;
            *along = along.max(place);
        }
        further
    }

    /// The distance to the furthest of the colours, at most 2 % too small; black is further from
    /// any colour than all others are.
    fn furthest_from(&self, colour: Colour) -> f64 {
        const BLACK_FROM_COLOUR: f64 = 1.0;
        let Some(point) = colour else {
            let any = self.along.iter().any(|along| along.is_finite());
            return if any { BLACK_FROM_COLOUR } else { 0.0 };
        };
        if self.black {
            return BLACK_FROM_COLOUR;
        }
        self.along
            .iter()
            .zip(DIRECTIONS)
            .map(|(along, (du, dv))| along - (du * point.0 + dv * point.1))
            .fold(0.0, f64::max)
    }
}

/// Unit vectors around the circle, 22.5 degrees apart.
const DIRECTIONS: [(f64, f64); 16] = {
    // Cosines of 0, 22.5, 45, 67.5 and 90 degrees.
    const QUARTER: [f64; 5] =
        [1.0, 0.923_879_532_5, std::f64::consts::FRAC_1_SQRT_2, 0.382_683_432_4, 0.0];
    let mut all = [(0.0, 0.0); 16];
    let mut n = 0;
    while n < 4 {
        let (c, s) = (QUARTER[n], QUARTER[4 - n]);
        (all[n], all[n + 4], all[n + 8], all[n + 12]) = ((c, s), (-s, c), (-c, -s), (s, -c));
        n += 1;
    }
    all
};

/// u' = 4X / (X + 15Y + 3Z), v' = 9Y / (X + 15Y + 3Z) (CIE 1976), with X, Y, Z by the matrix of the
/// Rec. 709 primaries and D65 (both from memory).
fn colour([r, g, b]: Light) -> Colour {
    if r.max(g).max(b) < BLACK {
        return None;
    }
    let x = 0.4124 * r + 0.3576 * g + 0.1805 * b;
    let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    let z = 0.0193 * r + 0.1192 * g + 0.9505 * b;
    let sum = x + 15.0 * y + 3.0 * z;
    Some((4.0 * x / sum, 9.0 * y / sum))
}

#[cfg(test)]
mod tests {
    use super::*;

    const RED: Light = [1.0, 0.0, 0.0];
    const WHITE: Light = [1.0, 1.0, 1.0];
    const BLUE: Light = [0.0, 0.0, 1.0];
    const GREEN: Light = [0.0, 1.0, 0.0];

    fn changes(lights: &[Light]) -> usize {
        let mut red = Red::default();
        let mut count = 0;
        for &light in lights {
            count += usize::from(red.changes(Hue::of(light)));
            red.note(Hue::of(light), Duration::ZERO);
        }
        count
    }

    /// D65 white is u' 0.1978, v' 0.4683; the red primary 0.4507, 0.5229 (computed from x 0.3127,
    /// y 0.3290 and x 0.64, y 0.33 by u' = 4x / (-2x + 12y + 3), v' = 9y / (-2x + 12y + 3)).
    #[test]
    fn colours_are_where_their_coordinates_say() {
        for (light, u, v) in [(WHITE, 0.1978, 0.4683), (RED, 0.4507, 0.5229)] {
            let (found_u, found_v) = colour(light).unwrap();
            assert!((found_u - u).abs() < 2e-4 && (found_v - v).abs() < 2e-4);
        }
    }

    #[test]
    fn a_reach_knows_the_furthest() {
        let mut reach = Reach::of(Some((0.2, 0.5)));
        assert!(reach.add(Some((0.3, 0.5))));
        assert!(!reach.add(Some((0.25, 0.5))), "between the two");
        for (point, furthest) in [((0.2, 0.5), 0.1), ((0.4, 0.5), 0.2), ((0.25, 0.3), 0.206)] {
            let found = reach.furthest_from(Some(point));
            assert!((furthest * 0.98..=furthest + 1e-3).contains(&found), "{found} {furthest}");
        }
        assert_eq!(Reach::of(None).furthest_from(None), 0.0);
        assert_eq!(Reach::of(None).furthest_from(Some((0.2, 0.5))), 1.0);
        assert_eq!(Reach::of(Some((0.2, 0.5))).furthest_from(None), 1.0);
    }

    #[test]
    fn only_saturated_red_counts() {
        assert_eq!(changes(&[RED, WHITE, RED, BLUE]), 4);
        assert_eq!(changes(&[WHITE, BLUE, GREEN, BLUE, WHITE]), 0);
        assert_eq!(changes(&[[0.7, 0.3, 0.0], WHITE, [0.7, 0.3, 0.0]]), 0);
    }

    #[test]
    fn reds_among_themselves_do_not_count() {
        assert_eq!(changes(&[RED, [0.9, 0.1, 0.0], RED, [0.85, 0.0, 0.15]]), 1);
    }

    #[test]
    fn red_against_black_counts_however_dim() {
        assert_eq!(changes(&[[0.05, 0.0, 0.0], [0.0; 3], [0.05, 0.0, 0.0]]), 3);
        assert_eq!(changes(&[[0.02, 0.0, 0.0], [0.0; 3], [0.02, 0.0, 0.0]]), 0);
    }
}
