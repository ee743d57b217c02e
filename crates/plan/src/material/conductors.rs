//! What every conductor is for, and its colour under the convention that the wall file names: the one
//! truth of it, for lists and drawings alike.
//!
//! Mains colours are those of the convention and of no other. DC and data take colours that the same
//! convention gives to no mains conductor, and never green.

use glowloom_design::wall::MainsColours;
use serde::Serialize;

/// What a wire carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)] // the name says it
pub enum Conductor {
    Line,
    Neutral,
    /// Protective earth; ground in the US.
    Earth,
    /// DC, plus.
    Plus,
    /// DC, minus.
    Minus,
    Data,
    /// Of clocked strips.
    Clock,
}

/// A colour and who says so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour {
    /// In words.
    pub name: &'static str,
    /// A standard, "from memory", "own choice".
    pub source: &'static str,
}

/// Said beside every mains conductor.
pub const MAINS_CAUTION: &str = "mains: dead (unplugged) while working, covered terminals; follow \
     local codes and ask a licensed electrician where they want one";

impl Conductor {
    /// All of them: the mains' first.
    pub const ALL: [Self; 7] =
        [Self::Line, Self::Neutral, Self::Earth, Self::Plus, Self::Minus, Self::Data, Self::Clock];

    /// Whether it carries mains.
    #[must_use]
    pub fn is_mains(self) -> bool {
        matches!(self, Self::Line | Self::Neutral | Self::Earth)
    }

    /// As it is labelled at both ends.
    #[must_use]
    pub fn label(self, convention: MainsColours) -> &'static str {
        match (self, convention) {
            (Self::Line, _) => "L",
            (Self::Neutral, _) => "N",
            (Self::Earth, MainsColours::Iec) => "PE",
            (Self::Earth, MainsColours::Us) => "G",
            (Self::Plus, _) => "DC +",
            (Self::Minus, _) => "DC -",
            (Self::Data, _) => "DATA",
            (Self::Clock, _) => "CLOCK",
        }
    }

    /// Its colour under a convention.
    #[must_use]
    pub fn colour(self, convention: MainsColours) -> Colour {
        const IEC: &str = "IEC 60445, second-hand";
        const US: &str = "US habit, no colour demanded, never white, grey or green; second-hand";
        const OWN: &str = "own choice: no mains colour of the convention";
        let (name, source) = match (self, convention) {
            (Self::Line, MainsColours::Iec) => ("brown", IEC),
            (Self::Neutral, MainsColours::Iec) => ("blue", IEC),
            (Self::Earth, MainsColours::Iec) => ("green-and-yellow", IEC),
            (Self::Plus, MainsColours::Iec) => ("red", "IEC 60445, from memory"),
            (Self::Minus, MainsColours::Iec) => ("white", "IEC 60445, from memory"),
            (Self::Line, MainsColours::Us) => ("black", US),
            (Self::Neutral, MainsColours::Us) => ("white", "NEC 200.6, second-hand"),
            (Self::Earth, MainsColours::Us) => ("green", "NEC 250.119, second-hand"),
            // Black would be minus by habit, but here black is line.
            (Self::Plus, MainsColours::Us) => ("red", "common practice, no source"),
            (Self::Minus, MainsColours::Us) => ("violet", OWN),
            (Self::Data, _) => ("orange", OWN),
            (Self::Clock, _) => ("pink", OWN),
        };
        Colour { name, source }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 60445 and the NEC, second-hand.
    #[test]
    fn mains_colours_are_those_of_the_convention() {
        let of = |convention| {
            [Conductor::Line, Conductor::Neutral, Conductor::Earth]
                .map(|conductor| conductor.colour(convention).name)
        };
        assert_eq!(of(MainsColours::Iec), ["brown", "blue", "green-and-yellow"]);
        assert_eq!(of(MainsColours::Us), ["black", "white", "green"]);
    }

    /// Nor with the other phases of the convention: black and grey (IEC), grey for neutral (US).
    #[test]
    fn no_two_conductors_share_a_colour() {
        for (convention, others) in
            [(MainsColours::Iec, ["black", "grey"]), (MainsColours::Us, ["grey", "bare"])]
        {
            for (i, one) in Conductor::ALL.iter().enumerate() {
                let name = one.colour(convention).name;
                assert!(
                    Conductor::ALL[..i].iter().all(|other| other.colour(convention).name != name)
                );
                if !one.is_mains() {
                    assert!(!others.contains(&name), "{one:?}");
                    assert!(!name.contains("green") && !name.contains("yellow"), "{one:?}");
                }
            }
        }
    }
}
