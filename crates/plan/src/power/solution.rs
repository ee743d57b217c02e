//! What a solved network says: potentials, and the currents and heat that follow from them.

use glowloom_design::wall::Edge;
use glowloom_units::{Amps, Volts, Watts};

use super::ladder::Field;
use super::network::Network;
use super::sinks::Sinks;

/// The two rails.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rail {
    /// From the supply's plus.
    Plus,
    /// To the supply's minus.
    Minus,
}

impl Rail {
    /// `plus` or `minus`.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Plus => "plus",
            Self::Minus => "minus",
        }
    }
}

impl std::fmt::Display for Rail {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.key())
    }
}

/// Voltages and currents of one panel at one picture. Values of a strip that no feed reaches are 0.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution<'n> {
    network: &'n Network,
    /// Potentials by node.
    plus: Vec<f64>,
    minus: Vec<f64>,
    /// Of each supply's plus terminal.
    terminals: Vec<f64>,
    /// Drawn by each pixel.
    drawn: Vec<f64>,
    iterations: u32,
    residual: Amps,
}

/// What a feed carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FeedFlow {
    /// Its supply, from 0.
    pub supply: usize,
    /// In its plus conductor.
    pub plus: Amps,
    /// In its minus conductor; another figure where supplies share a minus rail.
    pub minus: Amps,
    /// Between its two pads.
    pub volts_at_strip: Volts,
}

/// The most that one place carries of all places of a kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// How much.
    pub amps: Amps,
    /// The strip, from 1; of a jumper the one before it.
    pub strip: u32,
    /// The rail step, counted from the start pad: 0 is the half step to the first pixel. Of a jumper 0.
    pub step: u32,
    /// In which rail.
    pub rail: Rail,
}

/// Where the power of a panel goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heat {
    /// In the LEDs and their chips: light and heat.
    pub led: Watts,
    /// In rails, jumpers and feeds, plus and minus.
    pub copper: Watts,
    /// Inside the supplies, of what they give at `trim_volts`.
    pub supply: Watts,
}

impl<'n> Solution<'n> {
    pub(super) fn new(
        network: &'n Network,
        sinks: &Sinks,
        at: &Field,
        iterations: u32,
        residual: Amps,
    ) -> Self {
        let nodes = network.nodes();
        let (mut plus, mut minus) = (vec![0.0; nodes], vec![0.0; nodes]);
        let mut drawn = vec![0.0; network.pixels()];
        for segment in &network.segments {
            let range = segment.nodes.clone();
            let terminal = at.supply[segment.supply];
            if segment.apart {
                plus[range.clone()].copy_from_slice(&at.plus[range.clone()]);
                minus[range.clone()].copy_from_slice(&at.minus[range]);
            } else {
                // The loop of both, halved about the middle between the terminals.
                for node in range {
                    plus[node] = 0.5 * (terminal + at.plus[node]);
                    minus[node] = 0.5 * (terminal - at.plus[node]);
                }
            }
        }
        for strip in (0..network.strips()).filter(|strip| network.is_live(*strip)) {
            for along in 0..network.strip_pixels() {
                let pixel = strip * network.strip_pixels() + along;
                let node = network.node(pixel);
                drawn[pixel] = sinks.current(pixel, plus[node] - minus[node]).0;
            }
        }
        still(network, &mut plus, &mut minus);
        Self { network, plus, minus, terminals: at.supply.clone(), drawn, iterations, residual }
    }

    /// The network that was solved.
    #[must_use]
    pub fn network(&self) -> &'n Network {
        self.network
    }

    /// Newton steps that were taken.
    #[must_use]
    pub fn iterations(&self) -> u32 {
        self.iterations
    }

    /// The largest sum of currents that was left at any node.
    #[must_use]
    pub fn residual(&self) -> Amps {
        self.residual
    }

    /// Between the rails at a pixel; 0 on a strip that no feed reaches.
    ///
    /// # Panics
    /// If the network has no such pixel.
    #[must_use]
    pub fn volts(&self, pixel: usize) -> Volts {
        if !self.network.is_live(pixel / self.network.strip_pixels()) {
            return Volts(0.0);
        }
        self.between(self.network.node(pixel))
    }

    /// Between the rails at every pixel, in path order.
    pub fn all_volts(&self) -> impl Iterator<Item = Volts> + '_ {
        (0..self.network.pixels()).map(|pixel| self.volts(pixel))
    }

    /// Between the pads of a strip end; strips count from 1.
    ///
    /// # Panics
    /// If the network has no such strip.
    #[must_use]
    pub fn volts_at(&self, strip: u32, edge: Edge) -> Volts {
        if !self.network.is_live(strip as usize - 1) {
            return Volts(0.0);
        }
        self.between(self.network.pad(strip, edge))
    }

    fn between(&self, node: usize) -> Volts {
        Volts(self.plus[node] - self.minus[node])
    }

    /// What a pixel draws.
    ///
    /// # Panics
    /// If the network has no such pixel.
    #[must_use]
    pub fn pixel_amps(&self, pixel: usize) -> Amps {
        Amps(self.drawn[pixel])
    }

    /// The potentials of both rails at every node, strip by strip: start pad, pixels, end pad.
    pub fn potentials(&self) -> impl Iterator<Item = (Volts, Volts)> + '_ {
        self.plus.iter().zip(&self.minus).map(|(plus, minus)| (Volts(*plus), Volts(*minus)))
    }

    /// What each feed carries, in the order of [`Network::taps`].
    pub fn feeds(&self) -> impl Iterator<Item = FeedFlow> + '_ {
        self.network.taps().iter().map(|tap| {
            let node = self.network.pad(tap.strip, tap.edge);
            let supply = self.network.zone(tap.strip as usize - 1);
            let ohms = super::network::at_least(tap.ohms);
            FeedFlow {
                supply,
                plus: Amps((self.terminals[supply] - self.plus[node]) / ohms),
                minus: Amps(self.minus[node] / ohms),
                volts_at_strip: self.between(node),
            }
        })
    }

    /// What each supply gives to the strips.
    #[must_use]
    pub fn supplies(&self) -> Vec<Amps> {
        let mut amps = vec![Amps(0.0); self.network.supplies()];
        for feed in self.feeds() {
            amps[feed.supply] += feed.plus;
        }
        amps
    }

    /// What all feeds give.
    #[must_use]
    pub fn amps(&self) -> Amps {
        self.feeds().map(|feed| feed.plus).sum()
    }

    /// Currents along both rails from each node to the next, with the resistances they pass: strip
    /// from 1, step from the start pad, the step past the end pad being the jumper; plus, minus.
    fn steps(&self) -> impl Iterator<Item = (usize, usize, f64, f64)> + '_ {
        let stride = self.network.stride();
        (0..self.plus.len().saturating_sub(1)).map(move |node| {
            let flow = |edge: f64, rail: &[f64]| {
                if edge > 0.0 { edge * (rail[node] - rail[node + 1]) } else { 0.0 }
            };
            let plus = flow(self.network.plus[node], &self.plus);
            (node / stride + 1, node % stride, plus, flow(self.network.minus[node], &self.minus))
        })
    }

    fn worst(&self, jumpers: bool) -> Option<Worst> {
        let past_end = self.network.stride() - 1;
        let mut worst: Option<Worst> = None;
        for (strip, step, plus, minus) in self.steps() {
            if (step == past_end) != jumpers {
                continue;
            }
            for (rail, amps) in [(Rail::Plus, plus.abs()), (Rail::Minus, minus.abs())] {
                // Mirrored rails differ by rounding alone: plus speaks for both.
                if worst.is_none_or(|worst| amps > worst.amps.0 * (1.0 + 1e-9)) && amps > 0.0 {
                    worst = Some(Worst {
                        amps: Amps(amps),
                        strip: u32::try_from(strip).unwrap_or(u32::MAX),
                        step: if jumpers { 0 } else { u32::try_from(step).unwrap_or(u32::MAX) },
                        rail,
                    });
                }
            }
        }
        worst
    }

    /// The jumper that carries most; `None` where no current crosses a joint.
    #[must_use]
    pub fn worst_jumper(&self) -> Option<Worst> {
        self.worst(true)
    }

    /// The step of a strip's own rail that carries most; `None` where none flows.
    #[must_use]
    pub fn worst_rail(&self) -> Option<Worst> {
        self.worst(false)
    }

    /// Where the power goes. `trim_volts` x amps is the sum.
    #[must_use]
    pub fn heat(&self) -> Heat {
        let led: f64 =
            (0..self.network.pixels()).map(|pixel| self.volts(pixel).0 * self.drawn[pixel]).sum();
        let mut copper = 0.0;
        let stretches = self.network.plus.iter().zip(&self.network.minus).enumerate();
        for (node, (plus, minus)) in stretches {
            let across = |edge: f64, rail: &[f64]| {
                if edge > 0.0 { edge * (rail[node] - rail[node + 1]).powi(2) } else { 0.0 }
            };
            copper += across(*plus, &self.plus) + across(*minus, &self.minus);
        }
        for (tap, feed) in self.network.taps().iter().zip(self.feeds()) {
            let ohms = super::network::at_least(tap.ohms);
            copper += ohms * (feed.plus.0.powi(2) + feed.minus.0.powi(2));
        }
        let inside = self.network.supply_ohms().unwrap_or(0.0);
        let supply: f64 = self.supplies().iter().map(|amps| inside * amps.0.powi(2)).sum();
        Heat { led: Watts(led), copper: Watts(copper), supply: Watts(supply) }
    }

    /// The lowest voltage of any pixel that a feed reaches; `None` where there is no such pixel.
    #[must_use]
    pub fn least_live_volts(&self) -> Option<Volts> {
        let live = (0..self.network.strips()).filter(|strip| self.network.is_live(*strip));
        live.flat_map(|strip| {
            let first = strip * self.network.strip_pixels();
            (first..first + self.network.strip_pixels()).map(|pixel| self.volts(pixel))
        })
        .reduce(Volts::min)
    }
}

/// Rails that carry nothing: the plus rail of a strip that no feed reaches is at 0 V, and so is its
/// minus rail unless it hangs on another strip's, whose potential it then has.
fn still(network: &Network, plus: &mut [f64], minus: &mut [f64]) {
    let mut hanging = Vec::new();
    for strip in network.dead_strips().map(|strip| strip - 1) {
        let first = strip * network.stride();
        let nodes = first..first + network.stride();
        plus[nodes.clone()].fill(0.0);
        // Between two zones it is solved: it may carry their current.
        if !network.segment_of(strip).apart {
            minus[nodes.clone()].fill(0.0);
            hanging.push(nodes);
        }
    }
    for nodes in &hanging {
        if nodes.start > 0 && network.minus[nodes.start - 1] > 0.0 {
            let hangs_on = minus[nodes.start - 1];
            minus[nodes.clone()].fill(hangs_on);
        }
    }
    for nodes in hanging.iter().rev() {
        if network.minus[nodes.end - 1] > 0.0 {
            let hangs_on = minus[nodes.end];
            minus[nodes.clone()].fill(hangs_on);
        }
    }
}
