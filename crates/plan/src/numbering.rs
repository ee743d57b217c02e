//! Universes and slots: where a pixel's levels stand in the numbering of the pixel map.
//!
//! Whatever the protocol, pixels are numbered in universes of 512 slots: 170 pixels of 3 slots to
//! each, or 128 of 4. A data line starts a universe of its own; spare pixels count.

use glowloom_wire::patch::Channels;

use crate::path::{DataLine, PanelPath};

/// A pixel's first slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Slot {
    /// From 1.
    pub universe: u32,
    /// In the universe, from 1 to 512.
    pub slot: u16,
}

/// How the pixels of one panel are numbered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Numbering<'w> {
    path: PanelPath<'w>,
    channels: Channels,
}

impl<'w> Numbering<'w> {
    /// The numbering of that path, on a strip of so many channels.
    #[must_use]
    pub fn new(path: PanelPath<'w>, channels: Channels) -> Self {
        Self { path, channels }
    }

    /// The first universe of a data line; lines count from 1.
    #[must_use]
    pub fn first_universe(&self, line: u32) -> u32 {
        // At most two lengths of line: those with an odd strip come first.
        let panel = self.path.panel();
        let (shares, line) = (self.path.shares(), line.saturating_sub(1));
        let long = shares.before(line) - line * shares.of(shares.takers() - 1);
        let short = line - long;
        u32::from(panel.first_universe)
            + long * self.universes_of(shares.of(0))
            + short * self.universes_of(shares.of(shares.takers() - 1))
    }

    /// How many universes a data line has.
    #[must_use]
    pub fn universes(&self, line: &DataLine<'_>) -> u32 {
        self.universes_of(line.strips)
    }

    /// The slot of a pixel: `line` from 1, `index` from 0, as the path counts.
    #[must_use]
    pub fn slot(&self, line: u32, index: u32) -> Slot {
        let per_universe = per_universe(self.channels);
        let first = index % per_universe * slots(self.channels) + 1;
        Slot {
            universe: self.first_universe(line) + index / per_universe,
            slot: u16::try_from(first).unwrap_or(u16::MAX),
        }
    }

    fn universes_of(&self, strips: u32) -> u32 {
        let panel = self.path.panel();
        let pixels = panel.spare_pixels + strips * panel.strip_pixels();
        pixels.div_ceil(per_universe(self.channels))
    }
}

/// Slots to a pixel.
pub(crate) fn slots(channels: Channels) -> u32 {
    match channels {
        Channels::Three => 3,
        Channels::Four => 4,
    }
}

/// Whole pixels to a universe.
fn per_universe(channels: Channels) -> u32 {
    512 / slots(channels)
}

/// The channels of a wall's strip.
#[must_use]
pub fn channels(strip: &glowloom_design::wall::Strip) -> Channels {
    if strip.channels() == 4 { Channels::Four } else { Channels::Three }
}
