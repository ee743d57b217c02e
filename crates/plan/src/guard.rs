//! The limits of a wall's copper as rows of weights, for live output to hold each frame to.

use glowloom_design::Wall;
use glowloom_wire::guard::Guard;

use crate::power::rows::circuit;
use crate::power::{Limits, Network, Networks, rows};

/// More weights than this are not worked out: live output then keeps to the ceiling.
const MOST_WEIGHTS: usize = 100_000_000;

/// The rows of every panel. `None` for walls so large that live output could not hold frames to them in
/// time.
#[must_use]
pub fn guard(wall: &Wall) -> Option<Guard> {
    let networks = Networks::of(wall);
    let limits = Limits::of(wall);
    let weights: usize = networks.all().iter().map(most_weights).sum();
    if weights > MOST_WEIGHTS {
        return None;
    }
    let kind = |network: &Network| rows(network, &limits).into_iter().map(|row| row.held).collect();
    let kinds = networks.all().iter().map(kind).collect();
    let of_panel = (0..wall.panels.len()).map(|panel| networks.kind(panel)).collect();
    Guard::new(kinds, of_panel, circuit(wall, &networks))
}

/// At most so many weights a panel's rows have: two ends and a few pixels of each strip, its feeds.
fn most_weights(network: &Network) -> usize {
    let rows = 8 * network.strips() + 2 * network.taps().len() + 1100;
    rows.saturating_mul(network.pixels())
}
