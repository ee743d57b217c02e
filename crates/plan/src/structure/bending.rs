//! How far a board sags when it is carried.

use glowloom_units::{Kilograms, Metres, Pascals};
use serde::Serialize;

/// Standard gravity, m/s2.
const GRAVITY: f64 = 9.80665;

/// The sag of a panel carried flat by its two short edges: the worst that it has to bear.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bending {
    /// In the middle.
    pub sag_m: Metres,
    /// Between the edges that it is carried by.
    pub span_m: Metres,
    /// Young's modulus of the board.
    pub stiffness_pa: Pascals,
}

/// A beam on two supports under an even load: 5 w L^4 / (384 E I) with I = b t^3 / 12, for a panel of
/// that size whose mass is spread evenly (textbook formula, from memory). Only the board is taken as
/// stiff.
#[must_use]
pub fn bending(
    mass: Kilograms,
    (width, height): (Metres, Metres),
    thickness: Metres,
    stiffness_pa: Pascals,
) -> Bending {
    let (span_m, across) = (width.max(height), width.min(height));
    let load = mass.0 * GRAVITY / span_m.0;
    let moment = across.0 * thickness.0.powi(3) / 12.0;
    let sag = 5.0 * load * span_m.0.powi(4) / (384.0 * stiffness_pa.0 * moment);
    Bending { sag_m: Metres(sag), span_m, stiffness_pa }
}
