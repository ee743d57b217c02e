//! The build book: sheets and lists of a wall, as bytes.
//!
//! Rule of this room: from a plan to names and bytes. It computes no figure of the plan and writes no
//! file: everything goes into a writer that the caller lends.
//!
//! Documents: [`map`], the pixel map as a list and as a sheet; [`lists`], what to buy and to cut. Drawing: `svg` writes shapes, `sheet`
//! frames them, on `paper` of a size, at a `scale`, with `lettering`.

pub mod lists;
pub mod map;

mod field;
mod lettering;
mod paper;
mod scale;
mod sheet;
mod svg;
