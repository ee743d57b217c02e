//! The build book: sheets and lists of a wall, as bytes.
//!
//! Rule of this room: from a plan to names and bytes. It computes no figure of the plan and writes no
//! file: everything goes into a writer that the caller lends.
//!
//! All of a wall's book: [`documents`]; some of its sheets: [`chosen()`]. Documents: `sheets`, drawn once
//! with `draw`, carried as PDF, SVG and page; [`map`], the pixel map as a list and as a sheet;
//! [`parts`], what is printed, as solids and build plates; [`lists`], what to buy and to cut. The map's
//! sheet is older than the drawing model: `svg` writes its shapes, `sheet` frames them, on `paper` of a
//! size, at a `scale`, with `lettering`.

pub mod anchor;
mod chosen;
pub mod code;
pub mod document;
pub mod drawn;
pub mod labels;
pub mod lists;
pub mod manifest;
pub mod map;
pub mod parts;
pub mod receiver;
pub mod steps;

mod draw;
mod field;
mod lettering;
mod paper;
mod scale;
mod sheet;
mod sheets;
mod svg;

pub use chosen::{Choice, NoSuchSheet, chosen};
pub use document::{Book, Document, documents};
