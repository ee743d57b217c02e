//! Changes of a wall, tried on its network before they are advised: a remedy must not bring a trouble that
//! was not there.

use std::collections::BTreeSet;

use glowloom_design::Wall;
use glowloom_design::wall::{Edge, Panel, Wire};

use super::ways::FeedWay;
use crate::power::ceiling::broken;
use crate::power::search::{even_strips, proposals};
use crate::power::{Binding, Limits, Network, Solver, Study, Tap};

/// Changes of larger panels, or of more kinds of panel, are not tried, and so not advised.
const MOST_PIXELS: usize = 20_000;
const MOST_KINDS: usize = 8;
/// How many solves a search for feeds may take.
const PATIENCE: u32 = 60;

/// What a change does to the copper.
pub(super) enum Outcome {
    /// Nothing that was not there.
    Keeps,
    /// That, if these feeds go with it: what to write, and where.
    WithFeeds(String),
    /// A new trouble, or too large to try.
    No,
}

/// A wall on which changes are tried.
#[derive(Clone, Copy)]
pub(super) struct Trial<'w> {
    pub wall: &'w Wall,
    pub study: &'w Study,
}

impl Trial<'_> {
    /// More data lines on these panels: between two lines no power crosses.
    pub fn lines(&self, panels: &[usize], lines: u32) -> Outcome {
        self.change(panels, |panel| {
            Network::of(self.wall, &Panel { data_lines: lines, ..panel.clone() })
        })
    }

    /// More supplies on every panel: between two zones no plus crosses. Feeds that lie as `feeds = n` has
    /// them are shared out anew.
    pub fn supplies(&self, supplies: u32) -> Outcome {
        let power = &self.wall.power;
        let all: Vec<usize> = (0..self.wall.panels.len()).collect();
        self.change(&all, |panel| {
            let mut panel = panel.clone();
            spread_anew(&mut panel, power.supplies_per_panel, supplies);
            Network::with(self.wall, &panel, supplies, &power.jumper_wire)
        })
    }

    /// Whether another wire for all jumpers ends their overload, and brings nothing new.
    pub fn jumper(&self, wire: &Wire) -> bool {
        let limits = Limits { jumper: wire.amps, ..self.study.limits.clone() };
        let all: Vec<usize> = (0..self.wall.panels.len()).collect();
        let supplies = self.wall.power.supplies_per_panel;
        self.kinds(&all).is_some_and(|kinds| {
            kinds.iter().all(|panel| {
                let now = self.troubles(self.network(*panel), &self.study.limits);
                let then = Network::with(self.wall, &self.wall.panels[*panel], supplies, wire);
                let then = self.troubles(&then, &limits);
                now.zip(then).is_some_and(|(now, then)| {
                    !then.contains(&Binding::Jumper) && then.iter().all(|by| now.contains(by))
                })
            })
        })
    }

    fn change(&self, panels: &[usize], changed: impl Fn(&Panel) -> Network) -> Outcome {
        let Some(kinds) = self.kinds(panels) else { return Outcome::No };
        let mut worse = None;
        for panel in kinds {
            let now = self.network(panel);
            let then = changed(&self.wall.panels[panel]);
            let limits = &self.study.limits;
            let (Some(before), Some(after)) =
                (self.troubles(now, limits), self.troubles(&then, limits))
            else {
                return Outcome::No;
            };
            let darker = then.dead_strips().count() > now.dead_strips().count();
            if darker || after.iter().any(|by| !before.contains(by)) {
                // Feeds for two kinds at once are more than a sentence holds.
                if worse.replace((panel, then)).is_some() {
                    return Outcome::No;
                }
            }
        }
        match worse {
            None => Outcome::Keeps,
            Some((panel, network)) => self.with_feeds(panels, panel, &network),
        }
    }

    /// Feeds that keep the changed copper within its limits.
    fn with_feeds(&self, panels: &[usize], panel: usize, network: &Network) -> Outcome {
        let (wall, limits) = (self.wall, &self.study.limits);
        let Some(feed) = wall.panels[panel].feeds.first() else { return Outcome::No };
        let connection = wall.power.connection_ohms;
        let brightness = wall.power.brightness_limit;
        let found = proposals(network, limits, &feed.wire, connection, brightness, PATIENCE);
        let holds = |feeds: &[(u32, Edge)], wire: &Wire| {
            let tap = |(strip, edge): &(u32, Edge)| Tap::new(*strip, *edge, wire, connection);
            let fed = network.with_feeds(feeds.iter().map(tap).collect());
            self.troubles(&fed, limits).is_some_and(|troubles| troubles.is_empty())
        };
        let mut found = found.unwrap_or_default();
        found.retain(|proposal| holds(&proposal.feeds, &proposal.wire));
        let Some(first) = found.first().cloned() else { return Outcome::No };
        let kind = self.study.networks.kind(panel);
        let alike = panels.iter().copied().filter(|i| self.study.networks.kind(*i) == kind);
        let way = FeedWay {
            panels: alike.collect(),
            proposals: found,
            now: wall.panels[panel].feeds.len(),
        };
        Outcome::WithFeeds(way.text(wall, &first))
    }

    /// One panel of each kind; `None` where there are too many, or too large ones.
    fn kinds(&self, panels: &[usize]) -> Option<Vec<usize>> {
        let networks = &self.study.networks;
        let mut seen = BTreeSet::new();
        let first: Vec<usize> =
            panels.iter().copied().filter(|panel| seen.insert(networks.kind(*panel))).collect();
        let small = first.iter().all(|panel| self.network(*panel).pixels() <= MOST_PIXELS);
        (small && first.len() <= MOST_KINDS).then_some(first)
    }

    fn network(&self, panel: usize) -> &Network {
        &self.study.networks.all()[self.study.networks.kind(panel)]
    }

    /// Limits of the copper that are passed; what supplies may give is another matter.
    fn troubles(&self, network: &Network, limits: &Limits) -> Option<Vec<Binding>> {
        let level = self.wall.power.brightness_limit;
        let mut passed = broken(&mut Solver::new(network), limits, level).ok()?;
        passed.retain(|by| *by != Binding::Supply);
        Some(passed)
    }
}

/// Feeds where `feeds = n` puts them among so many supplies, if that is where they lie now.
fn spread_anew(panel: &mut Panel, now: u32, then: u32) {
    let (strips, feeds) = (panel.strip_count(), panel.feeds.len());
    let Ok(count) = u32::try_from(feeds) else { return };
    let lie = panel.feeds.iter().map(|feed| feed.strip);
    let near = panel.feeds.iter().all(|feed| feed.edge == Edge::Near);
    if !near || count > strips || !lie.eq(even_strips(strips, now, count)) {
        return;
    }
    for (feed, strip) in panel.feeds.iter_mut().zip(even_strips(strips, then, count)) {
        feed.strip = strip;
    }
}
