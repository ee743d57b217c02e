//! Every figure that follows from a wall.
//!
//! Rule of this room: pure. A [`glowloom_design::Wall`] goes in; figures with findings, the pixel
//! map and the [`Patch`](glowloom_wire::Patch) come out. No files, no clock, no chance, no order of
//! hashes: the same wall gives the same bytes.
//!
//! Where pixels are: [`path`] along the data lines, [`built`] in metres, [`uncovered`] where there
//! are none, [`numbering`] in universes, [`mod@map`] all of it for every pixel, [`mod@patch`] for live
//! output, [`assignment`] for boards. Figures: [`mod@geometry`], [`mod@data`] with [`signal`], [`link`], [`packets`] and [`airtime`],
//! [`totals`]; and the solved network of the copper in [`power`], with the [`mod@guard`]'s rows for live output.
//! What the wall is made of: [`mod@material`], [`mod@structure`], [`mod@optics`], [`mod@cost`].
//! With a meter in hand: [`meter`].
//! What is cut and printed: [`mod@cuts`], [`mod@tiles`]. What is done with it, and what is done already:
//! [`mod@steps`], [`journal`].
//! First light: [`checks`], [`assignment`].
//! Judgement: [`finding`], [`mod@findings`]. All together: [`document`].

pub mod airtime;
pub mod assignment;
pub mod built;
pub mod checks;
pub mod cost;
pub mod cuts;
pub mod data;
pub mod document;
pub mod evening;
pub mod finding;
pub mod findings;
pub mod geometry;
pub mod guard;
pub mod journal;
pub mod link;
pub mod map;
pub mod material;
pub mod meter;
pub mod numbering;
pub mod optics;
pub mod packets;
pub mod patch;
pub mod path;
pub mod power;
pub mod signal;
pub mod sound;
pub mod steps;
pub mod structure;
pub mod tiles;
pub mod totals;
pub mod uncovered;

pub use document::{Plan, plan};
pub use evening::{Evening, evening};
pub use finding::{CODES, Code, Finding, Kind};
pub use guard::guard;
pub use map::map;
pub use patch::{patch, patch_under};
