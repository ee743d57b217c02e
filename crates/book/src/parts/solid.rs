//! Solids as blocks between planes, and their skin as triangles.
//!
//! Planes in three directions cut space into blocks; each block is full or empty. The skin is every
//! face between a full block and an empty one. It is closed by construction, and since planes run
//! through the whole solid, a corner of one face never lies on the edge of another.
//!
//! Planes that are met from left to right may lean to either side from some height on, by 45 degrees:
//! their position depends on the height alone, so faces stay flat.

use glowloom_plan::tiles::grains::Grains;

/// A plane that is met from left to right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Upright {
    /// Where it stands.
    pub at: Grains,
    /// To which side it leans: -1, 0 or 1.
    pub lean: i64,
}

impl Upright {
    /// One that does not lean.
    pub fn straight(at: Grains) -> Self {
        Self { at, lean: 0 }
    }
}

/// Blocks between planes.
pub(super) struct Solid {
    x: Vec<Upright>,
    y: Vec<Grains>,
    z: Vec<Grains>,
    /// Height from which upright planes lean.
    lean_from: Grains,
    full: Vec<bool>,
}

/// Twice the place of a block's middle, so that it is whole.
#[derive(Clone, Copy, Debug)]
pub(super) struct Middle {
    pub x: Grains,
    pub y: Grains,
    pub z: Grains,
}

impl Solid {
    /// The solid between these planes, in any order, of the blocks that are full. A block is judged
    /// by its middle below the height from which planes lean. Leaning planes must not meet others.
    pub fn new(
        mut x: Vec<Upright>,
        mut y: Vec<Grains>,
        mut z: Vec<Grains>,
        lean_from: Grains,
        full: impl Fn(Middle) -> bool,
    ) -> Self {
        x.sort_unstable();
        x.dedup();
        for planes in [&mut y, &mut z] {
            planes.sort_unstable();
            planes.dedup();
        }
        let mut blocks = Vec::new();
        for zs in z.windows(2) {
            for ys in y.windows(2) {
                for xs in x.windows(2) {
                    blocks.push(match (xs, ys, zs) {
                        ([x0, x1], [y0, y1], [z0, z1]) => {
                            full(Middle { x: x0.at + x1.at, y: *y0 + *y1, z: *z0 + *z1 })
                        }
                        _ => false,
                    });
                }
            }
        }
        Self { x, y, z, lean_from, full: blocks }
    }

    /// Blocks in each direction.
    fn blocks(&self) -> [usize; 3] {
        [self.x.len(), self.y.len(), self.z.len()].map(|planes| planes.saturating_sub(1))
    }

    /// Whether a block is full; what lies outside is empty.
    fn is_full(&self, [i, j, k]: [Option<usize>; 3]) -> bool {
        let [across, along, high] = self.blocks();
        let (Some(i), Some(j), Some(k)) = (i, j, k) else { return false };
        i < across
            && j < along
            && k < high
            && self.full.get((k * along + j) * across + i).copied().unwrap_or(false)
    }

    /// Where three planes meet.
    fn corner(&self, [i, j, k]: [usize; 3]) -> [Grains; 3] {
        let z = self.z.get(k).copied().unwrap_or_default();
        let upright = self.x.get(i).copied().unwrap_or(Upright::straight(Grains(0)));
        let over = (z - self.lean_from).0.max(0);
        let x = Grains(upright.at.0 + upright.lean * over);
        [x, self.y.get(j).copied().unwrap_or_default(), z]
    }

    /// Whether the block that holds this place is full; planes that lean are taken where they stand.
    #[cfg(test)]
    pub fn is_full_at(&self, [x, y, z]: [Grains; 3]) -> bool {
        let i = self.x.partition_point(|plane| plane.at <= x).checked_sub(1);
        let j = self.y.partition_point(|plane| *plane <= y).checked_sub(1);
        let k = self.z.partition_point(|plane| *plane <= z).checked_sub(1);
        self.is_full([i, j, k])
    }

    /// The skin. The same solid gives the same triangles in the same order.
    pub fn mesh(&self) -> Mesh {
        let [across, along, high] = self.blocks();
        let mut skin = Skin { solid: self, numbers: Vec::new(), mesh: Mesh::default() };
        skin.numbers = vec![u32::MAX; (across + 1) * (along + 1) * (high + 1)];
        for k in 0..high {
            for j in 0..along {
                for i in 0..across {
                    if self.is_full([Some(i), Some(j), Some(k)]) {
                        skin.block([i, j, k]);
                    }
                }
            }
        }
        skin.mesh
    }
}

/// Triangles over shared corners.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Mesh {
    /// Right, back, up.
    pub corners: Vec<[Grains; 3]>,
    /// Three corners each, counter-clockwise as seen from outside.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// Corners of a triangle.
    pub(super) fn places(&self, triangle: &[u32; 3]) -> [[Grains; 3]; 3] {
        triangle.map(|corner| {
            let at = usize::try_from(corner).ok().and_then(|corner| self.corners.get(corner));
            at.copied().unwrap_or_default()
        })
    }
}

/// A mesh in the making: each corner gets its number when it is first met.
struct Skin<'s> {
    solid: &'s Solid,
    numbers: Vec<u32>,
    mesh: Mesh,
}

/// Corners of a block's face, counter-clockwise as seen from outside, by how far each is along the
/// block's three directions: the face to the left, right, front, back, below, above.
const FACES: [([isize; 3], [[usize; 3]; 4]); 6] = [
    ([-1, 0, 0], [[0, 0, 0], [0, 0, 1], [0, 1, 1], [0, 1, 0]]),
    ([1, 0, 0], [[1, 0, 0], [1, 1, 0], [1, 1, 1], [1, 0, 1]]),
    ([0, -1, 0], [[0, 0, 0], [1, 0, 0], [1, 0, 1], [0, 0, 1]]),
    ([0, 1, 0], [[0, 1, 0], [0, 1, 1], [1, 1, 1], [1, 1, 0]]),
    ([0, 0, -1], [[0, 0, 0], [0, 1, 0], [1, 1, 0], [1, 0, 0]]),
    ([0, 0, 1], [[0, 0, 1], [1, 0, 1], [1, 1, 1], [0, 1, 1]]),
];

impl Skin<'_> {
    fn block(&mut self, at: [usize; 3]) {
        let [i, j, k] = at;
        for ([di, dj, dk], corners) in FACES {
            let beside =
                [i.checked_add_signed(di), j.checked_add_signed(dj), k.checked_add_signed(dk)];
            if self.solid.is_full(beside) {
                continue;
            }
            let [a, b, c, d] = corners.map(|[x, y, z]| self.number([i + x, j + y, k + z]));
            self.mesh.triangles.push([a, b, c]);
            self.mesh.triangles.push([a, c, d]);
        }
    }

    fn number(&mut self, corner: [usize; 3]) -> u32 {
        let [across, along, _] = self.solid.blocks();
        let place = (corner[2] * (along + 1) + corner[1]) * (across + 1) + corner[0];
        let Some(number) = self.numbers.get_mut(place) else { return 0 };
        if *number == u32::MAX {
            *number = u32::try_from(self.mesh.corners.len()).unwrap_or(u32::MAX);
            self.mesh.corners.push(self.solid.corner(corner));
        }
        *number
    }
}

#[cfg(test)]
pub(super) mod checks {
    use super::*;
    use std::collections::HashMap;

    /// Six times the volume inside, in cubic grains: the sum over triangles of a determinant.
    pub fn six_volumes(mesh: &Mesh) -> i128 {
        let of = |triangle: &[u32; 3]| {
            let [a, b, c] = mesh.places(triangle).map(|p| p.map(|g| i128::from(g.0)));
            a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
                + a[2] * (b[0] * c[1] - b[1] * c[0])
        };
        mesh.triangles.iter().map(of).sum()
    }

    /// Every edge belongs to two triangles, in opposite senses; no triangle is flat; no two corners
    /// are at one place.
    pub fn assert_manifold(mesh: &Mesh) {
        let mut edges: HashMap<(u32, u32), u32> = HashMap::new();
        for [a, b, c] in &mesh.triangles {
            for edge in [(*a, *b), (*b, *c), (*c, *a)] {
                *edges.entry(edge).or_default() += 1;
            }
        }
        for ((a, b), times) in &edges {
            assert_eq!(*times, 1, "an edge is met twice in one sense");
            assert!(edges.contains_key(&(*b, *a)), "an edge is open");
        }
        let mut places: Vec<_> = mesh.corners.clone();
        places.sort_unstable();
        places.dedup();
        assert_eq!(places.len(), mesh.corners.len());
        for triangle in &mesh.triangles {
            let [a, b, c] = mesh.places(triangle).map(|p| p.map(|g| i128::from(g.0)));
            let u: [i128; 3] = std::array::from_fn(|i| b[i] - a[i]);
            let v: [i128; 3] = std::array::from_fn(|i| c[i] - a[i]);
            let across =
                [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
            assert_ne!(across, [0; 3], "a triangle is flat");
        }
    }

    /// Planes keep their order at every height, so no two faces meet but at their edges.
    pub fn assert_ordered(solid: &Solid) {
        for k in 0..solid.z.len() {
            for i in 1..solid.x.len() {
                let x = |i| solid.corner([i, 0, k])[0];
                assert!(x(i - 1) < x(i), "two planes meet");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::checks::{assert_manifold, assert_ordered, six_volumes};
    use super::*;

    fn straight(places: &[i64]) -> Vec<Upright> {
        places.iter().map(|at| Upright::straight(Grains(*at))).collect()
    }

    fn grains(places: &[i64]) -> Vec<Grains> {
        places.iter().map(|at| Grains(*at)).collect()
    }

    #[test]
    fn a_cube_has_twelve_triangles() {
        let solid =
            Solid::new(straight(&[0, 10]), grains(&[10, 0]), grains(&[0, 10]), Grains(10), |_| {
                true
            });
        let mesh = solid.mesh();
        assert_eq!((mesh.corners.len(), mesh.triangles.len()), (8, 12));
        assert_manifold(&mesh);
        assert_eq!(six_volumes(&mesh), 6000);
    }

    /// A square ring: a hole through it, and still one skin.
    #[test]
    fn a_ring() {
        let solid = Solid::new(
            straight(&[0, 1, 3, 4]),
            grains(&[0, 1, 3, 4]),
            grains(&[0, 2]),
            Grains(2),
            |m| !((2..6).contains(&m.x.0) && (2..6).contains(&m.y.0)),
        );
        let mesh = solid.mesh();
        assert_manifold(&mesh);
        assert_eq!(six_volumes(&mesh), 6 * (16 - 4) * 2);
    }

    /// 10 wide below, 14 at the top: 10 x 5 x 5 and a slab of 12 on average, 5 x 2.
    #[test]
    fn planes_may_lean() {
        let planes = vec![Upright { at: Grains(10), lean: 1 }, Upright { at: Grains(0), lean: -1 }];
        let solid = Solid::new(planes, grains(&[0, 5]), grains(&[0, 5, 7]), Grains(5), |_| true);
        let mesh = solid.mesh();
        assert_ordered(&solid);
        assert_manifold(&mesh);
        assert_eq!(six_volumes(&mesh), 6 * (250 + 12 * 5 * 2));
    }

    /// The checks themselves see what is wrong.
    #[test]
    fn blocks_that_touch_at_an_edge_are_no_solid() {
        let diagonal = |m: Middle| (m.x.0 < 2) == (m.y.0 < 2);
        let solid = Solid::new(
            straight(&[0, 1, 2]),
            grains(&[0, 1, 2]),
            grains(&[0, 1]),
            Grains(1),
            diagonal,
        );
        let mesh = solid.mesh();
        assert!(std::panic::catch_unwind(|| assert_manifold(&mesh)).is_err());
        let mut open =
            Solid::new(straight(&[0, 1]), grains(&[0, 1]), grains(&[0, 1]), Grains(1), |_| true)
                .mesh();
        open.triangles.pop();
        assert!(std::panic::catch_unwind(|| assert_manifold(&open)).is_err());
    }
}
