//! What stands on labels: for panels, receivers, strips and both ends of data leads and feeds, each with the address of
//! its panel's section in the book's page. Sheets of the book hold them, and a list.

use glowloom_design::Wall;
use glowloom_design::wall::{Address, Edge, Panel};
use glowloom_plan::Plan;
use glowloom_plan::material::wire::WireSize;
use glowloom_plan::meter::Spot;
use glowloom_plan::path::PanelPath;
use glowloom_plan::power::figures::edge_key;
use glowloom_plan::power::measure::Place;

use crate::anchor::address;

/// What a label sticks to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)] // the thing is the name
pub enum Thing {
    Panel,
    Receiver,
    Strip,
    Lead,
    Feed,
}

impl Thing {
    /// As lists have it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Panel => "panel",
            Self::Receiver => "receiver",
            Self::Strip => "strip",
            Self::Lead => "lead",
            Self::Feed => "feed",
        }
    }
}

/// One label.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// What it sticks to.
    pub thing: Thing,
    /// What it is for, short enough for any label: `strip 12`.
    pub title: String,
    /// The panel, counted from 1 in the order of the file.
    pub number: usize,
    /// The panel's name, of any length.
    pub panel: String,
    /// What to know where it sticks, most important first.
    pub lines: [String; 2],
    /// What its code opens.
    pub address: String,
}

/// Every label of a wall, panel by panel: the panel's, its receiver's, its strips', both ends of its
/// data leads and of its feeds.
#[must_use]
pub fn labels(wall: &Wall, plan: &Plan) -> Vec<Label> {
    wall.panels
        .iter()
        .enumerate()
        .flat_map(|(number, panel)| of_panel(wall, plan, number, panel))
        .collect()
}

fn of_panel(wall: &Wall, plan: &Plan, number: usize, panel: &Panel) -> Vec<Label> {
    let address = address(wall, number);
    let label = |thing: Thing, title: String, lines: [String; 2]| Label {
        thing,
        title,
        number: number + 1,
        panel: panel.name.clone(),
        lines,
        address: address.clone(),
    };
    let (columns, rows) = panel.hung();
    let mut labels = vec![
        label(
            Thing::Panel,
            "panel".into(),
            [format!("{columns} x {rows} pixels"), wall.name.clone()],
        ),
        label(Thing::Receiver, "receiver".into(), receiver(panel)),
    ];
    for run in PanelPath::of(panel).lines().flat_map(|line| line.runs()) {
        let strip = run.first.strip;
        let edge = if run.starts_near { Edge::Near } else { Edge::Far };
        let spot = Spot::of(panel, Place::Pad { strip, edge });
        // Front first: it is laid from there.
        let (which, end) = spot.front.split_once(", ").unwrap_or((&spot.front, ""));
        labels.push(label(
            Thing::Strip,
            format!("strip {strip}"),
            [
                format!("{} px, data in {end}", panel.strip_pixels()),
                format!("front: {}", which.replacen(" strip", "", 1)),
            ],
        ));
    }
    for line in PanelPath::of(panel).lines() {
        let Some(run) = line.runs().next() else { continue };
        let edge = if run.starts_near { Edge::Near } else { Edge::Far };
        for end in ["receiver end", "strip end"] {
            labels.push(label(
                Thing::Lead,
                format!("D{} data lead", line.number),
                [
                    format!("{end}, to strip {}", run.first.strip),
                    format!("{} edge, data and minus", edge_key(edge)),
                ],
            ));
        }
    }
    let power = plan.power.panels.iter().find(|power| power.name == panel.name);
    for (which, feed) in panel.feeds.iter().enumerate() {
        let fuse = power.and_then(|power| power.feeds.get(which)).and_then(|feed| feed.fuse_amps);
        let fuse = fuse.map_or("no fuse fits".to_owned(), |fuse| format!("fuse {} A", fuse.0));
        let size = WireSize::of(&feed.wire);
        for end in ["supply end", "strip end"] {
            labels.push(label(
                Thing::Feed,
                format!("F{} feed {} {}", which + 1, feed.strip, edge_key(feed.edge)),
                [format!("{end}, {fuse}"), format!("{size}, from supply {}", feed.supply)],
            ));
        }
    }
    labels
}

fn receiver(panel: &Panel) -> [String; 2] {
    let place = match &panel.address {
        Address::Virtual { .. } => "no address yet".to_owned(),
        Address::Host { host, port } => format!("{host}, port {port}"),
    };
    let last = panel.universes_end.saturating_sub(1);
    let universes = match (u32::from(panel.first_universe), last) {
        (first, last) if last <= first => format!("universe {first}"),
        (first, last) => format!("universes {first} to {last}"),
    };
    [place, universes]
}
