//! Sources and colour: from a picture to the bytes that drive the wall's LEDs.
//!
//! Rule of this room: linear light to device bytes of a picture. No sockets, panels or wall file:
//! settings come as values. No clock and no chance: times are arguments. No files: bytes in.
//!
//! The way through it: a [`Source`] draws a [`LinearFrame`]; a [`Look`] makes it as it is wanted; the
//! [`FlashGuard`] passes it or holds it back; [`Emitters`] and [`Areas`] undo what the strip and parts of
//! it do otherwise; [`Finish`] and [`dither`] make bytes of it. [`Pipeline`] is the one way to go, so
//! that no bytes leave without the guard.

mod animation;
mod areas;
mod average;
mod dark;
pub mod data;
pub mod dither;
mod emitters;
mod finish;
mod finisher;
mod frame;
mod guard;
pub mod harbour;
pub mod heard;
pub mod lettering;
mod look;
pub mod made;
mod matrix;
pub mod order;
pub mod picture;
mod pipeline;
pub mod png;
mod preview;
mod raster;
pub mod recording;
mod sharp;
mod sizing;
mod source;
pub mod srgb;
mod steps;
mod still;
mod stretch;

pub use areas::{Areas, Shares};
pub use average::Averager;
pub use emitters::Emitters;
pub use finish::{Brightness, Channels, Finish};
pub use frame::LinearFrame;
pub use guard::FlashGuard;
pub use look::Look;
pub use order::Opener;
pub use picture::Picture;
pub use pipeline::{DeviceFrame, Pipeline, Shown};
pub use preview::Preview;
pub use raster::{LONGEST_SIDE, Layout, Raster};
pub use sizing::{Filter, Laying, Sizing};
pub use source::{Drawn, Source, SourceError};
pub use steps::Steps;
