//! What supplies, fuses, wires, jumpers and rails may carry, and how low a pixel may fall.

use glowloom_design::Wall;
use glowloom_units::{Amps, Volts};
use serde::{Serialize, Serializer};

use super::network::Network;
use super::taps::Tap;

/// What sets an end to the brightness, in the order in which a tie is settled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Binding {
    /// A supply's rating, as far as it may be loaded.
    Supply,
    /// The largest fuse that protects a feed's wire, as far as it may be loaded.
    Fuse,
    /// A feed's wire.
    Wire,
    /// A jumper between two strips.
    Jumper,
    /// The copper of the strip itself.
    Rail,
    /// The lowest voltage that is wanted at any pixel.
    LeastVolts,
    /// The mains circuit, as far as it may be loaded.
    Circuit,
    /// Nothing.
    None,
}

impl Binding {
    /// As the plan has it.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Supply => "supply",
            Self::Fuse => "fuse",
            Self::Wire => "wire",
            Self::Jumper => "jumper",
            Self::Rail => "rail",
            Self::LeastVolts => "least_volts",
            Self::Circuit => "circuit",
            Self::None => "none",
        }
    }
}

impl Serialize for Binding {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.key())
    }
}

/// The limits that every panel of a wall is held to. A wire whose limit nobody knows is held to
/// none; a finding has to say so.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Of each supply: its rating times the share that may be used.
    pub supply: Amps,
    /// What the receiver takes from the panel's first supply.
    pub receiver: Amps,
    /// Fuses that can be bought, rising.
    pub fuses: Vec<Amps>,
    /// Share of a fuse's rating that may be used.
    pub fuse_load: f64,
    /// What a jumper may carry; `None` where neither file nor table says.
    pub jumper: Option<Amps>,
    /// What the strip's own copper may carry.
    pub rail: Amps,
    /// The lowest voltage wanted at any pixel.
    pub least_volts: Volts,
}

impl Limits {
    /// As the wall file has them.
    #[must_use]
    pub fn of(wall: &Wall) -> Self {
        let power = &wall.power;
        Self {
            supply: power.supply.amps * power.supply_load,
            receiver: wall.receiver.amps,
            fuses: power.fuses.clone(),
            fuse_load: power.fuse_load,
            jumper: power.jumper_wire.amps,
            rail: wall.strip.rail_amps,
            least_volts: power.least_volts,
        }
    }

    /// The fuse for a feed: the smallest at or above its current over the share that may be used, and
    /// at or below what its wire may carry. `None` where there is none, or nobody knows what the
    /// wire may carry.
    #[must_use]
    pub fn fuse(&self, carried: Amps, wire: Option<Amps>) -> Option<Amps> {
        let wire = wire?;
        let needed = carried / self.fuse_load;
        self.fuses.iter().copied().find(|fuse| *fuse >= needed).filter(|fuse| *fuse <= wire)
    }

    /// What a feed may carry as far as fuses go: the largest that protects its wire, times the
    /// share that may be used; 0 where none does. `None` where nobody knows what the wire may carry.
    #[must_use]
    pub fn fused(&self, wire: Option<Amps>) -> Option<Amps> {
        let wire = wire?;
        let largest = self.fuses.iter().copied().rfind(|fuse| *fuse <= wire);
        Some(largest.unwrap_or_default() * self.fuse_load)
    }

    /// What a feed's conductors may carry by fuse and wire.
    #[must_use]
    pub fn feed(&self, tap: &Tap) -> Option<Amps> {
        Some(self.fused(tap.limit)?.min(tap.limit?))
    }

    /// What a supply, from 0, may give to the strips.
    #[must_use]
    pub fn strips(&self, supply: usize) -> Amps {
        if supply == 0 { self.supply - self.receiver } else { self.supply }
    }
}

/// One figure of a network that is held to a limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Held {
    /// Whose limit it is.
    pub by: Binding,
    /// A current of either sign, A, or a voltage, V.
    pub value: f64,
    /// The most of a current's size, the least of a voltage.
    pub limit: f64,
}

impl Held {
    /// How far it is beyond its limit, A or V; negative where it holds.
    pub fn excess(&self) -> f64 {
        if self.by == Binding::LeastVolts {
            self.limit - self.value
        } else {
            self.value.abs() - self.limit
        }
    }
}

/// Every figure of a network that a limit holds, for potentials `at` of all its nodes: always the
/// same figures in the same order. They are linear in the potentials, so that `at` may be a
/// difference of potentials as well.
pub(super) fn held(
    network: &Network,
    limits: &Limits,
    at: &super::ladder::Field,
    mut each: impl FnMut(Held),
) {
    let mut given = vec![0.0; network.supplies()];
    for tap in network.taps() {
        let node = network.pad(tap.strip, tap.edge);
        let supply = network.zone(tap.strip as usize - 1);
        let conductance = 1.0 / super::network::at_least(tap.ohms);
        let apart = network.segment_of(tap.strip as usize - 1).apart;
        let across = at.supply[supply] - at.plus[node];
        let plus = conductance * if apart { across } else { 0.5 * across };
        given[supply] += plus;
        if let Some(fused) = limits.fused(tap.limit) {
            each(Held { by: Binding::Fuse, value: plus, limit: fused.0 });
        }
        if let Some(limit) = tap.limit {
            each(Held { by: Binding::Wire, value: plus, limit: limit.0 });
            if apart {
                let minus = conductance * at.minus[node];
                each(Held { by: Binding::Wire, value: minus, limit: limit.0 });
            }
        }
    }
    for (supply, amps) in given.into_iter().enumerate() {
        each(Held { by: Binding::Supply, value: amps, limit: limits.strips(supply).0 });
    }
    let past_end = network.stride() - 1;
    for segment in &network.segments {
        for node in segment.nodes.clone() {
            let (by, limit) = if node % network.stride() == past_end {
                (Binding::Jumper, limits.jumper)
            } else {
                (Binding::Rail, Some(limits.rail))
            };
            let Some(limit) = limit else { continue };
            let mut carries = |edge: f64, rail: &[f64]| {
                if edge > 0.0 {
                    let value = edge * (rail[node] - rail[node + 1]);
                    each(Held { by, value, limit: limit.0 });
                }
            };
            if segment.apart {
                carries(network.plus[node], &at.plus);
                carries(network.minus[node], &at.minus);
            } else {
                carries(0.5 * network.plus[node], &at.plus);
            }
        }
    }
    for strip in (0..network.strips()).filter(|strip| network.is_live(*strip)) {
        let apart = network.segment_of(strip).apart;
        for along in 0..network.strip_pixels() {
            let node = network.node(strip * network.strip_pixels() + along);
            let value = at.plus[node] - if apart { at.minus[node] } else { 0.0 };
            each(Held { by: Binding::LeastVolts, value, limit: limits.least_volts.0 });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn limits(fuses: &[f64]) -> Limits {
        Limits {
            supply: Amps(48.0),
            receiver: Amps(0.3),
            fuses: fuses.iter().copied().map(Amps).collect(),
            fuse_load: 0.8,
            jumper: None,
            rail: Amps(5.0),
            least_volts: Volts(4.0),
        }
    }

    /// The smallest fuse that carries the current with its margin and protects the wire.
    #[test]
    fn fuses() {
        let limits = limits(&[1.0, 5.0, 7.5, 10.0, 15.0]);
        let fuse = |amps, wire| limits.fuse(Amps(amps), wire).map(|fuse| fuse.0);
        assert_eq!(fuse(3.9, Some(Amps(10.0))), Some(5.0));
        assert_eq!(fuse(4.0, Some(Amps(10.0))), Some(5.0));
        assert_eq!(fuse(4.1, Some(Amps(10.0))), Some(7.5));
        assert_eq!(fuse(7.9, Some(Amps(10.0))), Some(10.0));
        assert_eq!(fuse(8.1, Some(Amps(10.0))), None, "15 A would not protect the wire");
        assert_eq!(fuse(20.0, Some(Amps(30.0))), None, "none is large enough");
        assert_eq!(fuse(0.0, Some(Amps(0.5))), None, "none is small enough");
        assert_eq!(fuse(1.0, None), None, "nobody knows the wire");
        assert_eq!(limits.fused(Some(Amps(12.0))), Some(Amps(8.0)));
        assert_eq!(limits.fused(Some(Amps(0.5))), Some(Amps(0.0)));
        assert_eq!(limits.fused(None), None);
    }

    #[test]
    fn the_receiver_hangs_on_the_first_supply() {
        let limits = limits(&[10.0]);
        assert_eq!(limits.strips(0), Amps(47.7));
        assert_eq!(limits.strips(1), Amps(48.0));
    }
}
