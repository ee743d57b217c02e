//! Quantities as a person writes them: a number, a space if wanted, a unit.

use crate::{
    Amps, Candelas, Gauge, Hertz, Kilograms, Metres, Pascals, Seconds, Volts, VolumeFlow, Watts,
};

/// Why a text is not the quantity that was wanted.
#[derive(Clone, Debug, PartialEq)]
pub enum TextError {
    /// No number at the start.
    NotANumber,
    /// A number and nothing after it.
    MissingUnit,
    /// A unit, but not one of this quantity; holds what was written.
    WrongUnit(String),
    /// A number that no computer can hold, such as 1e999.
    OutOfRange,
}

/// A quantity that has a written form.
pub trait FromText: Sized {
    /// What is wanted, for a message: "a length, such as "1.2 m" or "4 ft"".
    const WANTED: &'static str;
    /// The units that are understood, in the order to offer them.
    const UNITS: &'static [&'static str];

    /// Reads a number and its unit. Space around and between is free; the number may be
    /// negative or zero: whoever asks decides what is allowed.
    ///
    /// # Errors
    /// [`TextError`] says which half is wrong.
    fn from_text(text: &str) -> Result<Self, TextError>;
}

/// Splits `"1.2 m"` into its number and its unit.
fn number_and_unit(text: &str) -> Result<(f64, &str), TextError> {
    let text = text.trim();
    let bytes = text.as_bytes();
    let digit = |i: usize| bytes.get(i).is_some_and(u8::is_ascii_digit);
    let mut end = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let from = end;
    while digit(end) || (bytes.get(end) == Some(&b'.') && !text[from..end].contains('.')) {
        end += 1;
    }
    if !text[from..end].bytes().any(|b| b.is_ascii_digit()) {
        return Err(TextError::NotANumber);
    }
    // An exponent only where digits follow, so that a unit may start with "e".
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        if digit(end + 1 + sign) {
            end += 1 + sign;
            while digit(end) {
                end += 1;
            }
        }
    }
    let number: f64 = text[..end].parse().map_err(|_| TextError::NotANumber)?;
    if !number.is_finite() {
        return Err(TextError::OutOfRange);
    }
    match text[end..].trim() {
        "" => Err(TextError::MissingUnit),
        unit => Ok((number, unit)),
    }
}

/// Declares the written form of a quantity: units with how many of the quantity's own unit each is.
macro_rules! written {
    ($($name:ident, $wanted:literal, [$($unit:literal = $factor:expr),* $(,)?];)*) => { $(
        impl FromText for $name {
            const WANTED: &'static str = $wanted;
            const UNITS: &'static [&'static str] = &[$($unit),*];
            fn from_text(text: &str) -> Result<Self, TextError> {
                let (number, unit) = number_and_unit(text)?;
                let factor: f64 = match unit {
                    $($unit => $factor,)*
                    other => return Err(TextError::WrongUnit(other.to_owned())),
                };
                let value = number * factor;
                if value.is_finite() { Ok($name(value)) } else { Err(TextError::OutOfRange) }
            }
        }
    )* };
}

// Inch, foot and pound are exact: the international yard and pound of 1959.
written! {
    Metres, "a length, such as \"1.2 m\", \"40 mm\" or \"4 ft\"",
        ["m" = 1.0, "cm" = 0.01, "mm" = 0.001, "in" = 0.0254, "ft" = 0.3048];
    Kilograms, "a mass, such as \"1.8 kg\", \"250 g\" or \"4 lb\"",
        ["kg" = 1.0, "g" = 0.001, "lb" = 0.453_592_37];
    Seconds, "a time, such as \"5 s\" or \"300 ms\"",
        ["s" = 1.0, "ms" = 0.001, "us" = 1e-6, "min" = 60.0, "h" = 3600.0];
    Volts, "a voltage, such as \"5 V\"", ["V" = 1.0, "mV" = 0.001];
    Amps, "a current, such as \"0.3 A\" or \"300 mA\"", ["A" = 1.0, "mA" = 0.001];
    Watts, "a power, such as \"300 W\"", ["W" = 1.0, "kW" = 1000.0];
    Hertz, "a rate, such as \"50 Hz\"", ["Hz" = 1.0, "kHz" = 1000.0];
    VolumeFlow, "a flow, such as \"6 mm3/s\"", ["mm3/s" = 1.0];
    Pascals, "a stiffness, such as \"9 GPa\"", ["GPa" = 1e9, "MPa" = 1e6, "Pa" = 1.0];
    Candelas, "a luminous intensity, such as \"1.3 cd\"", ["cd" = 1.0, "mcd" = 0.001];
}

impl FromText for Gauge {
    const WANTED: &'static str = "a wire size, such as \"16 AWG\" or \"1.5 mm2\"";
    const UNITS: &'static [&'static str] = &["AWG", "mm2"];

    fn from_text(text: &str) -> Result<Self, TextError> {
        let (number, unit) = number_and_unit(text)?;
        match unit {
            "AWG" => {
                if number.fract() != 0.0 || !(0.0..=40.0).contains(&number) {
                    return Err(TextError::OutOfRange);
                }
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "0 to 40"
                )]
                Ok(Self::Awg(number as u8))
            }
            "mm2" => Ok(Self::SquareMillimetres(number)),
            other => Err(TextError::WrongUnit(other.to_owned())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_in_every_unit() {
        for (text, metres) in [
            ("1.2 m", 1.2),
            ("1.2m", 1.2),
            (" 40 mm ", 0.04),
            ("3 cm", 0.03),
            ("48 in", 1.2192),
            ("4 ft", 1.2192),
            ("-5 mm", -0.005),
            (".5 m", 0.5),
            ("1e-3 m", 0.001),
        ] {
            let Metres(got) = Metres::from_text(text).unwrap();
            assert!((got - metres).abs() < 1e-12, "{text}: {got}");
        }
    }

    #[test]
    fn says_which_half_is_wrong() {
        assert_eq!(Metres::from_text("wide"), Err(TextError::NotANumber));
        assert_eq!(Metres::from_text(""), Err(TextError::NotANumber));
        assert_eq!(Metres::from_text("1.2"), Err(TextError::MissingUnit));
        assert_eq!(Metres::from_text("1.2 kg"), Err(TextError::WrongUnit("kg".into())));
        assert_eq!(Metres::from_text("1e999 m"), Err(TextError::OutOfRange));
        assert_eq!(Metres::from_text("1.2.3 m"), Err(TextError::WrongUnit(".3 m".into())));
        assert_eq!(Gauge::from_text("16.5 AWG"), Err(TextError::OutOfRange));
        assert_eq!(Gauge::from_text("16 AWG"), Ok(Gauge::Awg(16)));
        assert_eq!(Gauge::from_text("1.5 mm2"), Ok(Gauge::SquareMillimetres(1.5)));
    }

    proptest::proptest! {
        #[test]
        fn any_text_gives_an_answer(text in ".*") {
            let _ = Metres::from_text(&text);
            let _ = Gauge::from_text(&text);
        }

        #[test]
        fn what_is_written_is_read(number in -1e6f64..1e6) {
            let Metres(got) = Metres::from_text(&format!("{number} mm")).unwrap();
            proptest::prop_assert!((got - number / 1000.0).abs() <= 1e-9 * number.abs().max(1.0));
        }
    }
}
