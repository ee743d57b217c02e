//! The plan's figures of a panel's power, under the names of its contract.

use glowloom_design::Wall;
use glowloom_design::wall::{Edge, Panel};
use glowloom_units::{Amps, Volts, Watts, WattsPerSquareMetre};
use serde::{Serialize, Serializer};

use super::ceiling::PanelCeiling;
use super::colour::WhiteLeft;
use super::limits::{Binding, Limits};
use super::solution::{Solution, Worst};
use crate::built::Built;
use crate::path::{Cell, PanelPath};

/// Pixels this close to the lowest voltage are as low, V.
const TIE: f64 = 1e-9;

/// A supply rated below this counts as this, so that its share is a number.
const LEAST_RATING: Amps = Amps(0.001);

/// Power of one panel: its solved network.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PanelPower {
    /// As the wall file has it.
    pub name: String,
    /// Of its strips, from all its supplies.
    pub amps: Amps,
    /// Of all its supplies.
    pub supply_amps_rated: Amps,
    /// Of the most loaded supply's rating; the receiver hangs on the first.
    pub supply_share: f64,
    /// At the lowest pixel; 0 where no feed reaches one.
    pub least_volts: Volts,
    /// Where that is in the picture: column, row; of equals the topmost, then the leftmost.
    pub least_volts_at: [u32; 2],
    /// What is left of white there.
    pub least_volts_white: WhiteLeft,
    /// Highest brightness at which no pixel is below the wanted voltage.
    pub least_volts_brightness: f64,
    /// Highest brightness at which every limit of the panel holds.
    pub safe_brightness: f64,
    /// What sets that end.
    pub binding: Binding,
    /// In the LEDs, light and heat.
    pub led_watts: Watts,
    /// In rails, jumpers and feeds.
    pub copper_watts: Watts,
    /// Inside the supplies, of what they give at `trim_volts`.
    pub supply_watts: Watts,
    /// All heat and light on the panel, for its surface.
    pub watts_per_m2: WattsPerSquareMetre,
    /// Of that what the copper makes.
    pub copper_watts_per_m2: WattsPerSquareMetre,
    /// Newton steps of its solution.
    pub iterations: u32,
    /// The largest sum of currents left at any node.
    pub residual_amps: Amps,
    /// By strip, near before far.
    pub feeds: Vec<FeedPower>,
    /// The jumper that carries most; null where none carries anything.
    pub worst_jumper: Option<WorstPlace>,
    /// The step of the strips' own rails that carries most.
    pub worst_rail: Option<WorstPlace>,
    /// Strips, from 1, that no feed reaches.
    pub dead_strips: Vec<u32>,
}

impl PanelPower {
    /// What the most loaded supply gives, where each is rated so; the receiver's included.
    #[must_use]
    pub fn most_loaded(&self, rated: Amps) -> Amps {
        rated.max(LEAST_RATING) * self.supply_share
    }
}

/// One feed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FeedPower {
    /// From 1.
    pub strip: u32,
    /// `near` or `far`.
    #[serde(serialize_with = "edge")]
    pub edge: Edge,
    /// From 1.
    pub supply: u32,
    /// In its plus conductor.
    pub amps: Amps,
    /// In its minus conductor; another figure where supplies share a minus rail.
    pub minus_amps: Amps,
    /// Between its two pads.
    pub volts_at_strip: Volts,
    /// Of `trim_volts`, what is lost up to there.
    pub drop_volts: Volts,
    /// What its wire may carry; null where neither file nor table says.
    pub wire_ampacity: Option<Amps>,
    /// The fuse for it; null where none both carries its current and protects its wire.
    pub fuse_amps: Option<Amps>,
}

/// Where most flows.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct WorstPlace {
    /// From 1; of a jumper the strip before it.
    pub strip: u32,
    /// Counted from the strip's first pad: 0 is the half step to the first pixel. Of a jumper 0.
    pub step: u32,
    /// `plus` or `minus`.
    pub rail: &'static str,
    /// How much.
    pub amps: Amps,
}

fn edge<S: Serializer>(edge: &Edge, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(edge_key(*edge))
}

/// As the wall file has it.
#[must_use]
pub fn edge_key(edge: Edge) -> &'static str {
    match edge {
        Edge::Near => "near",
        Edge::Far => "far",
    }
}

impl From<Worst> for WorstPlace {
    fn from(worst: Worst) -> Self {
        let rail = worst.rail.key();
        Self { strip: worst.strip, step: worst.step, rail, amps: worst.amps }
    }
}

/// The figures of a panel, from the solution of its network.
#[must_use]
pub fn panel_power(
    wall: &Wall,
    panel: &Panel,
    limits: &Limits,
    solution: &Solution,
    ceiling: &PanelCeiling,
) -> PanelPower {
    let network = solution.network();
    let power = &wall.power;
    let rated = power.supply.amps;
    let supplies = solution.supplies();
    let load = |(supply, amps): (usize, &Amps)| {
        let receiver = if supply == 0 { wall.receiver.amps } else { Amps(0.0) };
        (*amps + receiver) / rated.max(LEAST_RATING)
    };
    let (least_volts, at) = least(panel, solution);
    let heat = solution.heat();
    let (width, height) = Built::of(wall, panel).size();
    let per_area = |watts: Watts| WattsPerSquareMetre(watts.0 / (width.0 * height.0));
    PanelPower {
        name: panel.name.clone(),
        amps: solution.amps(),
        supply_amps_rated: supplies.iter().map(|_| rated).sum(),
        supply_share: supplies.iter().enumerate().map(load).fold(0.0, f64::max),
        least_volts,
        least_volts_at: [at.column, at.row],
        least_volts_white: WhiteLeft::at(network.law(), least_volts),
        least_volts_brightness: ceiling.least_volts_brightness,
        safe_brightness: ceiling.safe.brightness,
        binding: ceiling.safe.binding,
        led_watts: heat.led,
        copper_watts: heat.copper,
        supply_watts: heat.supply,
        watts_per_m2: per_area(heat.led + heat.copper),
        copper_watts_per_m2: per_area(heat.copper),
        iterations: solution.iterations(),
        residual_amps: solution.residual(),
        feeds: feeds(panel, limits, solution),
        worst_jumper: solution.worst_jumper().map(WorstPlace::from),
        worst_rail: solution.worst_rail().map(WorstPlace::from),
        dead_strips: network.dead_strips().map(|s| u32::try_from(s).unwrap_or(u32::MAX)).collect(),
    }
}

/// The lowest voltage of any pixel, and where it is in the picture.
fn least(panel: &Panel, solution: &Solution) -> (Volts, Cell) {
    let least = solution.all_volts().reduce(Volts::min).unwrap_or_default();
    let as_low = |volts: &Volts| volts.0 <= least.0 + TIE;
    let pixels = PanelPath::of(panel).lines().flat_map(|line| line.path());
    let at = pixels
        .zip(solution.all_volts())
        .filter(|(_, volts)| as_low(volts))
        .map(|(pixel, _)| pixel.picture)
        .min_by_key(|cell| (cell.row, cell.column));
    (least, at.unwrap_or(Cell { column: panel.at.0, row: panel.at.1 }))
}

fn feeds(panel: &Panel, limits: &Limits, solution: &Solution) -> Vec<FeedPower> {
    let network = solution.network();
    let flows = panel.feeds.iter().zip(solution.feeds());
    flows
        .map(|(feed, flow)| FeedPower {
            strip: feed.strip,
            edge: feed.edge,
            supply: feed.supply,
            amps: flow.plus,
            minus_amps: flow.minus,
            volts_at_strip: flow.volts_at_strip,
            drop_volts: network.trim() - flow.volts_at_strip,
            wire_ampacity: feed.wire.amps,
            fuse_amps: limits.fuse(flow.plus, feed.wire.amps),
        })
        .collect()
}
