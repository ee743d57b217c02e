//! The checked wall: if one exists, its parts fit together.
//!
//! A [`Wall`] is made by [`crate::read`] alone and is read only. Everything that the file left
//! unsaid is filled in here, so nothing downstream knows a default.

mod feed;
mod making;
mod measured;
mod panel;
mod power;
mod receiver;
mod showing;
mod strip;

use std::collections::BTreeMap;
use std::ops::{Deref, RangeInclusive};

use glowloom_units::{Amps, Figures, Metres, OhmsPerMetre};

pub use feed::{Edge, Feed, Wire};
pub use making::{
    Baffle, Board, Body, CutBy, Cuts, Diffuser, Fixing, Hanging, Paper, Prices, SupplyOn,
    WireBuying,
};
pub use measured::{Current, Figure, Lit, Measured, Subject, Tips};
pub(crate) use panel::shared;
pub use panel::{Corner, Direction, Jumpers, Panel, Path, Turn};
pub use power::{Mains, MainsColours, Power, Supply};
pub use receiver::{Address, DataLevel, Link, OnLoss, Protocol, Receiver};
pub use showing::{Filter, OnFailure, Over, QuietHours, Scene, Show, Weekday};
pub use strip::{Light, Order, Strip};

use crate::diagnostic::Place;

/// Most of a resistance for its length that a file may say, ohm/m.
pub(crate) const MOST_OHMS_PER_METRE: f64 = 1000.0;
/// Most of a current that a file may say, A.
pub(crate) const MOST_AMPS: f64 = 10_000.0;
/// Fixings that a panel may have.
pub(crate) const FIXINGS: RangeInclusive<u32> = 1..=10_000;

/// A wall that was checked. Reads as its [`Parts`].
#[derive(Clone, Debug, PartialEq)]
pub struct Wall(pub(crate) Parts);

impl Wall {
    /// Whether another wall is the same but for its running order, quiet hours and brightness: what a show can
    /// change while it plays.
    #[must_use]
    pub fn differs_in_order_alone(&self, other: &Self) -> bool {
        let mut like = other.0.clone();
        like.show.running_order.clone_from(&self.show.running_order);
        like.show.quiet_hours.clone_from(&self.show.quiet_hours);
        like.show.brightness = self.show.brightness;
        // Where each key stands is of no account.
        like.places = self.places.clone();
        like == self.0
    }

    /// The same wall of strip with another rail, one way, and another current of one colour, full on.
    /// `None` where a wall file could not say so.
    #[must_use]
    pub fn with_strip(&self, rail: OhmsPerMetre, channel: Amps) -> Option<Self> {
        let fits =
            (0.0..=MOST_OHMS_PER_METRE).contains(&rail.0) && (0.0..=MOST_AMPS).contains(&channel.0);
        let mut other = self.clone();
        other.0.strip.rail_ohms_per_metre = rail;
        other.0.strip.channel_amps = channel;
        fits.then_some(other)
    }

    /// The same wall with as many fixings on each panel, and its supplies carried by this. `None` where it
    /// says nothing of how it hangs, or where a wall file could not say so.
    #[must_use]
    pub fn with_hanging(&self, fixings_per_panel: u32, supply_on: SupplyOn) -> Option<Self> {
        let mut other = self.clone();
        let hanging = other.0.hanging.as_mut()?;
        hanging.fixings_per_panel = fixings_per_panel;
        hanging.supply_on = Some(supply_on);
        FIXINGS.contains(&fixings_per_panel).then_some(other)
    }
}

impl Deref for Wall {
    type Target = Parts;

    fn deref(&self) -> &Parts {
        &self.0
    }
}

/// What a wall consists of.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Parts {
    /// What the maker calls it.
    pub name: String,
    /// Pixels across the picture, 1 to 65,535.
    pub columns: u32,
    /// Pixels down the picture, 1 to 65,535; at most 4,000,000 pixels in all.
    pub rows: u32,
    /// Nearest viewer.
    pub seen_from: Metres,
    /// Units that results are printed in.
    pub figures: Figures,
    /// The strip that all panels are laid with.
    pub strip: Strip,
    /// At least one; no two overlap, none reaches outside the picture.
    pub panels: Vec<Panel>,
    /// Supplies, wires, limits, mains.
    pub power: Power,
    /// The network boards.
    pub receiver: Receiver,
    /// Absent: the wall has none.
    pub baffle: Option<Baffle>,
    /// Absent: the wall has none.
    pub board: Option<Board>,
    /// Strip already on the shelf, pixels a roll. Absent: none.
    pub stock: Option<Vec<u32>>,
    /// How wire is bought and cut.
    pub wire_buying: WireBuying,
    /// Absent: the wall has none.
    pub diffuser: Option<Diffuser>,
    /// Absent: the wall has none.
    pub hanging: Option<Hanging>,
    /// Absent: no prices are known.
    pub prices: Option<Prices>,
    /// Paper of the book.
    pub paper: Paper,
    /// Where phones find the book's page, with nothing behind `#`; absent: the file does not say.
    pub book_page: Option<String>,
    /// How strips are cut from rolls.
    pub cuts: Cuts,
    /// What the wall shows.
    pub show: Show,
    /// What a meter read on it.
    pub measured: Vec<Measured>,
    pub(crate) places: Places,
}

/// Where each key of the file stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Places(pub(crate) BTreeMap<String, Place>);

impl Parts {
    /// Where a key stands in the file, by its dotted path: `receiver.link`, `panels.2.at` (panels
    /// count from 0 here), or a section: `receiver`. The first of `paths` that the file holds;
    /// the top of the file when it holds none.
    #[must_use]
    pub fn place(&self, paths: &[&str]) -> Place {
        let found = paths.iter().find_map(|path| self.places.0.get(*path));
        found.copied().unwrap_or(Place { line: 1, column: 1 })
    }

    /// Distance between two pixels along a strip.
    #[must_use]
    pub fn pitch(&self) -> Metres {
        self.strip.pixels_per_metre.pitch()
    }
}
