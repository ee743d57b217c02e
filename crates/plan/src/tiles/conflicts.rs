//! Settings of the baffle that cannot all be kept.

use std::collections::BTreeMap;

use glowloom_design::Wall;
use glowloom_design::wall::Baffle;
use glowloom_units::Metres;

use super::grains::Grains;
use super::kinds::grid;
use super::partition::Grid;
use super::rim;
use super::shape::Profile;

/// What contradicts what. Where there is one, no tile can be drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Conflict {
    /// One cell is larger than the bed.
    Bed {
        /// Outer size of a tile of one cell: across and along the strips.
        cell: (Metres, Metres),
    },
    /// A rim strip does not lie on the bed: the tiles' depth is larger than both its sides.
    RimOffBed,
    /// The channel with its lead-in is wider than the cells.
    Channel {
        /// Below which `channel[0]` plus twice `lead_in` has to be.
        widest: Metres,
    },
    /// The lead-in is higher than the channel.
    LeadIn,
    /// The joint room reaches beyond the middle of the cell.
    JointRoom {
        /// The most that it may be.
        longest: Metres,
    },
    /// The channel or the joint room, with the lip, is as high as the tile is deep.
    Depth {
        /// Above which `depth` has to be.
        least: Metres,
        /// Whether it is the joint room that reaches so far.
        by_joint_room: bool,
    },
    /// The lip reaches over the strip.
    Lip {
        /// Below which its width has to be.
        widest: Metres,
    },
}

/// Every conflict of a wall, each with the panels that have it, by their place in the file.
#[must_use]
pub fn conflicts(wall: &Wall, baffle: &Baffle) -> Vec<(Conflict, Vec<usize>)> {
    // Panels with cells of one size have the same conflicts.
    let mut by_cell: BTreeMap<(Grains, Grains), Vec<usize>> = BTreeMap::new();
    for panel in &wall.panels {
        let Grid { half_column, half_row, .. } = grid(wall, baffle, panel);
        by_cell.entry((half_column, half_row)).or_default().push(panel.number);
    }
    let mut found: Vec<(Conflict, Vec<usize>)> = Vec::new();
    for ((half_column, half_row), panels) in by_cell {
        for conflict in of_cell(baffle, half_column, half_row) {
            match found.iter_mut().find(|known| known.0 == conflict) {
                Some(known) => known.1.extend(&panels),
                None => found.push((conflict, panels.clone())),
            }
        }
    }
    for (_, panels) in &mut found {
        panels.sort_unstable();
    }
    found
}

fn of_cell(baffle: &Baffle, half_column: Grains, half_row: Grains) -> Vec<Conflict> {
    let p = Profile::of(baffle);
    let mut found = Vec::new();
    let bed = (Grains::of(baffle.bed.0), Grains::of(baffle.bed.1));
    let cell = (half_column * 2 - p.half_gap * 2, half_row * 2 - p.half_gap * 2);
    let lies = |(width, depth): (Grains, Grains)| cell.0 <= width && cell.1 <= depth;
    if !lies(bed) && !lies((bed.1, bed.0)) {
        found.push(Conflict::Bed { cell: (cell.0.metres(), cell.1.metres()) });
    }
    if baffle.rim.is_some() && rim::longest(baffle) == Grains(0) {
        found.push(Conflict::RimOffBed);
    }
    // From the middle of a cell to the inner face of an outer wall: the nearer of the walls.
    let half_opening = (half_column - p.edge(), half_row - p.edge());
    if p.half_channel + p.lead_in >= half_opening.0 {
        found.push(Conflict::Channel { widest: (half_opening.0 * 2).metres() });
    }
    if p.lead_in > p.channel_height {
        found.push(Conflict::LeadIn);
    }
    if p.joint_room > half_opening.1 {
        found.push(Conflict::JointRoom { longest: half_opening.1.metres() });
    }
    let notch = p.channel_height.max(p.joint_height);
    if notch + p.lip_thickness >= p.depth {
        let least = (notch + p.lip_thickness).metres();
        found.push(Conflict::Depth { least, by_joint_room: p.joint_height > p.channel_height });
    }
    let over_strip = half_opening.0 - p.half_channel - p.lead_in;
    let widest = over_strip.min(half_opening.1);
    // A channel that is too wide itself leaves nothing to advise for the lip.
    if p.lip > Grains(0) && p.lip >= widest && over_strip > Grains(0) {
        found.push(Conflict::Lip { widest: widest.metres() });
    }
    found
}
