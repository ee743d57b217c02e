//! Feed wires, fuses, jumpers and the strip's own copper against what they carry.

use glowloom_design::Wall;
use glowloom_design::wall::Panel;
use glowloom_units::{Amps, Ohms, Watts};

use super::tried::Trial;
use super::ways::Ways;
use super::words::names;
use super::{key_place, panel_place};
use crate::finding::{Code, Finding};
use crate::power::figures::edge_key;
use crate::power::{FeedPower, Network, PanelPower, Power, Sinks, Solver, Study, Tap};

/// Stands for what a feed may carry where no fuse protects its wire, so that it sorts as the worst.
const NO_FUSE: Amps = Amps(1e-3);
/// Heat in one joint that is worth a word (common practice, no source).
const WARM_JOINT: Watts = Watts(0.5);
/// Panels up to this many pixels are solved again with one fuse open.
const MOST_PIXELS: usize = 20_000;
/// So many pixels are solved again in all.
const PATIENCE: usize = 600_000;
/// So many of a panel's feeds are opened, those that carry most.
const MOST_OPENED: usize = 8;

/// All of it.
pub(super) fn copper(
    wall: &Wall,
    power: &Power,
    study: &Study,
    ways: Option<&Ways>,
) -> Vec<Finding> {
    let mut all = Vec::new();
    all.extend(wires(wall, power, ways));
    all.extend(fuses(wall, power, study, ways));
    all.extend(jumpers(wall, power, study, ways));
    all.extend(rails(wall, power, ways));
    all.extend(unknown(wall));
    all.extend(behind_fuses(wall, power));
    all.extend(joints(wall, power));
    all.extend(followers(wall, power, study));
    all
}

/// What a panel has too much of, and how far that is beyond its limit.
struct Over<'w> {
    panel: &'w str,
    at: String,
    amps: Amps,
    limit: Amps,
}

/// The worst of each panel, the worst panel first.
fn worst<'w>(
    power: &'w Power,
    of: impl Fn(usize, &'w PanelPower) -> Option<Over<'w>>,
) -> Vec<Over<'w>> {
    let mut all: Vec<Over> =
        power.panels.iter().enumerate().filter_map(|(i, panel)| of(i, panel)).collect();
    all.sort_by(|a, b| (b.amps / b.limit).total_cmp(&(a.amps / a.limit)));
    all
}

/// More than a limit by more than rounding.
fn beyond(amps: Amps, limit: Amps) -> bool {
    amps.0 > limit.0 * (1.0 + 1e-9)
}

/// Names of the panels.
fn concerned<'w>(over: &[Over<'w>]) -> Vec<&'w str> {
    over.iter().map(|over| over.panel).collect()
}

fn called(over: &[Over]) -> String {
    names(&concerned(over))
}

/// A feed's place: `strip 8, near edge, of west`.
fn feed_at(feed: &FeedPower, panel: &str) -> String {
    format!("strip {}, {} edge, of {panel}", feed.strip, edge_key(feed.edge))
}

fn carried(feed: &FeedPower) -> Amps {
    feed.amps.max(feed.minus_amps)
}

/// `At full white under a brightness limit of 0.6`
fn lit(wall: &Wall) -> String {
    format!("At full white under a brightness limit of {}", wall.power.brightness_limit)
}

fn wires(wall: &Wall, power: &Power, ways: Option<&Ways>) -> Option<Finding> {
    let over = worst(power, |_, panel| {
        let feeds = panel.feeds.iter().filter_map(|feed| Some((feed, feed.wire_ampacity?)));
        let most = feeds
            .filter(|(feed, limit)| beyond(carried(feed), *limit))
            .max_by(|a, b| (carried(a.0) / a.1).total_cmp(&(carried(b.0) / b.1)))?;
        let (feed, limit) = most;
        let at = feed_at(feed, &panel.name);
        Some(Over { panel: &panel.name, at, amps: carried(feed), limit })
    });
    let first = over.first()?;
    Some(Finding::new(
        Code::FeedWireOverloaded,
        key_place(wall, "power", "feed_wire"),
        format!("feed wires carry more than they may on {}", called(&over)),
        format!(
            "{} the feed at {} carries {}; its wire may carry {} all day (the table's limit unless the \
             file gives one; local codes rule): it overheats",
            lit(wall),
            first.at,
            first.amps,
            first.limit
        ),
        Ways::said(ways, wall, &concerned(&over), &[]),
    ))
}

fn fuses(wall: &Wall, power: &Power, study: &Study, ways: Option<&Ways>) -> Option<Finding> {
    let over = worst(power, |_, panel| {
        let feeds = panel.feeds.iter().filter_map(|feed| Some((feed, feed.wire_ampacity?)));
        // A wire that is overloaded itself has its own finding.
        let unfused =
            feeds.filter(|(feed, wire)| feed.fuse_amps.is_none() && !beyond(carried(feed), *wire));
        let (feed, wire) =
            unfused.max_by(|a, b| (carried(a.0) / a.1).total_cmp(&(carried(b.0) / b.1)))?;
        let fused = study.limits.fused(Some(wire)).unwrap_or_default();
        let at = feed_at(feed, &panel.name);
        Some(Over { panel: &panel.name, at, amps: carried(feed), limit: fused.max(NO_FUSE) })
    });
    let first = over.first()?;
    let what = if study.limits.fuses.is_empty() {
        "[power] fuses names none at all".to_owned()
    } else if first.limit <= NO_FUSE {
        "the smallest of [power] fuses is larger than its wire may carry".to_owned()
    } else {
        format!(
            "the largest of [power] fuses that protects its wire may be loaded with {} all day \
             (fuse_load = {}, common practice, no source)",
            first.limit, wall.power.fuse_load
        )
    };
    Some(Finding::new(
        Code::NoFuseFits,
        key_place(wall, "power", "feed_wire"),
        format!("no fuse both carries the current and protects the wire on {}", called(&over)),
        format!("{} the feed at {} carries {}; {what}", lit(wall), first.at, first.amps),
        Ways::said(ways, wall, &concerned(&over), &[]),
    ))
}

fn jumpers(wall: &Wall, power: &Power, study: &Study, ways: Option<&Ways>) -> Option<Finding> {
    let limit = wall.power.jumper_wire.amps?;
    let over = worst(power, |_, panel| {
        let most = panel.worst_jumper.filter(|most| beyond(most.amps, limit))?;
        let at = format!("strips {} and {} of {}", most.strip, most.strip + 1, panel.name);
        Some(Over { panel: &panel.name, at, amps: most.amps, limit })
    });
    let first = over.first()?;
    Some(Finding::new(
        Code::JumperOverloaded,
        key_place(wall, "power", "jumper_wire"),
        format!("jumpers carry more than they may on {}", called(&over)),
        format!(
            "{} {} flow through the jumper between {}; its wire may carry {}: it overheats",
            lit(wall),
            first.amps,
            first.at,
            first.limit
        ),
        Ways::said(ways, wall, &concerned(&over), &thicker_jumper(Trial { wall, study })),
    ))
}

/// The thinnest size of the jumpers' own system with which they carry what flows then, and nothing else is
/// overloaded.
fn thicker_jumper(trial: Trial) -> Vec<String> {
    let wire = &trial.wall.power.jumper_wire;
    let sizes = crate::power::search::thicker_wires(wire).into_iter().skip(1);
    let enough = sizes.filter(|size| size.amps.is_some()).find(|size| trial.jumper(size));
    let text = enough.and_then(|size| {
        let gauge = size.gauge?;
        let length = (wire.length.0 * 1e6).round() / 1e3;
        Some(format!(
            "set jumper_wire = {{ gauge = \"{gauge}\", length = \"{length} mm\" }} in [power]"
        ))
    });
    text.into_iter().collect()
}

fn rails(wall: &Wall, power: &Power, ways: Option<&Ways>) -> Option<Finding> {
    let limit = wall.strip.rail_amps;
    let over = worst(power, |_, panel| {
        let most = panel.worst_rail.filter(|most| beyond(most.amps, limit))?;
        let at = format!("strip {} of {}", most.strip, panel.name);
        Some(Over { panel: &panel.name, at, amps: most.amps, limit })
    });
    let first = over.first()?;
    Some(Finding::new(
        Code::RailOverloaded,
        wall.place(&["strip.rail_amps", "power.feeds", "power", "strip"]),
        format!("the strip's own copper carries more than it may on {}", called(&over)),
        format!(
            "{} {} flow along {}; rail_amps is {} (an assumption unless you measured it: the strip's maker \
             seldom says): it gets warm and ages",
            lit(wall),
            first.amps,
            first.at,
            first.limit
        ),
        Ways::said(ways, wall, &concerned(&over), &[]),
    ))
}

/// Wires of which nobody knows what they may carry.
fn unknown(wall: &Wall) -> Option<Finding> {
    let feeds: Vec<&Panel> = wall
        .panels
        .iter()
        .filter(|panel| panel.feeds.iter().any(|feed| feed.wire.amps.is_none()))
        .collect();
    let jumper = wall.power.jumper_wire.amps.is_none();
    let called: Vec<&str> = feeds.iter().map(|panel| panel.name.as_str()).collect();
    let (key, what) = match (feeds.is_empty(), jumper) {
        (true, false) => return None,
        (true, true) => ("jumper_wire", "the jumpers".to_owned()),
        (false, false) => ("feed_wire", format!("the feeds of {}", names(&called))),
        (false, true) => ("feed_wire", format!("the jumpers and the feeds of {}", names(&called))),
    };
    let place = match feeds.first() {
        Some(panel) if wall.place(&["power.feed_wire"]).line <= 1 => {
            panel_place(wall, panel, "feeds")
        }
        _ => key_place(wall, "power", key),
    };
    Some(Finding::new(
        Code::WireLimitUnknown,
        place,
        format!("nobody says what the wire of {what} may carry"),
        "Neither the file nor a table has its limit, so it can be held to none and no fuse can be \
         chosen for it"
            .into(),
        "Write amps beside its ohms_per_metre, as in { ohms_per_metre = 0.01, amps = 5, length = \"1 m\" }: \
         what it may carry all day, from its data sheet and your local code."
            .into(),
    ))
}

/// What of the copper behind the feeds carries least, and how much that is.
fn thinnest(wall: &Wall, power: &Power) -> (&'static str, Amps) {
    let rail = ("the strip's own copper", wall.strip.rail_amps);
    let jumper = wall.power.jumper_wire.amps.map(|amps| ("the jumpers", amps));
    let crossed = power.panels.iter().any(|panel| panel.worst_jumper.is_some());
    match jumper.filter(|_| crossed) {
        Some(jumper) if jumper.1 < rail.1 => jumper,
        _ => rail,
    }
}

/// Fuses that let more through than the jumpers or the rails behind them may carry.
fn behind_fuses(wall: &Wall, power: &Power) -> Option<Finding> {
    let thin = thinnest(wall, power);
    let fuses =
        |panel: &PanelPower| panel.feeds.iter().filter_map(|feed| feed.fuse_amps).reduce(Amps::max);
    let above: Vec<(&str, Amps)> = power
        .panels
        .iter()
        .filter_map(|panel| Some((panel.name.as_str(), fuses(panel)?)))
        .filter(|(_, fuse)| beyond(*fuse, thin.1))
        .collect();
    let (_, fuse) = *above.iter().max_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    let called: Vec<&str> = above.iter().map(|(panel, _)| *panel).collect();
    Some(Finding::new(
        Code::FuseAboveCopper,
        key_place(wall, "power", "feed_wire"),
        format!("fuses protect the feed wires, not {}, on {}", thin.0, names(&called)),
        format!(
            "A short far along a strip can draw up to the fuse's {fuse} and more for a while; {} may \
             carry {}",
            thin.0, thin.1
        ),
        format!(
            "Give more feeds with smaller fuses (up to {}), or see that nothing can short the rails: \
             insulate every joint, and fit strain relief.",
            wall.power.fuses.iter().copied().rfind(|fuse| *fuse <= thin.1).unwrap_or(thin.1)
        ),
    ))
}

/// Joints that get warm: the square of the current times what one connection has.
fn joints(wall: &Wall, power: &Power) -> Option<Finding> {
    let ohms = wall.power.connection_ohms;
    let heat = |amps: Amps| Watts(amps.0 * amps.0 * ohms.0);
    let most = |panel: &PanelPower| {
        let feeds = panel.feeds.iter().map(carried);
        feeds.chain(panel.worst_jumper.map(|most| most.amps)).reduce(Amps::max)
    };
    let warm: Vec<(&str, Amps)> = power
        .panels
        .iter()
        .filter_map(|panel| Some((panel.name.as_str(), most(panel)?)))
        .filter(|(_, amps)| heat(*amps) > WARM_JOINT)
        .collect();
    let (_, amps) = *warm.iter().max_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    let called: Vec<&str> = warm.iter().map(|(panel, _)| *panel).collect();
    Some(Finding::new(
        Code::WarmJoints,
        key_place(wall, "power", "connection_ohms"),
        format!("joints and terminals get warm on {}", names(&called)),
        format!(
            "{} {amps} through a connection of {} make {} of heat in it; above {WARM_JOINT} a screw \
             loosens and solder creeps in time (common practice, no source)",
            lit(wall),
            shown(ohms),
            heat(amps)
        ),
        "Solder or crimp instead of clamping bare strands, use larger terminals and set connection_ohms \
         to what you measure; or share the current among more feeds."
            .into(),
    ))
}

/// `2 milliohms`
fn shown(ohms: Ohms) -> String {
    format!("{} milliohms", (ohms.0 * 1e6).round() / 1e3)
}

/// Feeds whose fuses open one after the other once the first has.
fn followers(wall: &Wall, power: &Power, study: &Study) -> Option<Finding> {
    let mut found: Vec<(&str, Follows)> = Vec::new();
    let mut left = PATIENCE;
    for (kind, network) in study.networks.all().iter().enumerate() {
        let takes = network.pixels() * network.taps().len().min(MOST_OPENED);
        if network.pixels() > MOST_PIXELS || takes > left {
            continue;
        }
        left -= takes;
        let Some(panel) = power.panels.get(study.networks.first(kind)) else { continue };
        if let Some(follows) = follows(wall, panel, network) {
            let called = study.networks.panels(kind).filter_map(|i| power.panels.get(i));
            found.extend(called.map(|panel| (panel.name.as_str(), follows)));
        }
    }
    let (first, worst) =
        *found.iter().max_by(|a, b| (a.1.amps / a.1.fuse).total_cmp(&(b.1.amps / b.1.fuse)))?;
    let panel = power.panels.iter().find(|panel| panel.name == first)?;
    let called: Vec<&str> = found.iter().map(|(panel, _)| *panel).collect();
    let (opened, feed) = (panel.feeds.get(worst.opened)?, panel.feeds.get(worst.feed)?);
    // A larger one is no help where the copper behind it is the thinner.
    let protected = feed.wire_ampacity.map(|wire| wire.min(thinnest(wall, power).1));
    let larger = study.limits.fuse(worst.amps * study.limits.fuse_load, protected);
    let larger = match larger {
        Some(fuse) => {
            format!("fit {fuse} fuses there, which still protect the wire and the strip, or ")
        }
        None => String::new(),
    };
    Some(Finding::new(
        Code::FusesFollow,
        key_place(wall, "power", "feeds"),
        format!("when one fuse opens others may follow on {}", names(&called)),
        format!(
            "{} and with the fuse of the feed at {} open, the feed at {} carries {}; its fuse is {}",
            lit(wall),
            feed_at(opened, first),
            feed_at(feed, first),
            worst.amps,
            worst.fuse
        ),
        format!(
            "To stop that, {larger}give more feeds, so that each fuse has room for its neighbour's share. \
             After a blown fuse look for its cause before you fit another."
        ),
    ))
}

/// With the fuse of one feed open, another that carries more than its own lets through.
#[derive(Clone, Copy)]
struct Follows {
    opened: usize,
    feed: usize,
    amps: Amps,
    fuse: Amps,
}

fn follows(wall: &Wall, panel: &PanelPower, network: &Network) -> Option<Follows> {
    let fuses: Vec<Amps> = panel.feeds.iter().map(|feed| feed.fuse_amps).collect::<Option<_>>()?;
    let mut order: Vec<usize> = (0..panel.feeds.len()).collect();
    order.sort_by(|a, b| panel.feeds[*b].amps.0.total_cmp(&panel.feeds[*a].amps.0));
    let mut worst: Option<Follows> = None;
    for opened in order.into_iter().take(MOST_OPENED) {
        let others: Vec<usize> = (0..panel.feeds.len()).filter(|i| *i != opened).collect();
        let taps: Vec<Tap> =
            others.iter().filter_map(|i| network.taps().get(*i)).copied().collect();
        let without = network.with_feeds(taps);
        let white = Sinks::white(network.law(), wall.power.brightness_limit);
        let solution = Solver::new(&without).solve(&white).ok()?;
        for (feed, flow) in others.into_iter().zip(solution.feeds()) {
            let found = Follows { opened, feed, amps: flow.plus, fuse: fuses[feed] };
            let share = |of: &Follows| of.amps / of.fuse;
            let more = worst.as_ref().is_none_or(|worst| share(&found) > share(worst) + 1e-9);
            if beyond(found.amps, found.fuse) && more {
                worst = Some(found);
            }
        }
    }
    worst
}
