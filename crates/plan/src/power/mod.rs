//! Power: the solved network of every panel, and what follows from it.
//!
//! The copper of a panel is a [`network`] fed by [`taps`], its LEDs are [`sinks`], a [`solve`]d network
//! is a [`solution`]. From it come the plan's [`figures`], how bright the wall may be ([`mod@ceiling`])
//! under its [`limits`], and what it takes from the [`mains`]; [`wall`] does all of it for every
//! panel. For live output the limits are [`mod@rows`] of weights. For the maker: a [`search`] for
//! feeds, what a meter should show ([`measure`]) and what its readings say of the strip ([`fit`]).

pub mod bench;
pub mod ceiling;
pub mod colour;
pub mod figures;
pub mod fit;
pub mod limits;
pub mod mains;
pub mod measure;
pub mod network;
pub mod odd;
pub mod rows;
pub mod search;
pub mod sinks;
pub mod solution;
pub mod solve;
pub mod summary;
pub mod taps;
pub mod voltmap;
pub mod wall;

mod ladder;

pub use ceiling::{Ceiling, PanelCeiling};
pub use figures::{FeedPower, PanelPower};
pub use limits::{Binding, Limits};
pub use mains::{Energy, Mains};
pub use network::Network;
pub use rows::{Guarded, Row, gain, rows};
pub use sinks::{Law, Sinks};
pub use solution::{FeedFlow, Heat, Rail, Solution, Worst};
pub use solve::{Solver, Unsolved};
pub use summary::{Power, Shown};
pub use taps::Tap;
pub use wall::{
    Networks, Showing, Study, UnsolvedPanel, WallPower, wall_power, wall_power_showing,
};
