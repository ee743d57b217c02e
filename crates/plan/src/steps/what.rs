//! What can be done while building, by the words that name it: `joint west:4-5`, `feed west 8 near`.

use std::fmt;

use glowloom_design::wall::Edge;
use serde::{Serialize, Serializer};

use crate::power::figures::edge_key;

/// How far a panel has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)] // the words say it
pub enum Stage {
    Board,
    Ohms,
    Volts,
    FirstStrip,
    Lit,
    Tiles,
    Cloth,
    Hung,
}

impl Stage {
    /// Each with its word and what it means, in the order of work.
    pub const ALL: [(Self, &'static str, &'static str); 8] = [
        (Self::Board, "board", "its board is cut and marked"),
        (Self::Ohms, "ohms", "no short was read between plus and minus"),
        (Self::Volts, "volts", "its supplies are set, and their polarity was read"),
        (Self::FirstStrip, "first-strip", "its first strip lit up with one fuse in"),
        (Self::Lit, "lit", "all of it lit up, and its measuring points were read"),
        (Self::Tiles, "tiles", "its baffle is laid"),
        (Self::Cloth, "cloth", "its cloth is on"),
        (Self::Hung, "hung", "it hangs"),
    ];

    /// As it is typed.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|stage| stage.0 == self).map_or("", |stage| stage.1)
    }
}

/// Something that is done once, or part by part. Strips, data lines and supplies count from 1.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// A step of the whole wall, by its id.
    Step {
        /// The step's id.
        id: String,
    },
    /// Printed parts of one kind, counted.
    Part {
        /// As the plan calls it: `tile-5x6-plain`, `rim-217.13mm`.
        name: String,
    },
    /// A strip glued to its board.
    Strip {
        /// Its panel.
        panel: String,
        /// Which.
        strip: u32,
    },
    /// A strip joined to the next one of its data line.
    Joint {
        /// Its panel.
        panel: String,
        /// The first of the two.
        strip: u32,
    },
    /// A supply wired to its cord.
    Supply {
        /// Its panel.
        panel: String,
        /// Which.
        supply: u32,
    },
    /// A feed joined to its supply and its strip.
    Feed {
        /// Its panel.
        panel: String,
        /// The strip.
        strip: u32,
        /// Which end of it.
        edge: Edge,
    },
    /// A receiver on its board, joined to its supply.
    Receiver {
        /// Its panel.
        panel: String,
    },
    /// A data lead from the receiver to the first pixel.
    Lead {
        /// Its panel.
        panel: String,
        /// The data line.
        line: u32,
    },
    /// How far a panel has come.
    Panel {
        /// Its name.
        panel: String,
        /// The stage.
        stage: Stage,
    },
}

/// How the words begin, each with what follows: for people.
pub const FORMS: [&str; 10] = [
    "step ID",
    "tile KIND COUNT",
    "rim KIND COUNT",
    "strip PANEL STRIP",
    "joint PANEL:STRIP-NEXT",
    "supply PANEL SUPPLY",
    "feed PANEL STRIP near/far",
    "receiver PANEL",
    "lead PANEL LINE",
    "panel PANEL STAGE",
];

impl What {
    /// The panel that it is on, if it is on one.
    #[must_use]
    pub fn panel(&self) -> Option<&str> {
        match self {
            Self::Step { .. } | Self::Part { .. } => None,
            Self::Strip { panel, .. }
            | Self::Joint { panel, .. }
            | Self::Supply { panel, .. }
            | Self::Feed { panel, .. }
            | Self::Receiver { panel }
            | Self::Lead { panel, .. }
            | Self::Panel { panel, .. } => Some(panel),
        }
    }

    /// The word that it begins with.
    #[must_use]
    pub fn kind(&self) -> &str {
        match self {
            Self::Step { .. } => "step",
            Self::Part { name } => name.split('-').next().unwrap_or("tile"),
            Self::Strip { .. } => "strip",
            Self::Joint { .. } => "joint",
            Self::Supply { .. } => "supply",
            Self::Feed { .. } => "feed",
            Self::Receiver { .. } => "receiver",
            Self::Lead { .. } => "lead",
            Self::Panel { .. } => "panel",
        }
    }
}

impl fmt::Display for What {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Step { id } => write!(f, "step {id}"),
            Self::Part { name } => match name.split_once('-') {
                Some((kind, rest)) => write!(f, "{kind} {rest}"),
                None => write!(f, "tile {name}"),
            },
            Self::Strip { panel, strip } => write!(f, "strip {panel} {strip}"),
            Self::Joint { panel, strip } => {
                write!(f, "joint {panel}:{strip}-{}", strip.saturating_add(1))
            }
            Self::Supply { panel, supply } => write!(f, "supply {panel} {supply}"),
            Self::Feed { panel, strip, edge } => {
                write!(f, "feed {panel} {strip} {}", edge_key(*edge))
            }
            Self::Receiver { panel } => write!(f, "receiver {panel}"),
            Self::Lead { panel, line } => write!(f, "lead {panel} {line}"),
            Self::Panel { panel, stage } => write!(f, "panel {panel} {}", stage.word()),
        }
    }
}

impl Serialize for What {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

/// How many parts are meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Amount {
    /// Not said.
    Unsaid,
    /// So many in all.
    InAll(u64),
    /// So many more, written `+6`.
    More(u64),
}

/// Words that name nothing that can be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotUnderstood {
    /// What was found, in one line with no full stop.
    pub found: String,
    /// What is wanted.
    pub wanted: String,
}

/// Reads what is done by its words. Whether a wall has such a thing is not asked here. A name of a
/// panel may hold spaces and colons: what follows it is read from the end.
///
/// # Errors
/// [`NotUnderstood`], with the form that is wanted.
pub fn read(text: &str) -> Result<(What, Amount), NotUnderstood> {
    let text = text.trim();
    let (kind, rest) = text.split_once(' ').map_or((text, ""), |(kind, rest)| (kind, rest.trim()));
    let wanted = || {
        let form = FORMS.iter().find(|form| form.split(' ').next() == Some(kind));
        let form = match form {
            Some(form) => format!("wanted: {form}"),
            None => {
                let kinds: Vec<&str> = FORMS.iter().filter_map(|f| f.split(' ').next()).collect();
                let near = glowloom_design::diagnostic::nearest(kind, kinds.iter().copied());
                let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
                format!("{near}wanted: {}", FORMS.join(", "))
            }
        };
        let found = if text.is_empty() {
            "nothing is named".to_owned()
        } else {
            format!("`{}` names nothing that can be done", shortened(text))
        };
        NotUnderstood { found, wanted: form }
    };
    let what = what(kind, rest).ok_or_else(wanted)?;
    Ok(what)
}

fn what(kind: &str, rest: &str) -> Option<(What, Amount)> {
    let panel = || (!rest.is_empty()).then(|| rest.to_owned());
    let what = match kind {
        "step" => What::Step { id: panel()? },
        "tile" | "rim" => return part(kind, rest),
        "strip" => {
            let (panel, strip) = numbered(rest)?;
            What::Strip { panel, strip }
        }
        "supply" => {
            let (panel, supply) = numbered(rest)?;
            What::Supply { panel, supply }
        }
        "lead" => {
            let (panel, line) = numbered(rest)?;
            What::Lead { panel, line }
        }
        "joint" => {
            let (panel, strips) = rest.rsplit_once(':')?;
            let (first, second) = strips.trim().split_once('-')?;
            let (first, second) = (number(first)?, number(second)?);
            let next = first.checked_add(1)? == second;
            (next && !panel.trim().is_empty())
                .then(|| What::Joint { panel: panel.trim().to_owned(), strip: first })?
        }
        "feed" => {
            let (rest, edge) = rest.rsplit_once(' ')?;
            let edge = match edge {
                "near" => Edge::Near,
                "far" => Edge::Far,
                _ => return None,
            };
            let (panel, strip) = numbered(rest.trim_end())?;
            What::Feed { panel, strip, edge }
        }
        "receiver" => What::Receiver { panel: panel()? },
        "panel" => {
            let (panel, word) = rest.rsplit_once(' ')?;
            let stage = Stage::ALL.iter().find(|stage| stage.1 == word)?.0;
            What::Panel { panel: panel.trim_end().to_owned(), stage }
        }
        _ => return None,
    };
    Some((what, Amount::Unsaid))
}

fn part(kind: &str, rest: &str) -> Option<(What, Amount)> {
    let (name, amount) = match rest.rsplit_once(' ') {
        None => (rest, Amount::Unsaid),
        Some((name, amount)) => {
            let amount = match amount.strip_prefix('+') {
                Some(more) => Amount::More(more.parse().ok()?),
                None => Amount::InAll(amount.parse().ok()?),
            };
            (name.trim_end(), amount)
        }
    };
    // The file of a part is called by its whole name.
    let name = name.strip_prefix(kind).and_then(|rest| rest.strip_prefix('-')).unwrap_or(name);
    let plain = !name.is_empty() && !name.contains(char::is_whitespace);
    plain.then(|| (What::Part { name: format!("{kind}-{name}") }, amount))
}

/// A name, a space, a number.
fn numbered(text: &str) -> Option<(String, u32)> {
    let (name, number_) = text.rsplit_once(' ')?;
    let name = name.trim_end();
    (!name.is_empty()).then_some((name.to_owned(), number(number_)?))
}

fn number(text: &str) -> Option<u32> {
    let digits = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    digits.then(|| text.parse().ok()).flatten()
}

/// So much of a text that a message stays readable, and nothing in it that a terminal would obey.
pub(crate) fn shortened(text: &str) -> String {
    let plain = |c: char| {
        let turns = matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        if c.is_control() || turns { '\u{fffd}' } else { c }
    };
    let mut short: String = text.chars().take(80).map(plain).collect();
    if text.chars().nth(80).is_some() {
        short.push('…');
    }
    short
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_name_what_they_say() {
        for text in [
            "step bench",
            "strip west 3",
            "joint west:4-5",
            "supply west 1",
            "feed west 8 near",
            "feed west 8 far",
            "receiver west",
            "lead west 2",
            "panel west hung",
            "panel west first-strip",
            // Names with everything that stands between.
            "joint a:1-2:3-4",
            "strip left  low 2 3",
            "feed near 8 far 8 far",
            "panel panel hung hung",
            "receiver מזרח 🌊",
        ] {
            let (what, amount) = read(text).unwrap();
            assert_eq!((what.to_string().as_str(), amount), (text, Amount::Unsaid));
        }
        let part = What::Part { name: "tile-5x6-plain".into() };
        for (text, amount) in [
            ("tile 5x6-plain", Amount::Unsaid),
            ("tile 5x6-plain 12", Amount::InAll(12)),
            ("tile tile-5x6-plain +6", Amount::More(6)),
        ] {
            assert_eq!(read(text).unwrap(), (part.clone(), amount));
        }
        assert_eq!(part.to_string(), "tile 5x6-plain");
    }

    #[test]
    fn other_words_are_told_the_form() {
        for (text, wanted) in [
            ("joint west:4-6", "joint PANEL:STRIP-NEXT"),
            ("joint west", "joint PANEL:STRIP-NEXT"),
            ("strip west", "strip PANEL STRIP"),
            ("strip west -3", "strip PANEL STRIP"),
            ("strip west 99999999999", "strip PANEL STRIP"),
            ("feed west 8", "feed PANEL STRIP near/far"),
            ("panel west hangs", "panel PANEL STAGE"),
            ("tile 5x6 plain 3", "tile KIND COUNT"),
            ("tile 5x6-plain -3", "tile KIND COUNT"),
            ("jiont west:4-5", "did you mean `joint`?"),
            ("", "step ID"),
        ] {
            let wrong = read(text).unwrap_err();
            assert!(wrong.wanted.contains(wanted), "{text}: {wrong:?}");
        }
    }
}
