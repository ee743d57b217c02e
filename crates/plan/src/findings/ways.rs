//! Ways out where a panel's copper is beyond a limit: fewer amps, more feeds, more volts. Each is tried
//! on the solved network before it is advised.

use glowloom_design::Wall;
use glowloom_design::wall::{Edge, Feed, Panel, Wire};
use glowloom_units::{Amps, Volts};

use super::words::{level_to_write, listed, names};
use crate::power::search::{Proposal, far_edge_as_well, feeds_with_wires, proposals};
use crate::power::{Limits, Network, Solver, Study, Tap, ceiling::ceiling};

/// How many pixels may be solved in all while feeds are searched for: a tenth of a second or so.
const PATIENCE: usize = 400_000;
/// Larger panels are not searched for feeds: each solve takes too long.
const MOST_SEARCHED: usize = 20_000;
/// Larger ones are not tried with other volts and edges either.
const MOST_PIXELS: usize = 60_000;
/// Of a supply's rated voltage, how far its output can be set (common practice, no source).
const TRIM: f64 = 1.10;
/// So many kinds of panel that are beyond a limit are looked at.
const MOST_KINDS: usize = 16;
/// A gain of the lowest voltage that is worth a wire.
const WORTH: Volts = Volts(0.05);

/// What would bring a wall within its limits at its `brightness_limit`.
pub(super) struct Ways {
    /// The highest `brightness_limit` that may be written; `None` where none above zero helps.
    pub level: Option<String>,
    /// The `trim_volts` that does it, and the lowest voltage then.
    pub trim: Option<Volts>,
    /// By kind of panel that is beyond a limit, where feeds can be found.
    pub feeds: Vec<FeedWay>,
    /// By kind of panel that is below `least_volts`, where the far edge helps.
    pub far: Vec<FarWay>,
}

/// Feeds that do.
pub(super) struct FeedWay {
    /// Those panels, rising.
    pub panels: Vec<usize>,
    /// With the wire that is there and with thicker ones, ever fewer feeds.
    pub proposals: Vec<Proposal>,
    /// How many feeds each has now.
    pub now: usize,
}

/// The same strips fed at their other edge as well.
pub(super) struct FarWay {
    /// Those panels, rising.
    pub panels: Vec<usize>,
    /// Lowest voltage now and then.
    pub volts: [Volts; 2],
    /// All feeds then.
    pub feeds: Vec<(u32, Edge)>,
}

impl Ways {
    /// `None` where every panel is within its limits.
    pub fn of(wall: &Wall, study: &Study) -> Option<Self> {
        let level = wall.power.brightness_limit;
        let beyond = |kind: &usize| study.ceilings[*kind].safe.brightness < level - 1e-9;
        if study.power.highest_safe_brightness >= level - 1e-9 {
            return None;
        }
        // Where it is the supply or the circuit alone, the copper needs no help.
        let copper = |kind: &usize| !holds(wall, study, &study.networks.all()[*kind]);
        let kinds: Vec<usize> =
            (0..study.ceilings.len()).filter(beyond).filter(copper).take(MOST_KINDS).collect();
        Some(Self {
            level: level_to_write(study.power.highest_safe_brightness),
            trim: trim(wall, study, &kinds),
            feeds: feeds(wall, study, &kinds),
            far: kinds.iter().filter_map(|kind| far(wall, study, *kind)).collect(),
        })
    }
}

/// Panels of a kind.
fn panels(study: &Study, kind: usize) -> Vec<usize> {
    study.networks.panels(kind).collect()
}

fn feeds(wall: &Wall, study: &Study, kinds: &[usize]) -> Vec<FeedWay> {
    let mut left = PATIENCE;
    let mut ways = Vec::new();
    for kind in kinds {
        let network = &study.networks.all()[*kind];
        let panel = &wall.panels[study.networks.first(*kind)];
        let solves = left / network.pixels().max(1);
        if network.pixels() > MOST_SEARCHED || solves == 0 {
            continue;
        }
        left -= (left / 2).min(solves * network.pixels());
        if let Some(proposals) = feeds_of(wall, study, network, panel, solves) {
            let now = panel.feeds.len();
            ways.push(FeedWay { panels: panels(study, *kind), proposals, now });
        }
    }
    ways
}

fn feeds_of(
    wall: &Wall,
    study: &Study,
    network: &Network,
    panel: &Panel,
    solves: usize,
) -> Option<Vec<Proposal>> {
    let wire = &panel.feeds.first()?.wire;
    let connection = wall.power.connection_ohms;
    let patience = u32::try_from(solves / 8).unwrap_or(u32::MAX);
    let brightness = wall.power.brightness_limit;
    let mut found =
        proposals(network, &study.limits, wire, connection, brightness, patience).ok()?;
    // The search looks at full white alone: its sets have to hold below it as well.
    found.retain(|proposal| {
        let tap = |(strip, edge): &(u32, Edge)| Tap::new(*strip, *edge, &proposal.wire, connection);
        holds(wall, study, &network.with_feeds(proposal.feeds.iter().map(tap).collect()))
    });
    found.truncate(2);
    (!found.is_empty()).then_some(found)
}

/// Whether every limit of a panel's copper holds at the wall's `brightness_limit`. What its supplies
/// may give is another matter, with ways out of its own.
fn holds(wall: &Wall, study: &Study, network: &Network) -> bool {
    let copper = Limits { supply: Amps(f64::INFINITY), ..study.limits.clone() };
    ceiling(&mut Solver::new(network), &copper)
        .is_ok_and(|found| found.safe.brightness >= wall.power.brightness_limit - 1e-9)
}

/// The least voltage, to the hundredth, with which all limits hold on every panel.
fn trim(wall: &Wall, study: &Study, kinds: &[usize]) -> Option<Volts> {
    let power = &wall.power;
    let networks = || kinds.iter().map(|kind| &study.networks.all()[*kind]);
    if networks().map(Network::pixels).sum::<usize>() > MOST_PIXELS {
        return None;
    }
    let hundredths = |volts: f64| (volts * 100.0 + 1e-9).floor();
    let most = hundredths(wall.strip.max_volts.0.min(power.supply.volts.0 * TRIM));
    let now = hundredths(power.trim_volts.0);
    let does =
        |at: f64| networks().all(|net| holds(wall, study, &net.with_trim(Volts(at / 100.0))));
    // A supply for other strip is to be changed, not trimmed.
    let other = power.supply.volts > wall.strip.max_volts;
    // What was not looked at all may need more.
    if other || kinds.len() == MOST_KINDS || kinds.is_empty() || most <= now || !does(most) {
        return None;
    }
    let (mut low, mut high) = (now, most);
    while high - low > 1.0 {
        let middle = ((low + high) / 2.0).floor();
        if does(middle) { high = middle } else { low = middle }
    }
    Some(Volts(high / 100.0))
}

fn far(wall: &Wall, study: &Study, kind: usize) -> Option<FarWay> {
    let panels = panels(study, kind);
    let first = *panels.first()?;
    let network = &study.networks.all()[kind];
    let below = study.power.panels[first].least_volts < wall.power.least_volts;
    if !below || network.pixels() > MOST_PIXELS || network.taps().is_empty() {
        return None;
    }
    let volts = far_edge_as_well(network, wall.power.brightness_limit).ok()?;
    let ends = wall.panels[first]
        .feeds
        .iter()
        .flat_map(|feed| [Edge::Near, Edge::Far].map(|edge| (feed.strip, edge)));
    let mut feeds: Vec<(u32, Edge)> = ends.collect();
    feeds.sort_unstable();
    feeds.dedup();
    (volts[1] > volts[0] + WORTH).then_some(FarWay { panels, volts, feeds })
}

impl Ways {
    /// What to change for the panels of these names, as a sentence: less light or more feeds; `more` are
    /// other ways.
    pub fn said(ways: Option<&Self>, wall: &Wall, concerned: &[&str], more: &[String]) -> String {
        let mut said = Vec::new();
        if let Some(level) = ways.and_then(|ways| ways.level.as_ref()) {
            said.push(format!("set brightness_limit = {level} in [power]"));
        }
        said.extend(ways.and_then(|ways| ways.feeds_for(wall, concerned)));
        said.extend(more.iter().cloned());
        if said.is_empty() {
            said.push(none(wall));
        }
        let mut text = said.join("; or ");
        if let Some(first) = text.get(..1) {
            let first = first.to_uppercase();
            text.replace_range(..1, &first);
        }
        text + "."
    }
}

/// Most kinds of panel whose feeds one remedy tells.
const MOST_TOLD: usize = 3;

impl Ways {
    /// New feeds for all of these panels at once. `None` where none were found for one of them, or
    /// where they are of too many kinds.
    fn feeds_for(&self, wall: &Wall, concerned: &[&str]) -> Option<String> {
        let names = |way: &FeedWay, name: &str| {
            way.panels.iter().any(|panel| wall.panels[*panel].name == name)
        };
        let ways: Vec<&FeedWay> =
            self.feeds.iter().filter(|way| concerned.iter().any(|name| names(way, name))).collect();
        let all = concerned.iter().all(|name| ways.iter().any(|way| names(way, name)));
        let proposals: Vec<&Proposal> =
            ways.iter().filter_map(|way| way.proposals.first()).collect();
        proposals.first()?;
        if !all || ways.len() > MOST_TOLD {
            return None;
        }
        let each = ways.iter().zip(&proposals).map(|(way, proposal)| way.text(wall, proposal));
        let each: Vec<String> = each.collect();
        Some(listed(&each.iter().map(String::as_str).collect::<Vec<_>>(), "and"))
    }
}

/// Where no way was found.
fn none(wall: &Wall) -> String {
    let (least, trim) = (wall.power.least_volts, wall.power.trim_volts);
    if least >= trim {
        let less = (trim.0 * 8.0).floor() / 10.0;
        return format!(
            "no pixel can have the {least} that are wanted of supplies set to {trim}: set least_volts = \
             {less} in [power] before anything else"
        );
    }
    "no brightness_limit keeps to all limits, and no set of feeds was found that does: use more \
     supplies_per_panel, shorter strips or thicker wires in [power]"
        .into()
}

impl FeedWay {
    /// What to write for one of its proposals, and where.
    pub fn text(&self, wall: &Wall, proposal: &Proposal) -> String {
        let (feeds, wire) = (proposal.feeds_text(), proposal.wire_text());
        match entries(wall, &self.panels) {
            None => format!("set {feeds} and {wire} in [power]"),
            // The wire of other panels is theirs to choose.
            Some(entries) => format!("set {feeds} and {wire} in {entries}"),
        }
    }
}

impl FarWay {
    /// What to write, and where.
    pub fn text(&self, wall: &Wall) -> String {
        let place = entries(wall, &self.panels).unwrap_or_else(|| "[power]".into());
        let wire = |(strip, edge): &(u32, Edge)| {
            let here = |other: &&Feed| other.strip == *strip;
            let own = self.now(wall).iter().filter(here).find(|other| other.edge == *edge);
            let like = own.or_else(|| self.now(wall).iter().find(here))?;
            (Some(&like.wire) != self.default(wall)).then_some(&like.wire)
        };
        let feeds = self.feeds.iter().map(|feed| (feed.0, feed.1, wire(feed)));
        format!("set {} in {place}", feeds_with_wires(feeds))
    }

    fn default<'w>(&self, wall: &'w Wall) -> Option<&'w Wire> {
        self.panels.first().map(|panel| &wall.panels[*panel].feed_wire)
    }

    /// The feeds that those panels have.
    fn now<'w>(&self, wall: &'w Wall) -> &'w [Feed] {
        self.panels.first().map_or(&[], |panel| &wall.panels[*panel].feeds)
    }
}

/// The entries of panels that need feeds of their own; `None` where `[power]` speaks for all.
fn entries(wall: &Wall, panels: &[usize]) -> Option<String> {
    let own = |panel: &usize| {
        ["feeds", "feed_wire"].iter().any(|key| {
            let path = format!("panels.{}.{key}", wall.panels[*panel].number);
            wall.place(&[&path]).line > 1
        })
    };
    if panels.len() == wall.panels.len() && !panels.iter().any(own) {
        return None;
    }
    let called: Vec<&str> = panels.iter().map(|panel| wall.panels[*panel].name.as_str()).collect();
    let entries = if called.len() == 1 { "entry" } else { "entries" };
    Some(format!("the [[panels]] {entries} of {}", names(&called)))
}
