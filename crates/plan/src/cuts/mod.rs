//! Cutting strips out of rolls.
//!
//! [`cut`] answers an [`Order`] of pieces with a [`Solution`]; [`figures`] makes orders of a wall and
//! a cut list of the answer. Aims, each without loss to those before: fewest new rolls, part rolls on
//! the shelf used first; fewest joints; fewest part rolls begun, and short ones rather than long
//! ones; the longest single left-over. Cuts take no length away.
//!
//! Whole pieces (`whole`, `plain`, `shelf`, `left_over`) are a cutting stock problem: bounds
//! (`bound`, `relax` by `knapsack`) against packings (`pack`, `search`). Pieces joined from
//! parts (`splice`) need as many rolls as their pixels do, and fewest joints are most `groups` of
//! rolls (`cycle`). Nothing is called proven that does not hold in whole numbers. Short part rolls
//! are preferred as far as single exchanges go; of joined pieces with part rolls on the shelf the
//! longest left-over is not searched for.
//!
//! Panels that share no roll still share one shelf (`sharing`).
//!
//! Effort is counted in `steps`, never in time.

mod bound;
mod cycle;
pub mod figures;
mod groups;
mod knapsack;
mod left_over;
pub mod list;
pub mod order;
mod pack;
mod plain;
mod problem;
mod relax;
mod search;
mod sharing;
mod shelf;
mod simplex;
pub mod solution;
mod splice;
pub mod steps;
pub mod strips;
mod whole;

pub use figures::{Cuts, Instead, cuts};
pub use list::Roll;
pub use order::{Order, Pieces};
pub use solution::{Cut, Joined, Part, Solution};
pub use steps::Steps;
pub use strips::{Label, Place};

/// Cuts an order: the same answer each time, and as good as the steps allow.
#[must_use]
pub fn cut(order: &Order, steps: &mut Steps) -> Solution {
    if order.splices() { splice::spliced(order, steps) } else { whole::whole(order, steps) }
}
