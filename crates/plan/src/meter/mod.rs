//! With a meter in hand: where it goes on the panels and what it should show ([`sheet`]), a roll on the
//! bench before anything is built ([`BenchTest`]), and what the readings in the wall file say of its
//! strip ([`fn@measured`]).

mod advice;
mod bench;
mod points;
mod readings;
mod spot;
mod taken;
mod words;

pub use bench::BenchTest;
pub use points::{At, Kind, Point, Sheet, Strip, sheet};
pub use readings::{
    Fitted, KeyFigures, Measured, NotMeasured, Odd, Reading, Shown, Without, measured,
};
pub use spot::Spot;
pub(crate) use spot::near_edge;
