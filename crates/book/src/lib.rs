//! The build book: sheets and lists of a wall, as bytes.
//!
//! Rule of this room: from a plan to names and bytes. It computes no figure of the plan and writes no
//! file: everything goes into a writer that the caller lends.
//!
//! All of a wall's book: [`documents`]. Documents: [`map`], the pixel map as a list and as a sheet;
//! [`parts`], what is printed, as solids and build plates; [`lists`], what to buy and to cut. Drawing:
//! `svg` writes shapes, `sheet` frames them, on `paper` of a size, at a `scale`, with `lettering`.

pub mod anchor;
pub mod code;
pub mod document;
pub mod labels;
pub mod lists;
pub mod manifest;
pub mod map;
pub mod parts;
pub mod steps;

mod field;
mod lettering;
mod paper;
mod scale;
mod sheet;
mod svg;

pub use document::{Book, Document, documents};
