//! Sources and colour: from a picture to the bytes that drive the wall's LEDs.
//!
//! Rule of this room: linear light to device bytes of a picture. No sockets, panels or wall file:
//! settings come as values. No clock and no chance: times are arguments. No files: bytes in.
//!
//! The way through it: a [`Source`] draws a [`LinearFrame`]; the [`FlashGuard`] passes it or holds it
//! back; [`Finish`] makes bytes of it. [`Pipeline`] is the one way to go, so that no bytes leave
//! without the guard.

mod animation;
mod average;
mod dark;
mod finish;
mod frame;
mod guard;
pub mod harbour;
pub mod made;
pub mod picture;
mod pipeline;
pub mod png;
mod preview;
mod raster;
mod sequence;
mod sizing;
mod source;
pub mod srgb;
mod still;

pub use average::Averager;
pub use finish::{Brightness, Channels, Finish};
pub use frame::LinearFrame;
pub use guard::FlashGuard;
pub use picture::Picture;
pub use pipeline::{DeviceFrame, Pipeline, Shown};
pub use preview::Preview;
pub use raster::{LONGEST_SIDE, Layout, Raster};
pub use sequence::{Opener, Scene, Sequence};
pub use sizing::Sizing;
pub use source::{Drawn, Source, SourceError};
