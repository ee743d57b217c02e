//! The linear equations of a chain, solved from its one end to the other.
//!
//! Node after node is taken out and what hung on it is handed on to its neighbours: conductances as
//! in the star-to-mesh transformation, currents in the same shares. Nothing is ever subtracted,
//! so that nothing is lost where a micro-ohm lies beside a kilo-ohm. Then back, each node from those
//! that were taken out after it. Where plus and minus mirror each other, one unknown a node, their
//! difference; elsewhere two, plus before minus. A supply that gives way inside is one unknown more,
//! taken out where its zone ends. All in time and space linear in the nodes.

use super::network::{Network, Segment};

/// One number for each node and rail, and one for each supply: volts or amps.
#[derive(Clone, Debug)]
pub(super) struct Field {
    /// Of the plus rail, or of the loop of both where they mirror each other.
    pub plus: Vec<f64>,
    /// Of the minus rail; empty where no minus rail is apart.
    pub minus: Vec<f64>,
    /// Of the supplies' plus terminals.
    pub supply: Vec<f64>,
}

impl Field {
    /// All zero.
    pub fn zero(network: &Network) -> Self {
        let apart = network.segments.iter().any(|segment| segment.apart);
        let nodes = network.nodes();
        Self {
            plus: vec![0.0; nodes],
            minus: vec![0.0; if apart { nodes } else { 0 }],
            supply: vec![0.0; network.supplies()],
        }
    }

    /// All values, in no order that means anything.
    fn values(&self) -> impl Iterator<Item = &f64> {
        self.plus.iter().chain(&self.minus).chain(&self.supply)
    }

    /// The sum of products, value by value.
    pub fn dot(&self, other: &Self) -> f64 {
        self.values().zip(other.values()).map(|(a, b)| a * b).sum()
    }

    /// Becomes `from` and `share` of `step`.
    pub fn set_sum(&mut self, from: &Self, step: &Self, share: f64) {
        let sum = |to: &mut [f64], from: &[f64], step: &[f64]| {
            for ((to, from), step) in to.iter_mut().zip(from).zip(step) {
                *to = from + share * step;
            }
        };
        sum(&mut self.plus, &from.plus, &step.plus);
        sum(&mut self.minus, &from.minus, &step.minus);
        sum(&mut self.supply, &from.supply, &step.supply);
    }
}

/// What was kept of an unknown when it was taken out.
#[derive(Clone, Copy, Debug, Default)]
struct Kept {
    /// One over the sum of all conductances at it; 0 where there are none.
    inverse: f64,
    /// The current that flowed into it.
    current: f64,
    /// Conductance to the supply's terminal.
    to_supply: f64,
    /// Minus: conductance to the next plus node. Plus: conductance to its minus node. Supply: to the
    /// next minus node.
    across: f64,
}

impl Kept {
    fn new(sum: f64, current: f64, to_supply: f64, across: f64) -> Self {
        // A rail with no feed has nothing at its last node; it stays at zero.
        let inverse = if sum > 0.0 { 1.0 / sum } else { 0.0 };
        Self { inverse, current, to_supply, across }
    }
}

/// What hangs on an unknown that is still to be taken out.
#[derive(Clone, Copy, Debug, Default)]
struct Hung {
    /// Conductance to the fixed potentials.
    ground: f64,
    /// Conductance to the supply's terminal.
    to_supply: f64,
    /// Current into it.
    current: f64,
}

/// The conductances of a network and the room to solve it in.
#[derive(Clone, Debug)]
pub(super) struct Ladder {
    plus: Vec<Kept>,
    minus: Vec<Kept>,
    supply: Vec<Kept>,
}

impl Ladder {
    pub fn new(network: &Network) -> Self {
        let field = Field::zero(network);
        Self {
            plus: vec![Kept::default(); field.plus.len()],
            minus: vec![Kept::default(); field.minus.len()],
            supply: vec![Kept::default(); field.supply.len()],
        }
    }

    /// The potentials that currents taken out of the nodes give, all supplies at zero; `slope` is
    /// what conducts between plus and minus at each node.
    pub fn solve(&mut self, network: &Network, slope: &[f64], taken: &Field, to: &mut Field) {
        if network.supply_ohms().is_some() {
            self.run::<true>(network, slope, taken, to);
        } else {
            self.run::<false>(network, slope, taken, to);
        }
    }

    fn run<const SOFT: bool>(
        &mut self,
        network: &Network,
        slope: &[f64],
        taken: &Field,
        to: &mut Field,
    ) {
        let inside = network.supply_ohms().map_or(0.0, |ohms| 1.0 / ohms);
        let mut next_minus = Hung::default();
        let mut terminal = Hung::default();
        let mut new_zone = true;
        for segment in &network.segments {
            if std::mem::take(&mut new_zone) {
                let current = -taken.supply[segment.supply];
                terminal = Hung { ground: inside, to_supply: 0.0, current };
            }
            if segment.apart {
                self.down_two::<SOFT>(
                    network,
                    segment,
                    slope,
                    taken,
                    &mut next_minus,
                    &mut terminal,
                );
            } else {
                self.down_one::<SOFT>(network, segment, slope, taken, &mut terminal);
            }
            if segment.ends_zone {
                new_zone = true;
                if SOFT {
                    self.take_out_supply(segment.supply, terminal, &mut next_minus);
                }
            }
        }
        for segment in network.segments.iter().rev() {
            let minus_after =
                if segment.goes_on && segment.apart { to.minus[segment.nodes.end] } else { 0.0 };
            if segment.ends_zone && SOFT {
                let kept = self.supply[segment.supply];
                to.supply[segment.supply] =
                    (kept.current + kept.across * minus_after) * kept.inverse;
            }
            if segment.apart {
                self.up_two(network, segment, minus_after, to);
            } else {
                self.up_one(network, segment, to);
            }
        }
    }

    fn down_one<const SOFT: bool>(
        &mut self,
        network: &Network,
        segment: &Segment,
        slope: &[f64],
        taken: &Field,
        terminal: &mut Hung,
    ) {
        let range = segment.nodes.clone();
        let edges = &network.plus[range.clone()];
        let taps = &network.tap[range.clone()];
        let slopes = &slope[range.clone()];
        let taken = &taken.plus[range.clone()];
        let kept = &mut self.plus[range];
        let mut hung = Hung::default();
        for ((((edge, tap), slope), taken), kept) in
            edges.iter().zip(taps).zip(slopes).zip(taken).zip(kept)
        {
            // Both conductors of the loop in series.
            let (edge, tap) = (0.5 * edge, 0.5 * tap);
            let ground = hung.ground + slope + if SOFT { 0.0 } else { tap };
            let to_supply = if SOFT { hung.to_supply + tap } else { 0.0 };
            let current = hung.current - taken;
            *kept = Kept::new(edge + ground + to_supply, current, to_supply, 0.0);
            let on = edge * kept.inverse;
            if SOFT {
                let share = to_supply * kept.inverse;
                terminal.ground += share * ground;
                terminal.current += share * current;
            }
            hung = Hung { ground: on * ground, to_supply: on * to_supply, current: on * current };
        }
    }

    fn up_one(&self, network: &Network, segment: &Segment, to: &mut Field) {
        let range = segment.nodes.clone();
        let supply = to.supply[segment.supply];
        let edges = &network.plus[range.clone()];
        let kept = &self.plus[range.clone()];
        let mut after = 0.0;
        for ((edge, kept), to) in edges.iter().zip(kept).zip(&mut to.plus[range]).rev() {
            after = (kept.current + 0.5 * edge * after + kept.to_supply * supply) * kept.inverse;
            *to = after;
        }
    }

    fn down_two<const SOFT: bool>(
        &mut self,
        network: &Network,
        segment: &Segment,
        slope: &[f64],
        taken: &Field,
        next_minus: &mut Hung,
        terminal: &mut Hung,
    ) {
        // The plus rail starts anew with the zone; the minus rail may come from the one before.
        let (mut plus, mut minus) = (Hung::default(), std::mem::take(next_minus));
        let mut between = 0.0;
        for node in segment.nodes.clone() {
            let tap = network.tap[node];
            let (edge_plus, edge_minus) = (network.plus[node], network.minus[node]);
            if SOFT {
                plus.to_supply += tap;
            } else {
                plus.ground += tap;
            }
            minus.ground += tap;
            between += slope[node];
            plus.current -= taken.plus[node];
            minus.current -= taken.minus[node];

            let sum = edge_plus + plus.ground + plus.to_supply + between;
            let kept = Kept::new(sum, plus.current, plus.to_supply, between);
            self.plus[node] = kept;
            let (on, across) = (edge_plus * kept.inverse, between * kept.inverse);
            let to_supply = plus.to_supply * kept.inverse;
            // From here on: the next plus node to this minus node.
            let cross = on * between;
            minus.ground += across * plus.ground;
            minus.to_supply += across * plus.to_supply;
            minus.current += across * plus.current;
            terminal.ground += to_supply * plus.ground;
            terminal.current += to_supply * plus.current;
            plus = Hung {
                ground: on * plus.ground,
                to_supply: on * plus.to_supply,
                current: on * plus.current,
            };

            let sum = edge_minus + minus.ground + minus.to_supply + cross;
            let kept = Kept::new(sum, minus.current, minus.to_supply, cross);
            self.minus[node] = kept;
            let (on, across) = (edge_minus * kept.inverse, cross * kept.inverse);
            let to_supply = minus.to_supply * kept.inverse;
            plus.ground += across * minus.ground;
            plus.to_supply += across * minus.to_supply;
            plus.current += across * minus.current;
            terminal.ground += to_supply * minus.ground;
            terminal.current += to_supply * minus.current;
            between = on * cross;
            minus = Hung {
                ground: on * minus.ground,
                to_supply: on * minus.to_supply,
                current: on * minus.current,
            };
        }
        *next_minus = minus;
    }

    fn up_two(&self, network: &Network, segment: &Segment, minus_after: f64, to: &mut Field) {
        let supply = to.supply[segment.supply];
        let (mut plus, mut minus) = (0.0, minus_after);
        for node in segment.nodes.clone().rev() {
            let kept = self.minus[node];
            let here = kept.current
                + network.minus[node] * minus
                + kept.across * plus
                + kept.to_supply * supply;
            minus = here * kept.inverse;
            let kept = self.plus[node];
            let here = kept.current
                + network.plus[node] * plus
                + kept.across * minus
                + kept.to_supply * supply;
            plus = here * kept.inverse;
            to.plus[node] = plus;
            to.minus[node] = minus;
        }
    }

    /// The terminal of a supply whose zone ends: of its neighbours only the next zone's minus rail
    /// is left, if it goes on.
    fn take_out_supply(&mut self, supply: usize, terminal: Hung, next_minus: &mut Hung) {
        let across = next_minus.to_supply;
        let kept = Kept::new(terminal.ground + across, terminal.current, 0.0, across);
        self.supply[supply] = kept;
        let share = across * kept.inverse;
        next_minus.ground += share * terminal.ground;
        next_minus.current += share * terminal.current;
        next_minus.to_supply = 0.0;
    }
}
