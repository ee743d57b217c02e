//! The receiver's core, as it runs on a board, compiled for this computer: packets of one panel in, the light
//! that the board would put out.
//!
//! Rule of this room: it hands bytes and the time to the core and decides nothing. It alone calls code of
//! another language, through the eleven functions of `interface.cpp`, and it alone may say `unsafe`: in `raw`,
//! with the reason at each call. The core keeps no pointer to anything but the memory that [`Core`] owns, takes no
//! memory itself and reads no clock.

mod core;
mod raw;

pub use self::core::{Core, CoreCounts, CoreEvent, CoreOnLoss, CoreState};
