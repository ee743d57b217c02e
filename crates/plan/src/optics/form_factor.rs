//! How much of what a small surface sees is one flat polygon: its form factor.

use std::f64::consts::TAU;

/// A point or a direction: right, up, out.
pub(super) type Vector = [f64; 3];

fn minus(a: Vector, b: Vector) -> Vector {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// The share, 0 to 1, of the light leaving a small Lambertian surface at `point` with the unit
/// `normal` that meets a flat polygon, all of which lies on the normal's side. By reciprocity also
/// the light that a Lambertian polygon of radiosity 1 sends there. Lambert's formula for polygons:
/// the sum over the edges of the angle that each spans at the point, times the part along the
/// normal of its plane's direction, over a full turn (from memory; held by tests against the
/// closed form of a rectangle).
pub(super) fn form_factor<const N: usize>(
    point: Vector,
    normal: Vector,
    polygon: &[Vector; N],
) -> f64 {
    let mut sum = 0.0;
    for i in 0..N {
        let (a, b) = (minus(polygon[i], point), minus(polygon[(i + 1) % N], point));
        let across = cross(a, b);
        let size = dot(across, across).sqrt();
        // An edge that points at the surface spans no angle.
        if size > 0.0 {
            sum += size.atan2(dot(a, b)) * dot(across, normal) / size;
        }
    }
    (sum / TAU).abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small surface under the corner of a parallel rectangle a by b at a distance of 1: a closed
    /// form from tables of view factors (from memory).
    #[test]
    fn a_parallel_rectangle_over_its_corner() {
        for (a, b) in [(1.0, 1.0), (0.2, 3.0), (7.0, 0.5)] {
            let (p, q) = (f64::sqrt(1.0 + a * a), f64::sqrt(1.0 + b * b));
            let wanted = (a / p * f64::atan(b / p) + b / q * f64::atan(a / q)) / TAU;
            let rectangle = [[0.0, 0.0, 1.0], [a, 0.0, 1.0], [a, b, 1.0], [0.0, b, 1.0]];
            let found = form_factor([0.0; 3], [0.0, 0.0, 1.0], &rectangle);
            assert!((found - wanted).abs() < 1e-12, "{a} x {b}: {found}, not {wanted}");
        }
    }

    /// Whoever stands in a closed box sees nothing but its walls.
    #[test]
    fn a_box_fills_the_view() {
        let (w, h, d) = (2.0, 3.0, 1.5);
        let point = [0.3, 0.0, 0.7];
        let corner = |x: f64, y: f64, z: f64| [x, y, z];
        let others = [
            [corner(0.0, h, 0.0), corner(w, h, 0.0), corner(w, h, d), corner(0.0, h, d)],
            [corner(0.0, 0.0, 0.0), corner(0.0, h, 0.0), corner(0.0, h, d), corner(0.0, 0.0, d)],
            [corner(w, 0.0, 0.0), corner(w, h, 0.0), corner(w, h, d), corner(w, 0.0, d)],
            [corner(0.0, 0.0, 0.0), corner(w, 0.0, 0.0), corner(w, h, 0.0), corner(0.0, h, 0.0)],
            [corner(0.0, 0.0, d), corner(w, 0.0, d), corner(w, h, d), corner(0.0, h, d)],
        ];
        let all: f64 = others.iter().map(|o| form_factor(point, [0.0, 1.0, 0.0], o)).sum();
        assert!((all - 1.0).abs() < 1e-12, "{all}");
    }
}
