//! The page of a wall: its sheets, alive in a browser.
//!
//! Rule of this room: handlers over pure functions, and plain ES modules. It reads no file and has no
//! chance: [`home`] is what it asks of whoever opens it; of clocks it knows only the one that runs on,
//! for limits in time.
//!
//! From outside in: [`server`] takes connections within [`limits`]; [`access`] judges each request;
//! `routes` has a thin handler for each; [`desk`] is the wall as it is now, [`edit`] changes its text at
//! [`figures`]; `pages` draw it, `scene` draws the wall itself, `values` colours it,
//! `remedies` are what findings offer.

pub mod access;
pub mod desk;
pub mod edit;
pub mod figures;
pub mod home;
pub mod limits;
pub mod server;

mod assets;
mod live;
mod pages;
mod remedies;
mod routes;
mod scene;
mod values;

#[cfg(test)]
mod memory;
#[cfg(test)]
mod tests;

pub use home::{Home, PanelState, Saved, Show, State, Trouble};
pub use server::Server;
