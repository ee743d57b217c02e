//! The solid of one tile: its sizes, and its volume by formula.
//!
//! A tile has cells in a grid of steps across and along the strips, with the strips upright. It is
//! drawn as it is printed: the cloth side down on the bed at height 0, the side of the strips up.
//! So channels and rooms are open notches at the top, and nothing needs support.
//!
//! Walls stand on the lines of the grid. A wall between two cells has its whole thickness; an outer
//! wall has half of it and stands back from its line by half the fit gap, so that two neighbours
//! make one wall. Every wall across the strips is notched by a channel at each strip. Where strips
//! end, everything within the joint room of that edge, outer wall included, stops short of the
//! strips by the room's height, over the whole width: joints and jumpers pass from tile to tile.

use glowloom_design::wall::Baffle;
use glowloom_units::Metres;

use super::grains::{Grains, Volume};

/// What all tiles of a wall have in common.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Profile {
    /// Half a wall: the thickness of an outer one.
    pub half_wall: Grains,
    /// Half the fit gap: by which an outer wall stands back.
    pub half_gap: Grains,
    /// From the cloth to the strips' board.
    pub depth: Grains,
    /// Half the width of a channel, lead-in apart.
    pub half_channel: Grains,
    /// Of a channel.
    pub channel_height: Grains,
    /// By which a channel's mouth is wider on each side, and over which height: 45 degrees.
    pub lead_in: Grains,
    /// From the inner face of an outer wall inward.
    pub joint_room: Grains,
    /// Of the joint room.
    pub joint_height: Grains,
    /// Inward from the inner faces of the outer walls; 0: none.
    pub lip: Grains,
    /// Of the lip, from the cloth; 0: none.
    pub lip_thickness: Grains,
}

impl Profile {
    /// What the wall file says.
    #[must_use]
    pub fn of(baffle: &Baffle) -> Self {
        let none = (Metres(0.0), Metres(0.0));
        let (lip, lip_thickness) = baffle.lip.unwrap_or(none);
        Self {
            half_wall: Grains::half_of(baffle.wall),
            half_gap: Grains::half_of(baffle.fit_gap),
            depth: Grains::of(baffle.depth),
            half_channel: Grains::half_of(baffle.channel.0),
            channel_height: Grains::of(baffle.channel.1),
            lead_in: Grains::of(baffle.lead_in),
            joint_room: Grains::of(baffle.joint_room.0),
            joint_height: Grains::of(baffle.joint_room.1),
            lip: Grains::of(lip),
            lip_thickness: Grains::of(lip_thickness),
        }
    }

    /// From the grid's line at an edge to the inner face of the outer wall there.
    #[must_use]
    pub fn edge(&self) -> Grains {
        self.half_gap + self.half_wall
    }
}

/// One tile.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TileShape {
    /// Cells across the strips: so many strips pass under it.
    pub columns: u32,
    /// Cells along the strips.
    pub rows: u32,
    /// At how many of its edges strips end: 0, 1 or 2. One end is at the first row.
    pub ends: u8,
    /// Half a step across the strips.
    pub half_column: Grains,
    /// Half a step along the strips.
    pub half_row: Grains,
    /// What it has in common with all others.
    pub profile: Profile,
}

impl TileShape {
    /// Outer size across the strips.
    #[must_use]
    pub fn width(&self) -> Grains {
        outer(self.half_column, self.columns, &self.profile)
    }

    /// Outer size along the strips.
    #[must_use]
    pub fn length(&self) -> Grains {
        outer(self.half_row, self.rows, &self.profile)
    }

    /// Its volume, by formula: the walls, less the channels and the joint rooms, and the lip. Exact
    /// where the settings do not contradict each other; `crates/book` draws the same solid by other
    /// means, and both are compared.
    #[must_use]
    pub fn volume(&self) -> Volume {
        let p = &self.profile;
        let (width, length) = (self.width(), self.length());
        // All walls beside each other: two outer halves and a whole one between any two cells.
        let along = p.half_wall * (2 * self.columns);
        let across = p.half_wall * (2 * self.rows);
        let (open_width, open_length) = (width - along, length - across);
        let walls = width.volume(length, p.depth) - open_width.volume(open_length, p.depth);
        let channels = channel(p, p.channel_height, across) * self.columns;
        let within_lip = (open_width - p.lip * 2).volume(open_length - p.lip * 2, p.lip_thickness);
        let lip = open_width.volume(open_length, p.lip_thickness) - within_lip;
        walls - channels - self.joint_room() * u32::from(self.ends) + lip
    }

    /// What one edge with strip ends lacks, its channels apart.
    fn joint_room(&self) -> Volume {
        let p = &self.profile;
        let outer_wall = self.width().volume(p.half_wall, p.joint_height);
        let walls_along = (p.half_wall * (2 * self.columns)).volume(p.joint_room, p.joint_height);
        let channels = channel(p, p.joint_height, p.half_wall) * self.columns;
        outer_wall + walls_along - channels
    }
}

/// A channel as far down as `height` from its mouth, through walls of that thickness together.
fn channel(p: &Profile, height: Grains, thickness: Grains) -> Volume {
    let straight = (p.half_channel * 2).volume(height.min(p.channel_height), thickness);
    // Two triangles with the mouth's lead-in for both legs, less what lies further down.
    let further = p.lead_in - height.min(p.lead_in);
    let triangles = |leg: Grains| leg.volume(leg, thickness);
    straight + triangles(p.lead_in) - triangles(further)
}

/// Outer size of so many cells.
pub(super) fn outer(half_step: Grains, cells: u32, profile: &Profile) -> Grains {
    half_step * 2 * cells - profile.half_gap * 2
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(millimetres: f64) -> Grains {
        Grains::of(Metres(millimetres / 1000.0))
    }

    /// Round numbers, so that the volumes can be reckoned by hand.
    fn tile(columns: u32, rows: u32, ends: u8) -> TileShape {
        let profile = Profile {
            half_wall: mm(1.0),
            half_gap: mm(0.0),
            depth: mm(20.0),
            half_channel: mm(5.0),
            channel_height: mm(3.0),
            lead_in: mm(0.0),
            joint_room: mm(9.0),
            joint_height: mm(5.0),
            lip: mm(0.0),
            lip_thickness: mm(0.0),
        };
        TileShape { columns, rows, ends, half_column: mm(20.0), half_row: mm(15.0), profile }
    }

    #[track_caller]
    fn cubic_millimetres(tile: &TileShape, wanted: f64) {
        let found = tile.volume().cubic_metres().0 * 1e9;
        assert!((found - wanted).abs() < 1e-6, "{found}, not {wanted}");
    }

    /// 40 x 30 less 38 x 28 is 136 mm2, 20 high; the strip passes two walls of 1 mm by 10 x 3.
    #[test]
    fn one_cell() {
        assert_eq!((tile(1, 1, 0).width(), tile(1, 1, 0).length()), (mm(40.0), mm(30.0)));
        cubic_millimetres(&tile(1, 1, 0), 136.0 * 20.0 - 2.0 * 30.0);
    }

    /// 80 x 60 less four openings of 38 x 28: 544 mm2; two strips, each under 1 + 2 + 1 mm.
    #[test]
    fn four_cells() {
        cubic_millimetres(&tile(2, 2, 0), 544.0 * 20.0 - 2.0 * 4.0 * 30.0);
    }

    /// The room takes 5 mm off the outer wall, 80 x 1, and off 9 mm of walls along of 4 mm together;
    /// what the two channels took of the outer wall is gone already.
    #[test]
    fn ends() {
        let plain = 544.0 * 20.0 - 240.0;
        let room = 5.0 * (80.0 + 9.0 * 4.0) - 2.0 * 30.0;
        cubic_millimetres(&tile(2, 2, 1), plain - room);
        cubic_millimetres(&tile(2, 2, 2), plain - 2.0 * room);
        // A room lower than the channel: of 2 mm.
        let mut low = tile(2, 2, 1);
        low.profile.joint_height = mm(2.0);
        cubic_millimetres(&low, plain - (2.0 * 116.0 - 2.0 * 20.0));
    }

    /// A lead-in of 2 mm adds 4 mm2 to a channel; the room's lowest millimetre holds 1 mm2 less.
    #[test]
    fn lead_in() {
        let mut tile = tile(2, 2, 1);
        tile.profile.lead_in = mm(2.0);
        let plain = 544.0 * 20.0 - 2.0 * 4.0 * 34.0;
        cubic_millimetres(&tile, plain - (5.0 * 116.0 - 2.0 * 34.0));
        tile.profile.joint_height = mm(1.0);
        cubic_millimetres(&tile, plain - (1.0 * 116.0 - 2.0 * (10.0 + 3.0)));
    }

    /// A lip of 3 x 1 mm in a cell of 38 x 28: 1064 less 32 x 22 is 360 mm2.
    #[test]
    fn lip() {
        let mut tile = tile(1, 1, 0);
        (tile.profile.lip, tile.profile.lip_thickness) = (mm(3.0), mm(1.0));
        cubic_millimetres(&tile, 136.0 * 20.0 - 60.0 + 360.0);
    }

    /// A gap of 0.5 mm takes a quarter millimetre off each side and leaves walls as thick.
    #[test]
    fn fit_gap() {
        let mut tile = tile(1, 1, 0);
        tile.profile.half_gap = mm(0.25);
        assert_eq!((tile.width(), tile.length()), (mm(39.5), mm(29.5)));
        cubic_millimetres(&tile, (39.5 * 29.5 - 37.5 * 27.5) * 20.0 - 60.0);
    }
}
