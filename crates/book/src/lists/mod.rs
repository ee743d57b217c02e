//! Lists to buy and to cut by, as comma-separated values: [`bill`] of everything, [`cuts`] of every roll,
//! [`wires`] with their ends, [`boards`] on their sheets, [`labels`], measuring [`points`].
//!
//! Each begins with a line of names; lines end with LF; texts are quoted by the rule of RFC 4180
//! where they need it. What is not known is an empty value.

mod bill;
mod boards;
mod cuts;
mod labels;
mod points;
mod wires;

pub use bill::bill;
pub use boards::boards;
pub use cuts::cuts;
pub use labels::labels;
pub use points::points;
pub use wires::wires;

/// A number as it is, or nothing where nobody knows it.
fn known(number: Option<f64>) -> String {
    number.map_or_else(String::new, |number| number.to_string())
}

/// A length in millimetres with one decimal.
fn millimetres(length: glowloom_units::Metres) -> String {
    format!("{:.1}", length.0 * 1000.0)
}
