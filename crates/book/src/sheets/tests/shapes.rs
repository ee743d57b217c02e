//! Lines, boxes and how they lie to each other, for tests of drawings.

use crate::draw::Step;
use crate::svg::{Point, Rect};

/// The lines of a path, each from corner to corner; a curve by its ends and its two bends.
pub fn segments(steps: &[Step]) -> Vec<(Point, Point)> {
    let mut found = Vec::new();
    let (mut start, mut at) = (Point::new(0.0, 0.0), Point::new(0.0, 0.0));
    for step in steps {
        match step {
            Step::Start(p) => (start, at) = (*p, *p),
            Step::To(p) => {
                found.push((at, *p));
                at = *p;
            }
            Step::Bend(a, b, c) => {
                found.extend([(at, *a), (*a, *b), (*b, *c)]);
                at = *c;
            }
            Step::Close => {
                found.push((at, start));
                at = start;
            }
        }
    }
    found
}

/// Whether a line enters a box.
pub fn enters(from: Point, to: Point, shape: &Rect) -> bool {
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    for (start, way, least, most) in [
        (from.x, to.x - from.x, shape.left, shape.right()),
        (from.y, to.y - from.y, shape.top, shape.bottom()),
    ] {
        if way.abs() < 1e-12 {
            if start <= least || start >= most {
                return false;
            }
            continue;
        }
        let (a, b) = ((least - start) / way, (most - start) / way);
        (low, high) = (low.max(a.min(b)), high.min(a.max(b)));
    }
    low < high
}

pub fn inner(shape: &Rect, by: f64) -> Rect {
    Rect {
        left: shape.left + by,
        top: shape.top + by,
        width: shape.width - 2.0 * by,
        height: shape.height - 2.0 * by,
    }
}

pub fn bounds(steps: &[Step]) -> Rect {
    let places: Vec<Point> = segments(steps).into_iter().flat_map(|(a, b)| [a, b]).collect();
    let of = |get: fn(&Point) -> f64, pick: fn(f64, f64) -> f64| {
        places.iter().map(get).reduce(pick).unwrap_or(0.0)
    };
    let (left, top) = (of(|p| p.x, f64::min), of(|p| p.y, f64::min));
    Rect { left, top, width: of(|p| p.x, f64::max) - left, height: of(|p| p.y, f64::max) - top }
}

pub fn holds(outer: &Rect, inner: &Rect) -> bool {
    outer.left <= inner.left + 1e-6
        && outer.top <= inner.top + 1e-6
        && outer.right() >= inner.right() - 1e-6
        && outer.bottom() >= inner.bottom() - 1e-6
}
