//! What a meter should show at a step, and what to do when it does not.

use std::fmt;

use glowloom_units::{Amps, Ohms, Volts, Watts};
use serde::Serialize;

use crate::meter::At;

/// What is expected, and how far from it is still well; what nobody can say is absent.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Band<T> {
    /// By the wall file.
    pub expected: Option<T>,
    /// From here on.
    pub least: Option<T>,
    /// Up to here.
    pub most: Option<T>,
}

impl<T: Copy> Band<T> {
    /// At least so much.
    #[must_use]
    pub fn above(least: T) -> Self {
        Self { expected: None, least: Some(least), most: None }
    }

    /// At most so much.
    #[must_use]
    pub fn below(most: T) -> Self {
        Self { expected: None, least: None, most: Some(most) }
    }

    /// Between two, around a third.
    #[must_use]
    pub fn around(expected: T, least: T, most: T) -> Self {
        Self { expected: Some(expected), least: Some(least), most: Some(most) }
    }
}

impl<T: Copy> From<&At<T>> for Band<T> {
    fn from(at: &At<T>) -> Self {
        Self::around(at.expected, at.least, at.most)
    }
}

/// What a meter shows.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "unit")]
pub enum Reading {
    /// Between plus and minus.
    #[serde(rename = "V")]
    Volts(Band<Volts>),
    /// In one conductor.
    #[serde(rename = "A")]
    Amps(Band<Amps>),
    /// With no power.
    #[serde(rename = "ohm")]
    Ohms(Band<Ohms>),
    /// At the plug.
    #[serde(rename = "W")]
    Watts(Band<Watts>),
}

impl fmt::Display for Reading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Volts(band) => band_words(band, |volts| format!("{:.2} V", volts.0), f),
            Self::Amps(band) => band_words(band, Amps::to_string, f),
            Self::Ohms(band) => band_words(band, |ohms| format!("{} ohm", ohms.0), f),
            Self::Watts(band) => band_words(band, |watts| format!("{:.0} W", watts.0), f),
        }
    }
}

/// `4.91 V (4.90 to 4.96 V)`, `above 10 ohm`.
fn band_words<T>(
    band: &Band<T>,
    show: impl Fn(&T) -> String,
    f: &mut fmt::Formatter<'_>,
) -> fmt::Result {
    let Band { expected, least, most } = band;
    if let Some(expected) = expected {
        f.write_str(&show(expected))?;
    }
    let within = match (least, most) {
        (Some(least), Some(most)) => {
            let (least, most) = (show(least), show(most));
            // The unit is said once where both have the same.
            match (least.split_once(' '), most.split_once(' ')) {
                (Some((number, one)), Some((_, other))) if one == other => {
                    format!("{number} to {most}")
                }
                _ => format!("{least} to {most}"),
            }
        }
        (Some(least), None) => format!("above {}", show(least)),
        (None, Some(most)) => format!("below {}", show(most)),
        (None, None) => return Ok(()),
    };
    if expected.is_some() { write!(f, " ({within})") } else { f.write_str(&within) }
}

/// One check of a step.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Check {
    /// Where and how, in words.
    pub words: String,
    /// What a meter shows; null where eyes are the meter.
    pub reading: Option<Reading>,
    /// What to do when it does not.
    pub otherwise: String,
}

impl Check {
    pub(super) fn new(
        words: impl Into<String>,
        reading: Option<Reading>,
        otherwise: impl Into<String>,
    ) -> Self {
        Self { words: words.into(), reading, otherwise: otherwise.into() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_read_well() {
        let volts = Reading::Volts(Band::around(Volts(4.91), Volts(4.9), Volts(4.96)));
        assert_eq!(volts.to_string(), "4.91 V (4.90 to 4.96 V)");
        assert_eq!(Reading::Ohms(Band::above(Ohms(10.0))).to_string(), "above 10 ohm");
        assert_eq!(Reading::Amps(Band::below(Amps(0.64))).to_string(), "below 0.64 A");
    }
}
