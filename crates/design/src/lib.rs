//! The wall file: from text with places to a checked [`Wall`].
//!
//! Rule of this room: nobody else reads wall files. [`read`] takes the bytes of a file and gives a
//! [`Wall`] that cannot be illegal, or every [`Diagnostic`] at once. Two stages: [`text`] holds what
//! the file says, each value with its place; [`check`] judges it and fills in what is not said.
//! Also here: the [`catalogue`] of parts, and [`draft`], which writes a new commented file.

pub mod catalogue;
pub mod check;
pub mod diagnostic;
pub mod draft;
pub mod edit;
pub mod text;
pub mod wall;

pub use check::read;
pub use diagnostic::{Diagnostic, Place};
pub use wall::Wall;

/// The largest wall file that is read, bytes. A thousand panels with feeds of their own take less
/// than half of it.
pub const MOST_BYTES: usize = 4 << 20;
