//! The light on the cloth over one cell: a small numerical model.
//!
//! A cell is a box: a small Lambertian source in the middle of its floor, four thin walls, the cloth
//! on top. Walls and floor throw a share of the light back evenly in all directions; what the cloth
//! throws back is left out. Straight light is a closed form; the light by way of walls and floor is
//! the radiosity of some two dozen patches, the others being their mirror images. So it is fast, and
//! within some per cent of tracing a great many rays (a test does so).

use std::f64::consts::PI;

use glowloom_units::Metres;

use super::form_factor::{Vector, form_factor};

/// Patches across the cell, from wall to wall: even, so that halves mirror each other.
const ACROSS: usize = 4;
/// Patches from the floor to the cloth, the outer ones thin: next to the cloth they matter most.
const DEEP: usize = 6;
/// The edge of the cloth is looked at this close to the wall, as a share of the half cell.
const AT_EDGE: f64 = 1.0 - 1e-4;

/// One cell of the baffle; its walls are taken as thin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// From one pixel to the next, right.
    pub width: Metres,
    /// From one pixel to the next, down.
    pub height: Metres,
    /// From the source to the cloth, above 0.
    pub depth: Metres,
    /// Share of the light that walls and floor throw back, 0 to below 1.
    pub reflectance: f64,
}

/// What reaches the cloth over one cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellLight {
    /// Light on the cloth at the middle of the farther pair of walls, over that at the centre.
    pub edge_to_centre: f64,
    /// Share of the source's light that reaches the cloth, 0 to 1.
    pub reaching: f64,
}

/// A flat piece of wall or floor.
#[derive(Clone, Copy, Debug)]
struct Patch {
    corners: [Vector; 4],
    centre: Vector,
    normal: Vector,
    area: f64,
}

impl Patch {
    /// Between two opposite corners of a rectangle along the axes; `flat` is the axis that it is
    /// upright on, from 0.
    fn new(low: Vector, high: Vector, flat: usize, normal: Vector) -> Self {
        let (u, v) = ((flat + 1) % 3, (flat + 2) % 3);
        let corner = |at_u: f64, at_v: f64| {
            let mut corner = low;
            (corner[u], corner[v]) = (at_u, at_v);
            corner
        };
        Self {
            corners: [
                corner(low[u], low[v]),
                corner(high[u], low[v]),
                corner(high[u], high[v]),
                corner(low[u], high[v]),
            ],
            centre: corner(f64::midpoint(low[u], high[u]), f64::midpoint(low[v], high[v])),
            normal,
            area: ((high[u] - low[u]) * (high[v] - low[v])).abs(),
        }
    }

    /// The same seen in the mirrors through the middle of the cell.
    fn mirrored(&self, x: f64, y: f64) -> Self {
        let turn = |v: Vector| [v[0] * x, v[1] * y, v[2]];
        Self {
            corners: self.corners.map(turn),
            centre: turn(self.centre),
            normal: turn(self.normal),
            area: self.area,
        }
    }

    /// Light straight from the source on it, for a source of 1 cd on its axis, averaged by 3 x 3
    /// points of Gauss.
    fn direct(&self) -> f64 {
        const POINTS: [(f64, f64); 3] = [
            (0.112_701_665_379_258_3, 5.0 / 18.0),
            (0.5, 8.0 / 18.0),
            (0.887_298_334_620_741_7, 5.0 / 18.0),
        ];
        let [a, b, _, d] = self.corners;
        let mut sum = 0.0;
        for (s, weight_s) in POINTS {
            for (t, weight_t) in POINTS {
                let at: Vector =
                    std::array::from_fn(|i| a[i] + s * (b[i] - a[i]) + t * (d[i] - a[i]));
                sum += weight_s * weight_t * straight(at, self.normal);
            }
        }
        sum
    }
}

/// Light at a point of the cloth, straight and by way of the patches.
fn on_cloth(point: Vector, patches: &[Patch], radiosity: &[f64]) -> f64 {
    let down = [0.0, 0.0, -1.0];
    let sent = patches.iter().zip(radiosity);
    let by_way_of: f64 = sent.map(|(patch, radiosity)| radiosity * seen(point, down, patch)).sum();
    straight(point, down) + by_way_of
}

/// Light at a point straight from a Lambertian source of 1 cd at the origin that faces out.
fn straight(at: Vector, normal: Vector) -> f64 {
    let square = at[0] * at[0] + at[1] * at[1] + at[2] * at[2];
    let facing = -(at[0] * normal[0] + at[1] * normal[1] + at[2] * normal[2]);
    (at[2] * facing.max(0.0)) / (square * square)
}

impl Cell {
    /// What reaches its cloth.
    #[must_use]
    pub fn light(&self) -> CellLight {
        let patches = self.patches();
        let direct: Vec<f64> = patches.iter().map(Patch::direct).collect();
        let radiosity = self.radiosity(&patches, &direct);
        let at = |point: Vector| on_cloth(point, &patches, &radiosity);
        let (width, height) = self.across();
        let depth = self.depth.0 / self.scale();
        let edge = if width >= height {
            [width / 2.0 * AT_EDGE, 0.0, depth]
        } else {
            [0.0, height / 2.0 * AT_EDGE, depth]
        };
        // Straight light, and what each patch with its four mirror images sends there.
        let cloth = [
            [-width / 2.0, -height / 2.0, depth],
            [width / 2.0, -height / 2.0, depth],
            [width / 2.0, height / 2.0, depth],
            [-width / 2.0, height / 2.0, depth],
        ];
        let by_way_of: f64 = patches
            .iter()
            .zip(&radiosity)
            .map(|(patch, radiosity)| {
                4.0 * patch.area * radiosity * form_factor(patch.centre, patch.normal, &cloth)
            })
            .sum();
        let straight_on = form_factor([0.0; 3], [0.0, 0.0, 1.0], &cloth);
        CellLight {
            edge_to_centre: at(edge) / at([0.0, 0.0, depth]),
            reaching: (straight_on + by_way_of / PI).clamp(0.0, 1.0),
        }
    }

    /// Light on the cloth over that at the centre, at `points` times `points` places that are spread evenly over
    /// the cell, row by row: for drawing what [`Cell::light`] gives in one figure.
    #[must_use]
    pub fn profile(&self, points: usize) -> Vec<f64> {
        let patches = self.patches();
        let direct: Vec<f64> = patches.iter().map(Patch::direct).collect();
        let radiosity = self.radiosity(&patches, &direct);
        let (width, height) = self.across();
        let depth = self.depth.0 / self.scale();
        let at = |x: f64, y: f64| on_cloth([x, y, depth], &patches, &radiosity);
        let centre = at(0.0, 0.0);
        // None lies on a wall, where the light has no value.
        let place = |i: usize, size: f64| ((i as f64 + 0.5) / points as f64 - 0.5) * size;
        let places = (0..points).flat_map(|row| (0..points).map(move |column| (column, row)));
        places.map(|(column, row)| at(place(column, width), place(row, height)) / centre).collect()
    }

    /// The least depth at which the edge gets a wanted share, above 0 and below 1, of the light at
    /// the centre, other things equal; to half a per cent. `None` where none up to twenty cells
    /// does.
    #[must_use]
    pub fn depth_for(&self, wanted: f64) -> Option<Metres> {
        let widest = self.width.max(self.height);
        let lack = |depth: f64| {
            let cell = Self { depth: widest * depth, ..*self };
            wanted - cell.light().edge_to_centre
        };
        let (mut low, mut high) = (0.02f64, 20.0f64);
        let (mut lack_low, mut lack_high) = (lack(low), lack(high));
        if lack_high > 0.0 {
            return None;
        }
        if lack_low <= 0.0 {
            return Some(widest * low);
        }
        // False position on the logarithm of the depth, by halves where one end stays (Illinois).
        let mut side = 0;
        for _ in 0..30 {
            let share = lack_low / (lack_low - lack_high);
            let middle = (low.ln() + share * (high.ln() - low.ln())).exp();
            let lack_middle = lack(middle);
            if lack_middle > 0.0 {
                (low, lack_low) = (middle, lack_middle);
                if side == 1 {
                    lack_high /= 2.0;
                }
                side = 1;
            } else {
                (high, lack_high) = (middle, lack_middle);
                if side == -1 {
                    lack_low /= 2.0;
                }
                side = -1;
            }
            if high / low < 1.005 || lack_middle.abs() < 1e-4 {
                return Some(widest * middle);
            }
        }
        Some(widest * high)
    }

    /// Lengths are counted in the larger side, so that figures are near 1.
    fn scale(&self) -> f64 {
        self.width.max(self.height).0
    }

    fn across(&self) -> (f64, f64) {
        (self.width.0 / self.scale(), self.height.0 / self.scale())
    }

    /// Those of one quarter of the cell: floor, the wall at the right, the wall at the top.
    fn patches(&self) -> Vec<Patch> {
        let (width, height) = self.across();
        let depth = self.depth.0 / self.scale();
        let side = |size: f64| move |i: usize| size / 2.0 * share(i, ACROSS / 2);
        let (right, up) = (side(width), side(height));
        let out = |i: usize| depth * (1.0 - (PI * share(i, DEEP)).cos()) / 2.0;
        let mut patches = Vec::new();
        for i in 0..ACROSS / 2 {
            for j in 0..ACROSS / 2 {
                let (low, high) = ([right(i), up(j), 0.0], [right(i + 1), up(j + 1), 0.0]);
                patches.push(Patch::new(low, high, 2, [0.0, 0.0, 1.0]));
            }
            for k in 0..DEEP {
                let (low, high) = (out(k), out(k + 1));
                let (x, y) = (width / 2.0, height / 2.0);
                patches.push(Patch::new(
                    [x, up(i), low],
                    [x, up(i + 1), high],
                    0,
                    [-1.0, 0.0, 0.0],
                ));
                patches.push(Patch::new(
                    [right(i), y, low],
                    [right(i + 1), y, high],
                    1,
                    [0.0, -1.0, 0.0],
                ));
            }
        }
        patches
    }

    /// What each patch sends back in all, straight light and light by way of others.
    fn radiosity(&self, patches: &[Patch], direct: &[f64]) -> Vec<f64> {
        let own: Vec<f64> = direct.iter().map(|light| light * self.reflectance).collect();
        if self.reflectance == 0.0 {
            return own;
        }
        let exchange: Vec<Vec<f64>> = patches
            .iter()
            .map(|to| patches.iter().map(|from| seen(to.centre, to.normal, from)).collect())
            .collect();
        // Each round is one more bounce; what goes round shrinks by the reflectance at least.
        let mut radiosity = own.clone();
        for _ in 0..1000 {
            let mut change = 0.0f64;
            for (i, row) in exchange.iter().enumerate() {
                let falling: f64 = row.iter().zip(&radiosity).map(|(f, b)| f * b).sum();
                let new = own[i] + self.reflectance * falling;
                change = change.max((new - radiosity[i]).abs() / new.max(f64::MIN_POSITIVE));
                radiosity[i] = new;
            }
            if change < 1e-6 {
                break;
            }
        }
        radiosity
    }
}

/// How much of what a small surface sees is a patch with its mirror images.
fn seen(point: Vector, normal: Vector, patch: &Patch) -> f64 {
    let mut sum = 0.0;
    for x in [1.0, -1.0] {
        for y in [1.0, -1.0] {
            let image = patch.mirrored(x, y);
            // A wall does not see itself.
            let level: f64 = (0..3).map(|i| (image.centre[i] - point[i]) * normal[i]).sum();
            if level > 1e-12 {
                sum += form_factor(point, normal, &image.corners);
            }
        }
    }
    sum
}

/// Counts here are a few.
#[expect(clippy::cast_precision_loss, reason = "a few")]
fn share(i: usize, of: usize) -> f64 {
    i as f64 / of as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The many figures say what the one does: at the middle of the farther walls, within a per cent of what
    /// is known between two places.
    #[test]
    fn the_profile_ends_where_the_light_does() {
        for (width, height, reflectance) in
            [(0.0333, 0.0333, 0.6), (0.04, 0.02, 0.0), (0.0166, 0.0333, 0.8)]
        {
            let cell = Cell {
                width: Metres(width),
                height: Metres(height),
                depth: Metres(0.02),
                reflectance,
            };
            let points = 41;
            let all = cell.profile(points);
            let at = |column: usize, row: usize| all[row * points + column];
            assert_eq!(at(20, 20), 1.0);
            let wide = width >= height;
            let out = |i: usize| if wide { at(i, 20) } else { at(20, i) };
            // Half a step before the wall; a straight line leads to it.
            let edge = out(40) + (out(40) - out(39)) / 2.0;
            let wanted = cell.light().edge_to_centre;
            assert!((edge / wanted - 1.0).abs() < 0.02, "{edge} {wanted}");
            assert!((out(0) - out(40)).abs() < 1e-9, "both walls alike");
        }
    }
}
