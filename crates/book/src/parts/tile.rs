//! A tile as a solid: which planes cut it, and where it is full.

use glowloom_plan::tiles::grains::Grains;
use glowloom_plan::tiles::rim::RimShape;
use glowloom_plan::tiles::shape::TileShape;

use super::solid::{Mesh, Middle, Solid, Upright};

/// The skin of a tile as it is printed: the cloth side down, the first strip end at the front. The
/// front left corner of its outline is the origin.
#[must_use]
pub fn tile(shape: &TileShape) -> Mesh {
    solid(shape).mesh()
}

/// The skin of a rim strip, lying on its broad side.
#[must_use]
pub fn rim(shape: &RimShape) -> Mesh {
    let x = [Grains(0), shape.length].map(Upright::straight).to_vec();
    let y = vec![Grains(0), shape.depth];
    let z = vec![Grains(0), shape.thickness];
    Solid::new(x, y, z, shape.thickness, |_| true).mesh()
}

/// One direction of the grid: walls stand on its lines.
#[derive(Clone, Copy)]
struct Axis {
    half_step: Grains,
    cells: u32,
    half_wall: Grains,
    half_gap: Grains,
    size: Grains,
}

impl Axis {
    /// Faces of all walls, and of the lip if there is one.
    fn faces(&self, lip: Grains) -> Vec<Grains> {
        let mut faces = vec![Grains(0), self.half_wall, self.size - self.half_wall, self.size];
        for line in 1..self.cells {
            let middle = self.half_step * 2 * line - self.half_gap;
            faces.extend([middle - self.half_wall, middle + self.half_wall]);
        }
        if lip > Grains(0) {
            let lip = self.half_wall + lip;
            faces.extend([lip, self.size - lip]);
        }
        faces
    }

    /// Whether twice a place lies within so much of either outer face.
    fn near_edge(&self, twice: Grains, distance: Grains) -> bool {
        twice < distance * 2 || twice > (self.size - distance) * 2
    }

    /// Whether twice a place lies in a wall.
    fn in_wall(&self, twice: Grains) -> bool {
        if self.near_edge(twice, self.half_wall) {
            return true;
        }
        let from_line = self.beside_middle(Grains(twice.0 + self.half_step.0 * 2));
        from_line < self.half_wall * 2
    }

    /// Twice the distance from the middle of the nearest cell, counted on beyond the edges.
    fn beside_middle(&self, twice: Grains) -> Grains {
        let step = self.half_step.0 * 4;
        let along = (twice.0 + self.half_gap.0 * 2 - self.half_step.0 * 2).rem_euclid(step.max(1));
        Grains(along.min(step - along))
    }
}

fn solid(shape: &TileShape) -> Solid {
    let p = shape.profile;
    let axis = |half_step, cells, size| Axis {
        half_step,
        cells,
        half_wall: p.half_wall,
        half_gap: p.half_gap,
        size,
    };
    let across = axis(shape.half_column, shape.columns, shape.width());
    let along = axis(shape.half_row, shape.rows, shape.length());
    let mut x: Vec<Upright> = across.faces(p.lip).into_iter().map(Upright::straight).collect();
    for column in 0..shape.columns {
        let middle = shape.half_column * (2 * column + 1) - p.half_gap;
        x.push(Upright { at: middle - p.half_channel, lean: -1 });
        x.push(Upright { at: middle + p.half_channel, lean: 1 });
    }
    let room = p.half_wall + p.joint_room;
    let mut y = along.faces(p.lip);
    let mut z = vec![Grains(0), p.depth - p.channel_height, p.depth - p.lead_in, p.depth];
    if p.lip_thickness > Grains(0) {
        z.push(p.lip_thickness);
    }
    if shape.ends > 0 {
        z.push(p.depth - p.joint_height);
        y.push(room);
    }
    if shape.ends > 1 {
        y.push(along.size - room);
    }
    let at_end = move |y: Grains| {
        (shape.ends > 0 && y < room * 2) || (shape.ends > 1 && y > (along.size - room) * 2)
    };
    let full = |at: Middle| {
        let lip = p.half_wall + p.lip;
        if at.z < p.lip_thickness * 2 && (across.near_edge(at.x, lip) || along.near_edge(at.y, lip))
        {
            return true;
        }
        if at.z > (p.depth - p.joint_height) * 2 && at_end(at.y) {
            return false;
        }
        let under_strip = at.z > (p.depth - p.channel_height) * 2
            && across.beside_middle(at.x) < p.half_channel * 2;
        across.in_wall(at.x) || (along.in_wall(at.y) && !under_strip)
    };
    Solid::new(x, y, z, p.depth - p.lead_in, full)
}

#[cfg(test)]
mod tests {
    use super::super::solid::checks::{assert_manifold, assert_ordered, six_volumes};
    use super::*;
    use glowloom_plan::tiles::shape::Profile;
    use proptest::prelude::*;

    fn mm(millimetres: f64) -> Grains {
        Grains::of(glowloom_units::Metres(millimetres / 1000.0))
    }

    fn usual(columns: u32, rows: u32, ends: u8) -> TileShape {
        let profile = Profile {
            half_wall: mm(0.4),
            half_gap: mm(0.1),
            depth: mm(20.0),
            half_channel: mm(6.0),
            channel_height: mm(3.0),
            lead_in: mm(1.0),
            joint_room: mm(10.0),
            joint_height: mm(6.0),
            lip: mm(0.0),
            lip_thickness: mm(0.0),
        };
        let half_step = mm(100.0 / 6.0);
        TileShape { columns, rows, ends, half_column: half_step, half_row: half_step, profile }
    }

    /// The mesh holds what the formula of the plan says, to the last cubic grain.
    fn assert_sound(shape: &TileShape) {
        let solid = solid(shape);
        assert_ordered(&solid);
        let mesh = solid.mesh();
        assert_manifold(&mesh);
        assert_eq!(six_volumes(&mesh), 6 * shape.volume().0, "{shape:?}");
        let size = |i: usize| mesh.corners.iter().map(|corner| corner[i]).max();
        assert_eq!(size(0), Some(shape.width()));
        assert_eq!(size(1), Some(shape.length()));
        assert_eq!(size(2), Some(shape.profile.depth));
        assert!(mesh.corners.iter().flatten().all(|at| at.0 >= 0));
    }

    #[test]
    fn every_number_of_ends() {
        for ends in 0..=2 {
            for (columns, rows) in [(1, 1), (1, 4), (3, 1), (6, 6)] {
                assert_sound(&usual(columns, rows, ends));
            }
        }
    }

    /// The whole of one cell by its parts: what stands where.
    #[test]
    fn walls_channels_and_rooms_are_where_they_belong() {
        let tile = usual(2, 2, 1);
        let solid = solid(&tile);
        let full = |x: f64, y: f64, z: f64| solid.is_full_at([x, y, z].map(mm));
        let (wall, cell) = (33.2333, 16.5667);
        // Between the cells stand walls, cells are open to both sides.
        assert!(full(wall, 50.0, 10.0) && full(50.0, wall, 10.0) && full(0.2, 50.0, 10.0));
        assert!(!full(cell, cell, 0.5) && !full(cell, cell, 19.5));
        // The strip, along y, passes under the wall that it crosses, and not through that beside it.
        assert!(!full(cell, wall, 18.0) && full(cell, wall, 16.9));
        assert!(!full(cell + 5.9, wall, 17.5) && full(cell + 6.1, wall, 17.5));
        assert!(full(wall, 50.0, 19.9));
        // The outer wall at the plain end is notched as well.
        assert!(!full(cell, 66.3, 18.0) && full(cell + 7.5, 66.3, 18.0));
        // Where strips end, nothing stands in the room, and everything does below it.
        assert!(!full(0.2, 0.2, 14.1) && !full(wall, 9.9, 14.1) && !full(cell + 9.0, 0.2, 14.1));
        assert!(full(0.2, 0.2, 13.9) && full(wall, 9.9, 13.9) && full(wall, 10.6, 14.1));
    }

    #[test]
    fn a_rim_strip_is_a_bar() {
        let shape = RimShape { length: mm(201.2), depth: mm(20.0), thickness: mm(1.2) };
        let mesh = rim(&shape);
        assert_manifold(&mesh);
        assert_eq!(mesh.triangles.len(), 12);
        assert_eq!(six_volumes(&mesh), 6 * shape.volume().0);
    }

    /// Any shape whose settings do not contradict each other, in grains.
    fn shapes() -> impl Strategy<Value = TileShape> {
        let counts = (1u32..6, 1u32..6, 0u8..3);
        let walls = (1i64..200, 0i64..40, 300i64..2000, 300i64..2000);
        let shares = proptest::array::uniform7(0.0f64..1.0);
        (counts, walls, shares, any::<bool>(), any::<bool>()).prop_map(
            |(
                (columns, rows, ends),
                (half_wall, half_gap, over_x, over_y),
                shares,
                leads,
                lips,
            )| {
                let part = |whole: i64, share: f64| {
                    #[expect(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
                    let part = (whole as f64 * share) as i64;
                    part.clamp(1, (whole - 1).max(1))
                };
                let [channel, height, lead, room, joint, lip, thick] = shares;
                let edge = half_wall + half_gap;
                let depth = 1000;
                // The opening of a half cell holds the lip, the lead-in and half the channel.
                let half_channel = part(over_x - 200, channel);
                let lead_in = if leads { part(100, lead) } else { 0 };
                let profile = Profile {
                    half_wall: Grains(half_wall),
                    half_gap: Grains(half_gap),
                    depth: Grains(depth),
                    half_channel: Grains(half_channel),
                    channel_height: Grains(lead_in + part(500, height)),
                    lead_in: Grains(lead_in),
                    joint_room: Grains(part(over_y, room)),
                    joint_height: Grains(part(600, joint)),
                    lip: Grains(if lips { part(100, lip) } else { 0 }),
                    lip_thickness: Grains(if lips { part(300, thick) } else { 0 }),
                };
                let (half_column, half_row) = (Grains(edge + over_x), Grains(edge + over_y));
                TileShape { columns, rows, ends, half_column, half_row, profile }
            },
        )
    }

    proptest! {
        #[test]
        fn every_tile_is_one_closed_skin_of_the_volume_by_formula(shape in shapes()) {
            assert_sound(&shape);
        }
    }
}
