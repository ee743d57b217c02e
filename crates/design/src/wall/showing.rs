//! What the wall shows, and when.

use glowloom_units::{Chromaticity, Seconds};

/// Hours in which the wall is dimmed.
#[derive(Clone, Debug, PartialEq)]
pub struct QuietHours {
    /// Minute of the day, 0 to 1439.
    pub from: u32,
    /// Minute of the day, 0 to 1439; before `from`: the next morning.
    pub to: u32,
    /// Of the ceiling, 0 to 1.
    pub brightness: f64,
}

/// A day of the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)] // the day is the name
pub enum Weekday {
    Monday,
    Tuesday,
    Wednesday,
    Thursday,
    Friday,
    Saturday,
    Sunday,
}

impl Weekday {
    /// Each as the wall file has it, Monday first.
    pub const WORDS: &'static [(&'static str, Self)] = &[
        ("mon", Self::Monday),
        ("tue", Self::Tuesday),
        ("wed", Self::Wednesday),
        ("thu", Self::Thursday),
        ("fri", Self::Friday),
        ("sat", Self::Saturday),
        ("sun", Self::Sunday),
    ];
}

/// What is shown when a source fails.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum OnFailure {
    /// Its last frame stays.
    #[default]
    Keep,
    /// The next entry has its turn.
    Next,
    /// Another source.
    Source(String),
}

/// A source laid over another.
#[derive(Clone, Debug, PartialEq)]
pub struct Over {
    /// As `source` of an entry.
    pub source: String,
    /// How much of it is seen, 0 to 1.
    pub strength: f64,
}

/// One entry of the running order.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// A file beside the wall file, a picture made by code, or words.
    pub source: String,
    /// How long it plays each time.
    pub seconds: Seconds,
    /// How often it plays before the next, at least 1.
    pub repeats: u32,
    /// Minute of the day from which on it is due, 0 to 1439.
    pub from: u32,
    /// Minute of the day until which it is due, 1 to 1440; at or before `from`: the next morning.
    pub to: u32,
    /// Days on which its hours begin, in the order of the week; never none.
    pub days: Vec<Weekday>,
    /// How long it fades in, no longer than `seconds`.
    pub fade: Seconds,
    /// What is laid over it.
    pub over: Option<Over>,
    /// What is shown when it fails.
    pub on_failure: OnFailure,
}

/// How pictures are made smaller.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Filter {
    /// The mean of what a pixel of the wall covers.
    Area,
    /// Crisper edges, with a little ringing beside them.
    Sharp,
}

/// What the wall shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Show {
    /// Of the ceiling, 0 to 1.
    pub brightness: f64,
    /// How far colours are from grey, times so much: 0 to 2.
    pub saturation: f64,
    /// What is white in pictures.
    pub white_point: Chromaticity,
    /// Whether bytes are dithered where the rate allows it.
    pub dither: bool,
    /// Whether bright pixels are dimmed so that they look like those which the copper's drop dims.
    pub even_out: bool,
    /// How pictures are made smaller.
    pub filter: Filter,
    /// When it is dimmed.
    pub quiet_hours: Vec<QuietHours>,
    /// What it shows, in order, over and over.
    pub running_order: Vec<Scene>,
}
