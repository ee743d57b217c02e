//! Packets as bytes, and the patch from picture pixels to light pixels.
//!
//! Rule of this room: bytes and [`Patch`]. No sockets, no clock, no walls, no volts. A codec is a
//! view over bytes that judges nothing, and a plain twin that can be parsed from it and emitted
//! into a lent buffer; nothing here allocates per packet.
//!
//! | module | noun |
//! | --- | --- |
//! | [`e131`], [`artnet`], [`ddp`] | packets of a protocol |
//! | [`slip`] | packets on a serial line |
//! | [`colour_bits`] | a pixel in two bytes |
//! | [`patch`] | where each pixel of the picture goes |
//! | [`balance`] | how much of its light a panel keeps |
//! | [`evened`] | how much of its light a pixel keeps |
//! | [`carrier`] | what carries a frame |
//! | [`layout`] | how a panel's pixels are laid into packets |
//! | [`orders`] | what boards are told |
//! | [`traffic`] | packets and bytes, counted |
//! | [`status`] | what a receiver says of itself |
//! | [`sequence`] | packet numbers without 0 |

pub mod artnet;
pub mod balance;
pub mod carrier;
pub mod colour_bits;
pub mod ddp;
pub mod e131;
pub mod evened;
pub mod guard;
mod json;
pub mod layout;
pub mod orders;
pub mod patch;
pub mod sequence;
pub mod slip;
pub mod status;
pub mod traffic;

pub use balance::Balance;
pub use carrier::Carrier;
pub use colour_bits::ColourBits;
pub use evened::Evened;
pub use layout::Layout;
pub use patch::{Patch, PatchError};
pub use traffic::Traffic;
