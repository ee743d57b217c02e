//! The screens: values in, markup out; their tests need no server.

pub mod begin;
pub mod broken;
pub mod build;
mod day;
pub mod enter;
pub mod file;
mod frame;
pub mod glance;
mod notes;
pub mod pixel;
pub mod run;
pub mod sheets;
pub mod wall;
