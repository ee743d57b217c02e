//! The judgements: what in a wall is dangerous, will not work, or could be better.
//!
//! One finding for each cause, not one for each panel that it touches: the panels are named in it.

mod board;
mod coverage;
mod feeds;
mod mains;
mod rate;
mod supply;
mod words;

use glowloom_design::wall::Panel;
use glowloom_design::{Place, Wall};

use crate::data::Data;
use crate::finding::{Finding, sort};
use crate::totals::Power;
use crate::uncovered::Gap;

pub use supply::may_be_touched;

/// Everything that is to be said of a wall, in the order to read it.
#[must_use]
pub fn findings(wall: &Wall, gaps: &[Gap], data: &Data, power: &Power) -> Vec<Finding> {
    let mut all = Vec::new();
    all.extend(coverage::uncovered(wall, gaps));
    all.extend(coverage::overlaps(wall));
    all.extend(rate::not_reached(wall, data));
    all.extend(supply::load(wall));
    all.extend(supply::volts(wall));
    all.extend(supply::touch(wall));
    all.extend(feeds::dead(wall));
    all.extend(mains::circuit(wall, power));
    all.extend(board::pins(wall));
    all.extend(board::link(wall));
    all.extend(board::level(wall));
    all.extend(board::lead(wall));
    sort(&mut all);
    all
}

/// Where a key that panels may share stands for this one.
fn panel_place(wall: &Wall, panel: &Panel, key: &str) -> Place {
    let paths = panel.paths(key);
    wall.place(&paths.each_ref().map(String::as_str))
}

/// Where a key stands, or its section, or the top of the file.
fn key_place(wall: &Wall, section: &str, key: &str) -> Place {
    wall.place(&[&format!("{section}.{key}"), section])
}
