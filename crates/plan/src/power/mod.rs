//! Power: the solved network of every panel, and what follows from it.
//!
//! The copper of a panel is a [`network`], its LEDs are [`sinks`], a [`solve`]d network is a
//! [`solution`]. From it come the plan's [`figures`], how bright the wall may be ([`ceiling`]) under
//! its [`limits`], and what it takes from the [`mains`]; [`wall`] does all of it for every panel.

pub mod ceiling;
pub mod figures;
pub mod limits;
pub mod mains;
pub mod network;
pub mod rows;
pub mod sinks;
pub mod solution;
pub mod solve;
pub mod taps;
pub mod wall;

mod ladder;

pub use ceiling::{Ceiling, PanelCeiling};
pub use figures::{FeedPower, PanelPower};
pub use limits::{Binding, Limits};
pub use network::Network;
pub use rows::{Guarded, Row, rows};
pub use sinks::{Law, Sinks};
pub use solution::{FeedFlow, Heat, Rail, Solution, Worst};
pub use solve::{Solver, Unsolved};
pub use taps::Tap;
pub use wall::{Networks, Showing, UnsolvedPanel, WallPower, wall_power, wall_power_showing};
