//! The one solution of a panel's network, found by Newton's method.
//!
//! No sink draws less at a higher voltage, so the network is the slope of a convex function and has
//! one solution. From 0 V everywhere, with every sink taken as the conductance of its first branch,
//! whole steps climb to it in a handful. Where plus and minus differ they may overshoot: then the
//! step is cut to where the function still falls. Time and space are linear in the pixels, and a
//! step allocates nothing.

use glowloom_units::Amps;

use super::ladder::{Field, Ladder};
use super::network::{Network, Segment};
use super::sinks::Sinks;
use super::solution::Solution;

/// Most Newton steps. Random designs take 2 to 5.
const MOST_STEPS: u32 = 200;
/// Most halvings of one step.
const MOST_HALVINGS: u32 = 60;

/// No answer: the currents at some node do not sum to zero within rounding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unsolved {
    /// The largest sum of currents at any node.
    pub residual: Amps,
    /// Newton steps that were taken.
    pub iterations: u32,
}

impl std::fmt::Display for Unsolved {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "the panel's network is not solved: {:e} A are left over after {} steps",
            self.residual.0, self.iterations
        )
    }
}

impl std::error::Error for Unsolved {}

/// Room to solve one network in, again and again.
#[derive(Debug)]
pub struct Solver<'n> {
    network: &'n Network,
    ladder: Ladder,
    at: Field,
    tried: Field,
    step: Field,
    force: Field,
    slope: Vec<f64>,
}

impl<'n> Solver<'n> {
    /// Room for that network.
    #[must_use]
    pub fn new(network: &'n Network) -> Self {
        let zero = Field::zero(network);
        Self {
            network,
            ladder: Ladder::new(network),
            at: zero.clone(),
            tried: zero.clone(),
            step: zero.clone(),
            force: zero,
            slope: vec![0.0; network.nodes()],
        }
    }

    /// The network that it solves.
    #[must_use]
    pub fn network(&self) -> &'n Network {
        self.network
    }

    /// Voltages and currents with those sinks.
    ///
    /// # Errors
    /// [`Unsolved`] where no answer was reached; no network that a wall file can give is known to
    /// bring it about.
    pub fn solve(&mut self, sinks: &Sinks) -> Result<Solution<'n>, Unsolved> {
        let (iterations, residual) = self.run(sinks)?;
        Ok(Solution::new(self.network, sinks, &self.at, iterations, Amps(residual)))
    }

    /// The potentials of all nodes with those sinks.
    pub(super) fn field(&mut self, sinks: &Sinks) -> Result<(&'n Network, &Field), Unsolved> {
        self.run(sinks)?;
        Ok((self.network, &self.at))
    }

    /// Voltages and drops as if no sink ever fell away: the drop at every node is linear in the
    /// currents. `amps` is what each pixel draws.
    pub(super) fn drops(&mut self, amps: impl Fn(usize) -> f64) -> &Field {
        for field in [&mut self.force.plus, &mut self.force.minus, &mut self.force.supply] {
            field.fill(0.0);
        }
        self.slope.fill(0.0);
        let network = self.network;
        for segment in &network.segments {
            for strip in strips(network, segment).filter(|strip| network.is_live(*strip)) {
                for along in 0..network.strip_pixels() {
                    let pixel = strip * network.strip_pixels() + along;
                    let node = network.node(pixel);
                    self.force.plus[node] = amps(pixel);
                    if segment.apart {
                        self.force.minus[node] = -amps(pixel);
                    }
                }
            }
        }
        self.linear()
    }

    /// The potentials that one ampere gives that is taken out of one node of the plus rail (of the
    /// loop where the rails mirror each other) or put into one of the minus rail.
    pub(super) fn response(&mut self, inject: impl FnOnce(&mut Field)) -> &Field {
        for field in [&mut self.force.plus, &mut self.force.minus, &mut self.force.supply] {
            field.fill(0.0);
        }
        self.slope.fill(0.0);
        inject(&mut self.force);
        self.linear()
    }

    fn linear(&mut self) -> &Field {
        self.ladder.solve(self.network, &self.slope, &self.force, &mut self.step);
        &self.step
    }

    /// Newton's method; leaves the answer in `at`.
    fn run(&mut self, sinks: &Sinks) -> Result<(u32, f64), Unsolved> {
        let network = self.network;
        let enough = self.rounding(sinks);
        self.at.plus.fill(0.0);
        self.at.minus.fill(0.0);
        self.at.supply.fill(network.trim().0);
        let mut residual = self.evaluate_at(sinks);
        for iterations in 0..MOST_STEPS {
            if residual <= enough {
                return Ok((iterations, residual));
            }
            self.ladder.solve(network, &self.slope, &self.force, &mut self.step);
            // How fast the convex function falls at the start of the step.
            let fall = -self.force.dot(&self.step);
            let mut share = 1.0;
            let (mut low, mut high) = (0.0, 1.0);
            for halving in 0..MOST_HALVINGS {
                self.tried.set_sum(&self.at, &self.step, share);
                std::mem::swap(&mut self.at, &mut self.tried);
                residual = self.evaluate_at(sinks);
                std::mem::swap(&mut self.at, &mut self.tried);
                if residual <= enough {
                    break;
                }
                let slope = self.force.dot(&self.step);
                if slope <= 1e-9 * fall && (halving == 0 || slope >= -0.5 * fall) {
                    break;
                }
                if slope > 0.0 {
                    high = share;
                } else {
                    low = share;
                }
                share = 0.5 * (low + high);
            }
            std::mem::swap(&mut self.at, &mut self.tried);
        }
        if residual <= enough {
            return Ok((MOST_STEPS, residual));
        }
        Err(Unsolved { residual: Amps(residual), iterations: MOST_STEPS })
    }

    /// A sum of currents that is nothing but rounding, A.
    fn rounding(&self, sinks: &Sinks) -> f64 {
        let network = self.network;
        let mut before = 0.0;
        let mut steepest: f64 = 0.0;
        for (edge, tap) in network.minus.iter().zip(&network.tap) {
            steepest = steepest.max(before + edge + tap);
            before = *edge;
        }
        if let Some(inside) = network.supply_ohms() {
            // More than any one supply's terminal has.
            steepest = steepest.max(1.0 / inside + network.tap.iter().sum::<f64>());
        }
        // The tolerance of the reference, a little wider than what summing five terms can lose.
        8.0 * 2.2e-16 * network.trim().0 * (steepest + sinks.steepest())
    }

    /// Currents out of every node, slopes of every sink; gives the largest current.
    fn evaluate_at(&mut self, sinks: &Sinks) -> f64 {
        let network = self.network;
        let inside = network.supply_ohms();
        for (force, terminal) in self.force.supply.iter_mut().zip(&self.at.supply) {
            *force = inside.map_or(0.0, |ohms| (terminal - network.trim().0) / ohms);
        }
        let mut largest: f64 = 0.0;
        for segment in &network.segments {
            let found = if segment.apart {
                self.evaluate_two(segment, sinks)
            } else {
                self.evaluate_one(segment, sinks)
            };
            largest = worse(largest, found);
        }
        if inside.is_none() {
            self.force.supply.fill(0.0);
        }
        // A value that is not a number must not pass as small.
        let supplies = self.force.supply.iter().map(|force| force.abs());
        supplies.fold(largest, worse)
    }

    fn evaluate_one(&mut self, segment: &Segment, sinks: &Sinks) -> f64 {
        let network = self.network;
        let terminal = self.at.supply[segment.supply];
        let (mut coming, mut given, mut largest) = (0.0, 0.0, 0.0_f64);
        for strip in strips(network, segment) {
            let live = network.is_live(strip);
            let first = strip * network.stride();
            let range = first..first + network.stride();
            let edges = &network.plus[range.clone()];
            let taps = &network.tap[range.clone()];
            let volts = &self.at.plus[first..];
            let forces = &mut self.force.plus[range.clone()];
            let slopes = &mut self.slope[range];
            for i in 0..network.stride() {
                let here = volts[i];
                let leaving =
                    if edges[i] > 0.0 { 0.5 * edges[i] * (here - volts[i + 1]) } else { 0.0 };
                let fed = if taps[i] > 0.0 { 0.5 * taps[i] * (terminal - here) } else { 0.0 };
                let (drawn, slope) = if live && i > 0 && i + 1 < network.stride() {
                    sinks.current(strip * network.strip_pixels() + i - 1, here)
                } else {
                    (0.0, 0.0)
                };
                let force = leaving - coming - fed + drawn;
                forces[i] = force;
                slopes[i] = slope;
                largest = worse(largest, force);
                given += fed;
                coming = leaving;
            }
        }
        self.force.supply[segment.supply] += given;
        largest
    }

    fn evaluate_two(&mut self, segment: &Segment, sinks: &Sinks) -> f64 {
        let network = self.network;
        let terminal = self.at.supply[segment.supply];
        let (plus, minus) = (&self.at.plus, &self.at.minus);
        // The minus rail may come from the zone before.
        let first = segment.nodes.start;
        let mut coming_minus = if first > 0 && network.minus[first - 1] > 0.0 {
            network.minus[first - 1] * (minus[first - 1] - minus[first])
        } else {
            0.0
        };
        let (mut coming_plus, mut given, mut largest) = (0.0, 0.0, 0.0_f64);
        for strip in strips(network, segment) {
            let live = network.is_live(strip);
            for i in 0..network.stride() {
                let node = strip * network.stride() + i;
                let flow = |edge: f64, rail: &[f64]| {
                    if edge > 0.0 { edge * (rail[node] - rail[node + 1]) } else { 0.0 }
                };
                let leaving_plus = flow(network.plus[node], plus);
                let leaving_minus = flow(network.minus[node], minus);
                let tap = network.tap[node];
                let fed = if tap > 0.0 { tap * (terminal - plus[node]) } else { 0.0 };
                let (drawn, slope) = if live && i > 0 && i + 1 < network.stride() {
                    let pixel = strip * network.strip_pixels() + i - 1;
                    sinks.current(pixel, plus[node] - minus[node])
                } else {
                    (0.0, 0.0)
                };
                let out_of_plus = leaving_plus - coming_plus - fed + drawn;
                let out_of_minus = leaving_minus - coming_minus + tap * minus[node] - drawn;
                self.force.plus[node] = out_of_plus;
                self.force.minus[node] = out_of_minus;
                self.slope[node] = slope;
                largest = worse(worse(largest, out_of_plus), out_of_minus);
                given += fed;
                (coming_plus, coming_minus) = (leaving_plus, leaving_minus);
            }
        }
        self.force.supply[segment.supply] += given;
        largest
    }
}

/// The larger size; not a number where either is not.
fn worse(largest: f64, force: f64) -> f64 {
    let size = force.abs();
    if size > largest || size.is_nan() { size } else { largest }
}

/// The strips of a segment, from 0.
fn strips(network: &Network, segment: &Segment) -> std::ops::Range<usize> {
    segment.nodes.start / network.stride()..segment.nodes.end / network.stride()
}
