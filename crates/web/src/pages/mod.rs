//! The screens: values in, markup out; their tests need no server.

pub mod broken;
pub mod build;
pub mod enter;
pub mod file;
mod frame;
pub mod glance;
mod notes;
pub mod pixel;
pub mod run;
pub mod sheets;
pub mod wall;
