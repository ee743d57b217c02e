//! What the readings in a wall file say of its strip, and what that changes in the plan.

use glowloom_design::Wall;
use glowloom_units::{Amps, OhmsPerMetre, Volts};
use serde::Serialize;

use super::advice::{notes, remedy};
use super::spot::Spot;
use super::taken::{DEVIATIONS, Label, Taken, panel, taken};
use super::words::digits;
use crate::power::fit::{Fit, NoFit, Read, fit_all};
use crate::power::measure::Softness;
use crate::power::odd::{Compared, compared, odd_one_out};
use crate::power::{Binding, UnsolvedPanel, wall_power};

/// Digits of the figures that are written into the file.
const DIGITS: i32 = 3;

/// What a meter's readings say.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Measured {
    /// One rail of the strip, one way.
    pub rail_ohms_per_metre: Fitted<OhmsPerMetre>,
    /// One colour, full on.
    pub channel_amps: Fitted<Amps>,
    /// How far readings lie from the fitted network, in their own errors: about 1 if all is well.
    pub misfit: f64,
    /// Each, in the order of the file.
    pub readings: Vec<Reading>,
    /// The one that is unlike the others; null if none is.
    pub odd: Option<Odd>,
    /// What else is to be said of them; empty if nothing.
    pub notes: Vec<String>,
    /// The lines to put into `[strip]`.
    pub strip: [String; 2],
    /// With the strip as the file has it.
    pub before: KeyFigures,
    /// With these lines in the file.
    pub after: KeyFigures,
}

/// A figure of the strip.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Fitted<T> {
    /// As the file has it.
    pub before: T,
    /// With which the readings agree best.
    pub found: T,
    /// In 95 of 100 cases it is at least this.
    pub least: T,
    /// In 95 of 100 cases it is at most this.
    pub most: T,
}

/// One figure of an entry.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reading {
    /// Line of the wall file.
    pub line: usize,
    /// Null on the bench.
    pub panel: Option<String>,
    /// Null for the current of a whole panel, and on the bench.
    pub spot: Option<Spot>,
    /// `west strip 8, near end`.
    pub place: String,
    /// `volts` or `amps`.
    pub quantity: &'static str,
    /// What was shown, as the file has it.
    pub showing: &'static str,
    /// 0 to 1.
    pub brightness: f64,
    /// What the meter showed.
    pub read: Shown,
    /// How far that may be off either way.
    pub error: Shown,
    /// What the fitted network has there.
    pub fitted: Shown,
    /// What was read less that.
    pub difference: Shown,
    /// How unlike the others it is, in errors; null where they do not tell.
    pub unlike: Option<f64>,
}

/// A figure of a meter.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(untagged)]
#[allow(missing_docs)] // the unit is the name
pub enum Shown {
    Volts(Volts),
    Amps(Amps),
}

impl std::fmt::Display for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Volts(volts) => volts.fmt(f),
            Self::Amps(amps) => amps.fmt(f),
        }
    }
}

/// A reading that is unlike the others.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Odd {
    /// Which of the readings, from 0.
    pub reading: usize,
    /// Where to look, and what to do.
    pub remedy: String,
    /// What the others say without it; null where they do not say enough.
    pub without: Option<Without>,
}

/// The strip as all readings but one have it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Without {
    /// One rail, one way.
    pub rail_ohms_per_metre: OhmsPerMetre,
    /// One colour, full on.
    pub channel_amps: Amps,
    /// As of all of them.
    pub misfit: f64,
}

/// What the plan says of the whole wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct KeyFigures {
    /// Of all strips at full white under `brightness_limit`.
    pub amps: Amps,
    /// At the lowest pixel then.
    pub least_volts: Volts,
    /// The panel that has it.
    pub least_volts_panel: String,
    /// The highest brightness of full white at which all limits hold.
    pub highest_safe_brightness: f64,
    /// What sets that end.
    pub binding: Binding,
}

/// Why readings say nothing.
#[derive(Clone, Debug, PartialEq)]
pub enum NotMeasured {
    /// The file holds none.
    None,
    /// A reading on a strip that no feed reaches.
    Dead {
        /// Of the wall file.
        line: usize,
        /// As the file has it.
        panel: String,
        /// From 1.
        strip: u32,
    },
    /// They do not give both figures.
    NoFit(NoFit),
    /// A network has no answer.
    Unsolved(UnsolvedPanel),
}

impl From<NoFit> for NotMeasured {
    fn from(no: NoFit) -> Self {
        Self::NoFit(no)
    }
}

impl From<UnsolvedPanel> for NotMeasured {
    fn from(unsolved: UnsolvedPanel) -> Self {
        Self::Unsolved(unsolved)
    }
}

impl std::fmt::Display for NotMeasured {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::None => write!(f, "the wall file holds no reading of a meter"),
            Self::Dead { line, panel, strip } => write!(
                f,
                "the reading in line {line} is on strip {strip} of {panel}, which no feed reaches: \
                 feed it, or take the reading out"
            ),
            Self::NoFit(no) => no.fmt(f),
            Self::Unsolved(unsolved) => unsolved.fmt(f),
        }
    }
}

impl std::error::Error for NotMeasured {}

/// What the readings in the wall file say: the strip's two soft figures, each reading beside the network
/// that has them, and what they change.
///
/// # Errors
/// [`NotMeasured`] says what to read as well, or what to look for.
pub fn measured(wall: &Wall) -> Result<Measured, NotMeasured> {
    let taken = taken(wall)?;
    let fit = fit_all(&taken.rigs, &taken.readings)?;
    let compared = compared(&taken.rigs, &taken.readings, &fit)?;
    let (rail, channel) = (digits(fit.rail.0, DIGITS), digits(fit.channel.0, DIGITS));
    let number = |text: &str| text.parse::<f64>().unwrap_or(f64::NAN);
    let after = wall
        .with_strip(OhmsPerMetre(number(&rail)), Amps(number(&channel)))
        .ok_or(NotMeasured::NoFit(NoFit::NoStrip))?;
    let readings: Vec<Reading> = taken
        .labels
        .iter()
        .zip(&compared)
        .zip(&taken.readings)
        .map(|((label, compared), (_, reading))| shown(wall, label, compared, &reading.read))
        .collect();
    let odd = odd_one_out(&compared).map(|odd| Odd {
        reading: odd,
        remedy: remedy(wall, &taken.labels[odd], &readings[odd], &compared[odd]),
        without: without(&taken, odd),
    });
    let strip = &wall.strip;
    Ok(Measured {
        rail_ohms_per_metre: Fitted {
            before: strip.rail_ohms_per_metre,
            found: fit.rail,
            least: fit.band.rail[0],
            most: fit.band.rail[1],
        },
        channel_amps: Fitted {
            before: strip.channel_amps,
            found: fit.channel,
            least: fit.band.channel[0],
            most: fit.band.channel[1],
        },
        misfit: fit.misfit,
        notes: notes(&readings, &odd, fit.misfit),
        odd,
        readings,
        strip: [format!("rail_ohms_per_metre = {rail}"), format!("channel_amps = {channel}")],
        before: key_figures(wall)?,
        after: key_figures(&after)?,
    })
}

/// The band of the strip from the readings of a wall, where `[strip]` has figures within it.
pub(super) fn learned(wall: &Wall) -> Option<Softness> {
    let taken = taken(wall).ok()?;
    let fit = fit_all(&taken.rigs, &taken.readings).ok()?;
    let (rail, channel) = (fit.band.rail, fit.band.channel);
    let strip = &wall.strip;
    let holds = (rail[0]..=rail[1]).contains(&strip.rail_ohms_per_metre)
        && (channel[0]..=channel[1]).contains(&strip.channel_amps);
    holds.then_some(fit.band)
}

pub(super) fn line(wall: &Wall, entry: usize, key: &str) -> usize {
    let at = |key: &str| format!("measured.{entry}.{key}");
    let keys = [at(key), at("volts_at_end"), format!("measured.{entry}")];
    wall.place(&keys.each_ref().map(String::as_str)).line
}

fn shown(wall: &Wall, label: &Label, compared: &Compared, read: &Read) -> Reading {
    let entry = &wall.measured[label.entry];
    let panel = panel(wall, entry);
    let spot = panel.zip(label.place).map(|(panel, place)| Spot::of(panel, place));
    let (found, error) = match read {
        Read::Volts { found, error, .. } => (Shown::Volts(*found), Shown::Volts(*error)),
        Read::FeedAmps { found, error, .. } | Read::Amps { found, error } => {
            (Shown::Amps(*found), Shown::Amps(*error))
        }
    };
    let with = |like: Shown, value: f64| match like {
        Shown::Volts(_) => Shown::Volts(Volts(value)),
        Shown::Amps(_) => Shown::Amps(Amps(value)),
    };
    let number = |shown: Shown| match shown {
        Shown::Volts(volts) => volts.0,
        Shown::Amps(amps) => amps.0,
    };
    let place = match (panel, &spot) {
        (Some(panel), Some(spot)) => format!("{} {}", panel.name, spot.words),
        (Some(panel), None) => format!("{}, the whole panel", panel.name),
        (None, _) if label.key == "volts" => "the bench, behind the lit pixels".into(),
        (None, _) => "the bench, into the roll".into(),
    };
    Reading {
        line: line(wall, label.entry, label.key),
        panel: panel.map(|panel| panel.name.clone()),
        spot,
        place,
        quantity: label.key,
        showing: entry.lit.key(),
        brightness: entry.brightness,
        read: found,
        error: with(error, number(error) * DEVIATIONS),
        fitted: with(found, compared.fitted),
        difference: with(found, number(found) - compared.fitted),
        unlike: compared.unlike,
    }
}

fn without(taken: &Taken, odd: usize) -> Option<Without> {
    let mut readings = taken.readings.clone();
    readings.remove(odd);
    let Fit { rail, channel, misfit, .. } = fit_all(&taken.rigs, &readings).ok()?;
    Some(Without { rail_ohms_per_metre: rail, channel_amps: channel, misfit })
}

fn key_figures(wall: &Wall) -> Result<KeyFigures, UnsolvedPanel> {
    let power = wall_power(wall)?;
    let lowest = power.panels.iter().min_by(|a, b| a.least_volts.0.total_cmp(&b.least_volts.0));
    Ok(KeyFigures {
        amps: power.panels.iter().map(|panel| panel.amps).sum(),
        least_volts: lowest.map_or(Volts(0.0), |panel| panel.least_volts),
        least_volts_panel: lowest.map(|panel| panel.name.clone()).unwrap_or_default(),
        highest_safe_brightness: power.highest_safe_brightness,
        binding: power.binding,
    })
}
