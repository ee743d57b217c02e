//! Shapes to draw with. Lengths are in heights of the picture; y runs down.

/// A point of the picture.
pub(super) type Point = (f32, f32);

/// Whether a point lies in the rectangle between two corners.
pub(super) fn in_box((x, y): Point, (left, top): Point, (right, bottom): Point) -> bool {
    (left..right).contains(&x) && (top..bottom).contains(&y)
}

/// The distance of a point to a line between two points.
pub(super) fn to_line(point: Point, from: Point, to: Point) -> f32 {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let (px, py) = (point.0 - from.0, point.1 - from.1);
    let along = ((px * dx + py * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
    (px - along * dx).hypot(py - along * dy)
}

/// The distance between two points.
pub(super) fn apart(a: Point, b: Point) -> f32 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// Whether a point lies in a convex shape whose corners go round in one sense.
pub(super) fn in_convex(point: Point, corners: &[Point]) -> bool {
    let side = |from: Point, to: Point| {
        (to.0 - from.0) * (point.1 - from.1) - (to.1 - from.1) * (point.0 - from.0)
    };
    let next = corners.iter().cycle().skip(1);
    let (mut left, mut right) = (false, false);
    for (&from, &to) in corners.iter().zip(next) {
        left |= side(from, to) < 0.0;
        right |= side(from, to) > 0.0;
    }
    !(left && right)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inside_is_inside() {
        let corners = [(0.0, 0.0), (2.0, 0.0), (1.0, 1.0)];
        assert!(in_convex((1.0, 0.5), &corners));
        assert!(!in_convex((0.2, 0.5), &corners));
        assert!(in_box((0.5, 0.5), (0.0, 0.0), (1.0, 1.0)));
        assert!(!in_box((1.5, 0.5), (0.0, 0.0), (1.0, 1.0)));
    }

    #[test]
    fn a_line_ends() {
        assert_eq!(to_line((0.5, 1.0), (0.0, 0.0), (1.0, 0.0)), 1.0);
        assert_eq!(to_line((4.0, 4.0), (0.0, 0.0), (1.0, 0.0)), 5.0);
        assert_eq!(apart((0.0, 0.0), (3.0, 4.0)), 5.0);
    }
}
