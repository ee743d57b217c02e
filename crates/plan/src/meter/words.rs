//! Figures as sentences and files have them.

use glowloom_units::{Amps, Volts};

/// So many significant digits, as a wall file takes a number.
pub(super) fn digits(value: f64, digits: i32) -> String {
    let size = value.abs().log10().floor();
    // No figure of a strip is as small as the last of twelve places.
    let behind =
        if size.is_finite() { (f64::from(digits) - 1.0 - size).clamp(0.0, 12.0) } else { 0.0 };
    format!("{value:.*}", behind as usize)
}

/// A share of 0 to 1 in per cent: `60 %`, `32.4 %`.
pub(super) fn percent(share: f64) -> String {
    let text = format!("{:.1}", share * 100.0);
    format!("{} %", text.strip_suffix(".0").unwrap_or(&text))
}

/// A safe share in per cent, never above what it is: `31.9 %`.
pub(super) fn percent_at_most(share: f64) -> String {
    percent((share * 1000.0 + 1e-6).floor() / 1000.0)
}

/// Hundredths of a volt, as a meter shows them.
pub(super) fn volts(volts: Volts) -> String {
    format!("{:.2} V", volts.0)
}

/// A current of a few milliamperes.
pub(super) fn milliamps(amps: Amps) -> String {
    format!("{} mA", digits(amps.0 * 1000.0, 3))
}

/// `1st`, `2nd`, `3rd`, `4th`, `11th`, `21st`.
pub(super) fn ordinal(number: u32) -> String {
    let ending = match (number % 10, number % 100) {
        (1, n) if n != 11 => "st",
        (2, n) if n != 12 => "nd",
        (3, n) if n != 13 => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_read_well() {
        assert_eq!(digits(0.123_45, 3), "0.123");
        assert_eq!(digits(0.099_96, 3), "0.1000");
        assert_eq!(digits(0.018_2, 3), "0.0182");
        assert_eq!(digits(1234.5, 3), "1234");
        assert_eq!(digits(0.0, 3), "0");
        assert_eq!(percent(0.6), "60 %");
        assert_eq!(percent(0.324), "32.4 %");
        assert_eq!(percent(0.31969), "32 %");
        assert_eq!(percent_at_most(0.31969), "31.9 %");
        assert_eq!(percent_at_most(0.32), "32 %");
        assert_eq!(milliamps(Amps(0.0182)), "18.2 mA");
        let ordinals = [1, 2, 3, 4, 11, 12, 13, 21, 111, 122].map(ordinal);
        let wanted = ["1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "111th", "122nd"];
        assert_eq!(ordinals, wanted);
    }
}
