//! The pixel map: for every pixel of the picture, what shows it and where it is as built.
//!
//! Three forms of the same: [`csv()`] and [`json()`] list every pixel, [`svg()`] draws them.

pub(crate) mod csv;
mod detail;
mod json;
mod panel;
mod schedule;
mod svg;

pub use csv::csv;
pub use json::json;
pub use svg::svg;

/// A place as it is printed: millimetres with two decimals, and never minus nothing.
fn millimetres(place: glowloom_units::Metres) -> String {
    let text = format!("{:.2}", place.0 * 1000.0);
    if text == "-0.00" { "0.00".into() } else { text }
}

#[cfg(test)]
mod tests {
    use super::millimetres;
    use glowloom_units::Metres;

    #[test]
    fn places_have_two_decimals() {
        let of = |metres| millimetres(Metres(metres));
        assert_eq!(of(1.0 / 60.0), "16.67");
        assert_eq!(of(-0.005), "-5.00");
        assert_eq!(of(-1e-9), "0.00");
    }
}
