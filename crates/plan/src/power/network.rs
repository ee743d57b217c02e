//! The copper of one panel as resistors: both rails of every strip, the jumpers between strips,
//! both conductors of every feed, and what the supplies have inside.
//!
//! A strip is cut midway between pixels. Each of its rails has a node for its start pad, one for
//! each pixel and one for its end pad; between them lie half a step, whole steps, half a step.
//! A jumper joins the end pad of a strip to the start pad of the next one of the same data line.
//! So all nodes in path order are a chain, and every jumper that is not there is a gap in it.
//! Of several supplies each has its own zone of strips: between two zones the plus rail is open and
//! the minus rail goes on.

use std::ops::Range;

use glowloom_design::Wall;
use glowloom_design::wall::{Edge, Jumpers, Panel, Path, Wire};
use glowloom_units::{Metres, Ohms, OhmsPerMetre, Volts};

use super::sinks::Law;
use super::taps::{Tap, taps};
use crate::path::{PanelPath, Shares};

/// No conductor has less, ohm: so that a wall of perfect copper can be solved.
const LEAST_OHMS: f64 = 1e-6;

/// A resistance as the network has it.
pub(super) fn at_least(ohms: Ohms) -> f64 {
    ohms.0.max(LEAST_OHMS)
}

/// What joins the end of a strip to the start of the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Joint {
    /// No power crosses.
    Open,
    /// Two zones meet: minus alone.
    Minus,
    /// Plus and minus.
    Both,
}

/// Strips in a row that share a supply and whose rails are solved in one go.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Segment {
    /// Its nodes.
    pub nodes: Range<usize>,
    /// The supply of its strips, from 0.
    pub supply: usize,
    /// Whether plus and minus differ: the minus rail is joined to another supply's.
    pub apart: bool,
    /// Whether the minus rail goes on to the next segment.
    pub goes_on: bool,
    /// Whether it is the last of its supply.
    pub ends_zone: bool,
}

/// The network of one panel. Two panels with equal networks have equal currents and voltages,
/// strip by strip, pixel by pixel, feed by feed.
#[derive(Clone, Debug, PartialEq)]
pub struct Network {
    strips: usize,
    pixels: usize,
    pitch: Metres,
    rail: OhmsPerMetre,
    joint: Ohms,
    joints: Vec<Joint>,
    starts_near: Vec<bool>,
    zones: Shares,
    trim: Volts,
    supply_ohms: Option<f64>,
    law: Law,
    taps: Vec<Tap>,
    live: Vec<bool>,
    /// Of the whole panel, in path order.
    pub(super) segments: Vec<Segment>,
    /// Conductance from each node to the next, plus and minus; 0 where there is none.
    pub(super) plus: Vec<f64>,
    pub(super) minus: Vec<f64>,
    /// Conductance of a feed's conductor at each node.
    pub(super) tap: Vec<f64>,
}

impl Network {
    /// The network of a panel as the wall file has it.
    #[must_use]
    pub fn of(wall: &Wall, panel: &Panel) -> Self {
        let power = &wall.power;
        Self::with(wall, panel, power.supplies_per_panel, &power.jumper_wire)
    }

    /// The same with other supplies and jumpers than the wall file has.
    #[must_use]
    pub fn with(wall: &Wall, panel: &Panel, supplies: u32, jumper: &Wire) -> Self {
        let (power, strip) = (&wall.power, &wall.strip);
        let path = PanelPath::of(panel);
        let (strips, pixels) = (panel.strip_count(), panel.strip_pixels());
        let zones = Shares::new(strips, supplies.min(strips));
        let mut starts_near = Vec::with_capacity(strips as usize);
        let mut joints = Vec::with_capacity(strips as usize);
        for line in path.lines() {
            starts_near.extend(line.runs().map(|run| run.starts_near));
            // Strips count from 0 here.
            for strip in line.first_strip - 1..line.first_strip - 1 + line.strips {
                let last = strip + 2 == line.first_strip + line.strips;
                joints.push(if last || panel.jumpers == Jumpers::Data {
                    Joint::Open
                } else if zones.taker_of(strip) == zones.taker_of(strip + 1) {
                    Joint::Both
                } else {
                    Joint::Minus
                });
            }
        }
        let pitch = wall.pitch();
        let wire = jumper;
        let length = match panel.path {
            Path::Serpentine => wire.length,
            Path::Progressive => wire.length + pitch * f64::from(pixels),
        };
        let mut network = Self {
            strips: strips as usize,
            pixels: pixels as usize,
            pitch,
            rail: strip.rail_ohms_per_metre,
            joint: wire.ohms_per_metre * length + power.connection_ohms * 2.0,
            joints,
            starts_near,
            zones,
            trim: power.trim_volts,
            supply_ohms: (power.supply_ohms.0 > 0.0).then(|| at_least(power.supply_ohms)),
            law: Law::of(strip),
            taps: Vec::new(),
            live: Vec::new(),
            segments: Vec::new(),
            plus: Vec::new(),
            minus: Vec::new(),
            tap: Vec::new(),
        };
        network.lay_rails();
        network.feed(taps(&panel.feeds, power.connection_ohms));
        network
    }

    /// One strip on a bench, fed at its start by a supply held at `trim` there: the leads count
    /// for nothing.
    #[must_use]
    pub fn bench(wall: &Wall, pixels: u32, trim: Volts) -> Self {
        let strip = &wall.strip;
        let mut network = Self {
            strips: 1,
            pixels: pixels.max(1) as usize,
            pitch: wall.pitch(),
            rail: strip.rail_ohms_per_metre,
            joint: Ohms(0.0),
            joints: vec![Joint::Open],
            starts_near: vec![true],
            zones: Shares::new(1, 1),
            trim,
            supply_ohms: None,
            law: Law::of(strip),
            taps: Vec::new(),
            live: Vec::new(),
            segments: Vec::new(),
            plus: Vec::new(),
            minus: Vec::new(),
            tap: Vec::new(),
        };
        network.lay_rails();
        network.feed(vec![Tap { strip: 1, edge: Edge::Near, ohms: Ohms(0.0), limit: None }]);
        network
    }

    /// The same copper with feeds in other places.
    #[must_use]
    pub fn with_feeds(&self, taps: Vec<Tap>) -> Self {
        let mut other = self.clone();
        other.feed(taps);
        other
    }

    /// The same panel with its supplies set to another voltage.
    #[must_use]
    pub fn with_trim(&self, trim: Volts) -> Self {
        Self { trim, ..self.clone() }
    }

    /// The same panel with that voltage at the terminals of its supplies, whatever these have inside.
    #[must_use]
    pub fn held_at(&self, terminals: Volts) -> Self {
        Self { trim: terminals, supply_ohms: None, ..self.clone() }
    }

    /// The same panel of strip with other copper and other LEDs.
    #[must_use]
    pub fn with_strip(&self, rail: OhmsPerMetre, law: Law) -> Self {
        let mut other = Self { rail, law, ..self.clone() };
        other.lay_rails();
        other
    }

    fn lay_rails(&mut self) {
        let step = self.rail * self.pitch;
        let (half, whole) = (1.0 / at_least(step / 2.0), 1.0 / at_least(step));
        let joint = 1.0 / at_least(self.joint);
        let strip = |end: f64| {
            let inner = std::iter::repeat_n(whole, self.pixels - 1);
            std::iter::once(half).chain(inner).chain([half, end])
        };
        let across = |joined: bool| if joined { joint } else { 0.0 };
        self.plus = self.joints.iter().flat_map(|j| strip(across(*j == Joint::Both))).collect();
        self.minus = self.joints.iter().flat_map(|j| strip(across(*j != Joint::Open))).collect();
    }

    /// Puts feeds to the strips and finds out which strips are reached. Feeds on strips that
    /// there are not are left out.
    pub(super) fn feed(&mut self, mut taps: Vec<Tap>) {
        taps.retain(|tap| (1..=self.strips).contains(&(tap.strip as usize)));
        self.taps = taps;
        self.tap.clear();
        self.tap.resize(self.nodes(), 0.0);
        for i in 0..self.taps.len() {
            let node = self.pad(self.taps[i].strip, self.taps[i].edge);
            self.tap[node] += 1.0 / at_least(self.taps[i].ohms);
        }
        self.find_live();
        self.find_segments();
    }

    /// A strip is live if its plus rail is joined to a feed's.
    fn find_live(&mut self) {
        self.live.clear();
        self.live.resize(self.strips, false);
        for tap in &self.taps {
            self.live[tap.strip as usize - 1] = true;
        }
        let joined = |strip: usize| self.joints[strip] == Joint::Both;
        for strip in 1..self.strips {
            self.live[strip] |= joined(strip - 1) && self.live[strip - 1];
        }
        for strip in (1..self.strips).rev() {
            self.live[strip - 1] |= joined(strip - 1) && self.live[strip];
        }
    }

    fn find_segments(&mut self) {
        let mut segments = std::mem::take(&mut self.segments);
        segments.clear();
        let mut first = 0;
        while first < self.strips {
            // To the end of the minus rail's chain.
            let last = (first..self.strips).find(|s| self.joints[*s] == Joint::Open);
            let last = last.unwrap_or(self.strips - 1);
            let mut supplies = (first..=last).filter(|s| self.live[*s]).map(|s| self.zone(s));
            let one = supplies.next();
            let apart = supplies.any(|supply| Some(supply) != one);
            for strip in first..=last {
                let zone = self.zone(strip);
                let ends_zone = strip + 1 == self.strips || self.zone(strip + 1) != zone;
                let nodes = strip * self.stride()..(strip + 1) * self.stride();
                match segments.last_mut() {
                    Some(segment) if strip > first && segment.supply == zone => {
                        segment.nodes.end = nodes.end;
                    }
                    _ => segments.push(Segment {
                        nodes,
                        supply: zone,
                        apart,
                        goes_on: false,
                        ends_zone: false,
                    }),
                }
                if let Some(segment) = segments.last_mut() {
                    segment.ends_zone = ends_zone;
                    segment.goes_on = strip < last;
                }
            }
            first = last + 1;
        }
        self.segments = segments;
    }

    /// How many strips.
    #[must_use]
    pub fn strips(&self) -> usize {
        self.strips
    }

    /// How many pixels each strip has.
    #[must_use]
    pub fn strip_pixels(&self) -> usize {
        self.pixels
    }

    /// How many pixels in all. They count from 0 in path order: strip after strip, each as its
    /// data runs; spare pixels are not among them.
    #[must_use]
    pub fn pixels(&self) -> usize {
        self.strips * self.pixels
    }

    /// How many pixels a feed reaches.
    #[must_use]
    pub fn live_pixels(&self) -> usize {
        self.live.iter().filter(|live| **live).count() * self.pixels
    }

    /// How many supplies.
    #[must_use]
    pub fn supplies(&self) -> usize {
        self.zones.takers() as usize
    }

    /// The supply of a strip, both from 0.
    #[must_use]
    pub fn zone(&self, strip: usize) -> usize {
        self.zones.taker_of(u32::try_from(strip).unwrap_or(u32::MAX)) as usize
    }

    /// What every supply is set to.
    #[must_use]
    pub fn trim(&self) -> Volts {
        self.trim
    }

    /// The feeds, in the order in which they were given.
    #[must_use]
    pub fn taps(&self) -> &[Tap] {
        &self.taps
    }

    /// How the LEDs draw current.
    #[must_use]
    pub fn law(&self) -> &Law {
        &self.law
    }

    /// One rail of the strip, one way.
    #[must_use]
    pub fn rail(&self) -> OhmsPerMetre {
        self.rail
    }

    /// From one pixel of a strip to the next.
    #[must_use]
    pub fn pitch(&self) -> Metres {
        self.pitch
    }

    /// Whether a feed reaches the plus rail of a strip; strips count from 0.
    #[must_use]
    pub fn is_live(&self, strip: usize) -> bool {
        self.live.get(strip).copied().unwrap_or(false)
    }

    /// The strips, from 1, whose plus rail no feed reaches: they stay dark.
    pub fn dead_strips(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.strips).filter(|strip| !self.live[*strip]).map(|strip| strip + 1)
    }

    /// Inside each supply, ohm; `None` for a supply that holds its voltage.
    pub(super) fn supply_ohms(&self) -> Option<f64> {
        self.supply_ohms
    }

    /// Nodes of one rail of one strip.
    pub(super) fn stride(&self) -> usize {
        self.pixels + 2
    }

    /// Nodes of one rail.
    pub(super) fn nodes(&self) -> usize {
        self.strips * self.stride()
    }

    /// The segment of a strip; strips count from 0.
    pub(super) fn segment_of(&self, strip: usize) -> &Segment {
        let node = strip * self.stride();
        let after = self.segments.partition_point(|segment| segment.nodes.start <= node);
        &self.segments[after - 1]
    }

    /// The node of a pixel.
    pub(super) fn node(&self, pixel: usize) -> usize {
        pixel / self.pixels * self.stride() + 1 + pixel % self.pixels
    }

    /// The node of a strip end; strips count from 1.
    pub(super) fn pad(&self, strip: u32, edge: Edge) -> usize {
        let strip = strip as usize - 1;
        let at_start = (edge == Edge::Near) == self.starts_near[strip];
        strip * self.stride() + if at_start { 0 } else { self.stride() - 1 }
    }

    /// The edge of the panel at which a strip starts; strips count from 0.
    #[must_use]
    pub fn start_edge(&self, strip: usize) -> Edge {
        let near = self.starts_near.get(strip).copied().unwrap_or(true);
        if near { Edge::Near } else { Edge::Far }
    }
}
