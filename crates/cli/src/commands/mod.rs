//! One file a command.

pub mod book;
pub mod check;
pub mod commission;
pub mod completions;
pub mod demo;
pub mod done;
pub mod map;
pub mod new;
pub mod panels;
pub mod plan;
pub mod receiver;
pub mod serve;
pub mod show;
pub mod status;
