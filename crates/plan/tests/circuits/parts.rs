//! A panel as a list of resistors, read from the wall file by the manual's rules and nothing else. It
//! shares no code with the solver: a node is named by its strip and its place on the strip.

use std::collections::{BTreeMap, BTreeSet};

use glowloom_design::Wall;
use glowloom_design::wall::{Edge, Jumpers, Panel, Path as PanelPath, Wire};

/// What a rail's resistance is: no less than a micro-ohm.
pub fn ohms(x: f64) -> f64 {
    x.max(1e-6)
}

/// In parts, the first taking the odd ones: the part of each thing.
fn parts(things: u32, parts: u32) -> Vec<u32> {
    let mut of = Vec::new();
    for part in 0..parts {
        let share = things / parts + u32::from(part < things % parts);
        of.extend(std::iter::repeat_n(part, share as usize));
    }
    of
}

/// A place on a strip: the pad where data comes in, a pixel, the pad where it goes out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    In,
    Pixel(u32),
    Out,
}

/// Strip from 0, and place.
pub type Node = (u32, Place);

/// Everything that is joined to one of `from` by `edges`.
fn reached(from: &[Node], edges: &[(Node, Node)]) -> BTreeSet<Node> {
    let mut next: BTreeMap<Node, Vec<Node>> = BTreeMap::new();
    for (a, b) in edges {
        next.entry(*a).or_default().push(*b);
        next.entry(*b).or_default().push(*a);
    }
    let mut seen: BTreeSet<Node> = from.iter().copied().collect();
    let mut open: Vec<Node> = from.to_vec();
    while let Some(node) = open.pop() {
        for other in next.get(&node).into_iter().flatten() {
            if seen.insert(*other) {
                open.push(*other);
            }
        }
    }
    seen
}

fn conductor(wire: &Wire, length: f64, connection: f64) -> f64 {
    ohms(wire.ohms_per_metre.0 * length + 2.0 * connection)
}

/// The copper of a panel.
pub struct Parts {
    /// From, to, ohms; all of them, dead or not.
    pub plus: Vec<(Node, Node, f64)>,
    pub minus: Vec<(Node, Node, f64)>,
    /// Pad, supply from 0, ohms of each conductor.
    pub feeds: Vec<(Node, u32, f64)>,
    /// What a feed reaches along plus, and along minus.
    pub hot: BTreeSet<Node>,
    pub cold: BTreeSet<Node>,
}

/// The parts of a panel.
pub fn parts_of(wall: &Wall, panel: &Panel) -> Parts {
    let (strips, pixels) = (panel.strip_count(), panel.strip_pixels());
    let line_of = parts(strips, panel.data_lines);
    let zone_of = parts(strips, wall.power.supplies_per_panel);
    let along = |strip: u32| {
        let mut nodes = vec![(strip, Place::In)];
        nodes.extend((0..pixels).map(|i| (strip, Place::Pixel(i))));
        nodes.push((strip, Place::Out));
        nodes
    };
    // Does data enter at the near edge?
    let enters_near = |strip: u32| {
        let line = line_of[strip as usize];
        let first = line_of.iter().position(|l| *l == line).unwrap();
        panel.path == PanelPath::Progressive || (strip as usize - first).is_multiple_of(2)
    };

    let pitch = 1.0 / wall.strip.pixels_per_metre.0;
    let step = wall.strip.rail_ohms_per_metre.0 * pitch;
    let connection = wall.power.connection_ohms.0;
    let run = if panel.path == PanelPath::Progressive { f64::from(pixels) * pitch } else { 0.0 };
    let jumper =
        conductor(&wall.power.jumper_wire, wall.power.jumper_wire.length.0 + run, connection);

    // Rails and joints: from, to, ohms.
    let mut plus: Vec<(Node, Node, f64)> = Vec::new();
    let mut minus = Vec::new();
    for strip in 0..strips {
        for pair in along(strip).windows(2) {
            let at_end = !matches!((pair[0].1, pair[1].1), (Place::Pixel(_), Place::Pixel(_)));
            let part = (pair[0], pair[1], ohms(if at_end { step / 2.0 } else { step }));
            plus.push(part);
            minus.push(part);
        }
        let next = strip + 1;
        if next < strips
            && line_of[strip as usize] == line_of[next as usize]
            && panel.jumpers == Jumpers::PowerAndData
        {
            let part = ((strip, Place::Out), (next, Place::In), jumper);
            minus.push(part);
            if zone_of[strip as usize] == zone_of[next as usize] {
                plus.push(part);
            }
        }
    }
    // Feeds: pad, supply, ohms.
    let feeds: Vec<(Node, u32, f64)> = panel
        .feeds
        .iter()
        .map(|feed| {
            let strip = feed.strip - 1;
            let at_in = (feed.edge == Edge::Near) == enters_near(strip);
            let pad = (strip, if at_in { Place::In } else { Place::Out });
            (pad, zone_of[strip as usize], conductor(&feed.wire, feed.wire.length.0, connection))
        })
        .collect();
    let fed: Vec<Node> = feeds.iter().map(|feed| feed.0).collect();
    let ends = |parts: &[(Node, Node, f64)]| parts.iter().map(|p| (p.0, p.1)).collect::<Vec<_>>();
    let (hot, cold) = (reached(&fed, &ends(&plus)), reached(&fed, &ends(&minus)));
    Parts { plus, minus, feeds, hot, cold }
}
