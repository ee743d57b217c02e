//! How bright a panel may be at full white, and what sets the end.
//!
//! Where no pixel is below a knee every current and every drop is linear in the brightness, so that
//! two linear solves, one of the idle currents and one of the colours, give each limit's brightness
//! at once. Below a knee it is searched for between bounds, each step a full solve.

use glowloom_design::Wall;
use glowloom_units::Amps;

use super::limits::{Binding, Held, Limits, held};
use super::mains::mains_amps;
use super::network::Network;
use super::sinks::Sinks;
use super::solve::{Solver, Unsolved};

/// Beyond a limit by more than rounding, A or V.
const ROUNDING: f64 = 1e-9;
/// Two ceilings this close are a tie.
const TIE: f64 = 1e-9;

/// The limits of a panel, in the order in which a tie is settled.
const ORDER: [Binding; 6] = [
    Binding::Supply,
    Binding::Fuse,
    Binding::Wire,
    Binding::Jumper,
    Binding::Rail,
    Binding::LeastVolts,
];

/// A brightness of 0 to 1, and what is beyond its limit just above it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ceiling {
    /// Highest brightness of full white at which all limits hold; 0 if there is none.
    pub brightness: f64,
    /// The limit that is broken first.
    pub binding: Binding,
}

impl Ceiling {
    /// Nothing sets an end.
    pub const OPEN: Self = Self { brightness: 1.0, binding: Binding::None };

    /// The lower of two; on a tie the limit that comes first.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        let tie = (self.brightness - other.brightness).abs() <= TIE;
        let lower = other.brightness < self.brightness - TIE;
        // What holds at full brightness sets no end.
        let ends = other.brightness < 1.0 - TIE;
        if lower || tie && ends && other.binding < self.binding { other } else { self }
    }
}

/// The ceilings of one panel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PanelCeiling {
    /// Of all limits but the circuit's; pixels that no feed reaches are left out.
    pub safe: Ceiling,
    /// Highest brightness at which no pixel is below the wanted voltage; 0 where a pixel is dead or
    /// even the dark panel is below it.
    pub least_volts_brightness: f64,
    /// Up to this brightness no pixel is below a knee and currents are nominal; negative where one
    /// is even in the dark.
    pub linear_to: f64,
}

/// The ceilings of a panel at full white.
///
/// # Errors
/// [`Unsolved`] where the network of a brightness below the knees is.
pub fn ceiling(solver: &mut Solver, limits: &Limits) -> Result<PanelCeiling, Unsolved> {
    let network = solver.network();
    let linear = Linear::of(solver, limits);
    let mut safe = Ceiling::OPEN;
    for by in ORDER {
        let brightness = linear.highest[by as usize];
        if brightness <= linear.knees {
            safe = safe.and(Ceiling { brightness, binding: by });
        }
    }
    let mut search = Search { limits, sinks: Sinks::white(network.law(), 1.0), solver };
    let from = linear.knees.max(0.0);
    let mut at_from = None;
    if safe.binding == Binding::None && linear.knees < 1.0 {
        let held = *at_from.insert(search.excess(from)?);
        safe = search.lowest(from, held)?;
    }
    let least_volts = Binding::LeastVolts;
    let below = |held: [f64; 6]| held[least_volts as usize] > ROUNDING;
    let least_volts_brightness = if network.dead_strips().next().is_some() {
        0.0
    } else if linear.highest[least_volts as usize] <= linear.knees || linear.knees >= 1.0 {
        linear.highest[least_volts as usize].min(1.0)
    } else if safe.binding == least_volts {
        safe.brightness
    } else if at_from.is_some_and(below) {
        from
    } else {
        search.highest(least_volts, from, 1.0)?
    };
    Ok(PanelCeiling { safe, least_volts_brightness, linear_to: linear.knees })
}

/// The limits that a panel is beyond at full white of a brightness, in the order of a tie.
///
/// # Errors
/// [`Unsolved`] where its network is.
pub fn broken(
    solver: &mut Solver,
    limits: &Limits,
    brightness: f64,
) -> Result<Vec<Binding>, Unsolved> {
    let sinks = Sinks::white(solver.network().law(), brightness);
    let excess = Search { limits, sinks, solver }.excess(brightness)?;
    Ok(ORDER.into_iter().filter(|by| excess[*by as usize] > ROUNDING).collect())
}

/// The brightness of each limit, as if no sink ever fell away.
struct Linear {
    /// By limit; above 1 where it never binds.
    highest: [f64; 6],
    /// Up to here that holds: the first pixel reaches a knee. Below 0 where one has in the dark.
    knees: f64,
}

impl Linear {
    fn of(solver: &mut Solver, limits: &Limits) -> Self {
        let network = solver.network();
        let law = network.law();
        let idle = law.idle_amps().0;
        let colours = law.nominal_amps(1.0).0 - idle;
        let mut dark = Vec::new();
        held(network, limits, solver.drops(|_| idle), |figure| dark.push(figure));
        let mut found = Self { highest: [f64::INFINITY; 6], knees: f64::INFINITY };
        let mut i = 0;
        held(network, limits, solver.drops(|_| colours), |lit| {
            let dark = dark[i];
            i += 1;
            found.take(network, dark, lit);
        });
        found
    }

    /// Takes in one figure: what it is in the dark, and what full white adds.
    fn take(&mut self, network: &Network, dark: Held, lit: Held) {
        let highest = if dark.by == Binding::LeastVolts {
            let volts = network.trim().0 + dark.value;
            let to = |level: f64| down_to(volts - level, -lit.value);
            self.knees = self.knees.min(to(network.law().top_knee().0));
            to(dark.limit).max(0.0)
        } else if dark.value.abs() > dark.limit + ROUNDING {
            0.0
        } else {
            // Towards the limit on the side that the colours push it to.
            down_to(dark.limit - dark.value * lit.value.signum(), lit.value.abs()).max(0.0)
        };
        let lowest = &mut self.highest[dark.by as usize];
        *lowest = lowest.min(highest);
    }
}

/// How often `step` goes into `room`; negative where there is no room.
fn down_to(room: f64, step: f64) -> f64 {
    if step > 0.0 {
        room / step
    } else if room >= -ROUNDING {
        f64::INFINITY
    } else {
        -1.0
    }
}

/// The search below the knees.
struct Search<'s, 'n> {
    limits: &'s Limits,
    sinks: Sinks,
    solver: &'s mut Solver<'n>,
}

impl Search<'_, '_> {
    /// How far beyond each limit the panel is at a brightness, A and V.
    fn excess(&mut self, brightness: f64) -> Result<[f64; 6], Unsolved> {
        self.sinks.set_brightness(brightness);
        let (network, at) = self.solver.field(&self.sinks)?;
        let mut excess = [f64::NEG_INFINITY; 6];
        held(network, self.limits, at, |figure| {
            let most = &mut excess[figure.by as usize];
            *most = most.max(figure.excess());
        });
        Ok(excess)
    }

    /// The lowest ceiling of all limits. `held` is what is beyond each at `from`: nothing, unless
    /// that is 0.
    fn lowest(&mut self, from: f64, held: [f64; 6]) -> Result<Ceiling, Unsolved> {
        if let Some(by) = ORDER.into_iter().find(|by| held[*by as usize] > ROUNDING) {
            return Ok(Ceiling { brightness: from, binding: by });
        }
        let mut safe = Ceiling::OPEN;
        let mut excess = self.excess(1.0)?;
        // The limit that is passed by most is mostly the first to be passed; the others are then
        // within theirs, and need no search.
        while let Some(by) = self.passed_by_most(&excess) {
            let brightness = self.highest(by, from, safe.brightness)?;
            safe = Ceiling { brightness, binding: by };
            excess = self.excess(brightness)?;
            excess[by as usize] = f64::NEG_INFINITY;
        }
        let tie = |by: &Binding| excess[*by as usize] > -ROUNDING && *by < safe.binding;
        safe.binding = ORDER.into_iter().find(tie).unwrap_or(safe.binding);
        Ok(safe)
    }

    /// The limit that is passed by the largest share of it.
    fn passed_by_most(&self, excess: &[f64; 6]) -> Option<Binding> {
        let network = self.solver.network();
        let share = |by: Binding| {
            let of = match by {
                Binding::Supply => self.limits.supply.0,
                Binding::Jumper => self.limits.jumper.map_or(1.0, |amps| amps.0),
                Binding::Rail => self.limits.rail.0,
                Binding::LeastVolts => (network.trim() - self.limits.least_volts).0,
                _ => network.taps().iter().filter_map(|tap| tap.limit).next().map_or(1.0, |a| a.0),
            };
            excess[by as usize] / of.max(1e-3)
        };
        let passed = ORDER.into_iter().filter(|by| excess[*by as usize] > ROUNDING);
        passed.max_by(|a, b| share(*a).total_cmp(&share(*b)))
    }

    /// The highest brightness between `low` and `high` at which a limit holds; `low` if it holds
    /// nowhere above.
    fn highest(&mut self, by: Binding, low: f64, high: f64) -> Result<f64, Unsolved> {
        highest(low, high, |brightness| Ok(self.excess(brightness)?[by as usize]))
    }
}

/// The highest of `low` to `high` at which a rising excess is not above zero; `low` if it is so
/// nowhere. Regula falsi in its Illinois form, with the middle every third time, so that it ends
/// whatever the shape.
fn highest(
    mut low: f64,
    mut high: f64,
    mut excess: impl FnMut(f64) -> Result<f64, Unsolved>,
) -> Result<f64, Unsolved> {
    let mut above = excess(high)?;
    if above <= ROUNDING {
        return Ok(high);
    }
    let mut below = excess(low)?;
    if below > ROUNDING {
        return Ok(low);
    }
    let mut went_down = None;
    for turn in 0..120 {
        if high - low <= 1e-12 {
            break;
        }
        let straight = (low * above - high * below) / (above - below);
        let inside = straight > low && straight < high && turn % 3 < 2;
        let middle = if inside { straight } else { 0.5 * (low + high) };
        let found = excess(middle)?;
        if found.abs() <= 1e-12 {
            return Ok(middle);
        }
        // An end that stays twice is weighed down.
        let down = found > 0.0;
        let twice = went_down == Some(down);
        if down {
            (high, above) = (middle, found);
            below *= if twice { 0.5 } else { 1.0 };
        } else {
            (low, below) = (middle, found);
            above *= if twice { 0.5 } else { 1.0 };
        }
        went_down = Some(down);
    }
    Ok(low)
}

/// What a panel network draws at full white of a brightness.
fn amps(solver: &mut Solver, brightness: f64) -> Result<Amps, Unsolved> {
    let white = Sinks::white(solver.network().law(), brightness);
    Ok(solver.solve(&white)?.amps())
}

/// The highest brightness at which the wall takes no more from its circuit than it may, up to `most`.
/// `kinds` are the networks of the wall with how many panels have each and how far it is linear.
///
/// # Errors
/// [`Unsolved`] where the network of a brightness below the knees is.
pub fn circuit_ceiling(
    wall: &Wall,
    kinds: &[(&Network, usize, f64)],
    most: f64,
) -> Result<f64, Unsolved> {
    let limit = wall.power.mains.circuit_amps * wall.power.circuit_load;
    let count = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    let nominal = |brightness: f64| {
        let of = |(network, panels, _): &(&Network, usize, f64)| {
            let pixels = network.live_pixels() * panels;
            network.law().nominal_amps(brightness) * count(pixels)
        };
        mains_amps(wall, kinds.iter().map(of).sum()) - limit
    };
    // No pixel draws more than nominal.
    let (dark, bright) = (nominal(0.0).0, nominal(most).0);
    if bright <= ROUNDING {
        return Ok(most);
    }
    let linear_to = kinds.iter().map(|kind| kind.2).fold(f64::INFINITY, f64::min);
    let straight = -dark / (bright - dark) * most;
    if linear_to >= 0.0 && straight <= linear_to {
        return Ok(straight.max(0.0));
    }
    let mut solvers: Vec<(Solver, f64)> =
        kinds.iter().map(|(network, panels, _)| (Solver::new(network), count(*panels))).collect();
    // Nominal currents are too many, so that their ceiling is on the safe side.
    highest(straight.clamp(0.0, most), most, |brightness| {
        let mut strips = Amps(0.0);
        for (solver, panels) in &mut solvers {
            strips += amps(solver, brightness)? * *panels;
        }
        Ok((mains_amps(wall, strips) - limit).0)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lower_ceiling_and_on_a_tie_the_first_limit() {
        let at = |brightness, binding| Ceiling { brightness, binding };
        let (supply, rail) = (at(0.5, Binding::Supply), at(0.4, Binding::Rail));
        assert_eq!(supply.and(rail), rail);
        assert_eq!(rail.and(supply), rail);
        let tie = at(0.4, Binding::Fuse);
        assert_eq!(rail.and(tie), tie);
        assert_eq!(tie.and(rail), tie);
        assert_eq!(Ceiling::OPEN.and(at(1.0, Binding::Supply)), Ceiling::OPEN);
    }

    /// A straight line, a bend, a step, and what holds everywhere or nowhere.
    #[test]
    fn the_search_ends_where_the_excess_does() {
        let at = |excess: fn(f64) -> f64| highest(0.0, 1.0, |x| Ok(excess(x))).unwrap();
        assert!((at(|x| x - 0.3) - 0.3).abs() < 1e-12);
        assert!(
            (at(|x| if x < 0.7 { x - 0.71 } else { 100.0 * (x - 0.7001) }) - 0.7001).abs() < 1e-12
        );
        assert!((at(|x| if x < 0.123 { -1e-3 } else { 5.0 }) - 0.123).abs() < 1e-12);
        assert_eq!(at(|_| -1.0), 1.0);
        assert_eq!(at(|_| 1.0), 0.0);
    }
}
