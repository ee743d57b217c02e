//! Feeds as the network sees them.

use glowloom_design::wall::{Edge, Feed, Wire};
use glowloom_units::{Amps, Ohms};

/// A pair of conductors from a supply to a pad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tap {
    /// From 1.
    pub strip: u32,
    /// Which end of the strip.
    pub edge: Edge,
    /// Of each conductor, its two connections included.
    pub ohms: Ohms,
    /// What each conductor may carry; `None` where neither file nor table says.
    pub limit: Option<Amps>,
}

impl Tap {
    /// A wire with a connection at each of its ends.
    #[must_use]
    pub fn new(strip: u32, edge: Edge, wire: &Wire, connection: Ohms) -> Self {
        let ohms = wire.ohms_per_metre * wire.length + connection * 2.0;
        Self { strip, edge, ohms, limit: wire.amps }
    }
}

/// The feeds of a panel, in the order of the panel.
#[must_use]
pub fn taps(feeds: &[Feed], connection: Ohms) -> Vec<Tap> {
    feeds.iter().map(|feed| Tap::new(feed.strip, feed.edge, &feed.wire, connection)).collect()
}
