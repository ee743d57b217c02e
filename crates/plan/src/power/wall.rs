//! The power of a whole wall: every panel's network solved, panels that are alike solved once, and
//! different ones side by side on as many threads as there are.

use std::collections::BTreeMap;
use std::thread;

use glowloom_design::Wall;
use glowloom_design::wall::{Edge, Jumpers, Panel, Path};
use serde::Serialize;

use super::ceiling::{Ceiling, PanelCeiling, ceiling, circuit_ceiling};
use super::figures::{PanelPower, panel_power};
use super::limits::{Binding, Limits};
use super::mains::{Mains, mains};
use super::network::Network;
use super::sinks::Sinks;
use super::solution::Solution;
use super::solve::{Solver, Unsolved};
use crate::path::{Cell, PanelPath};

/// Below so many pixels in all a thread costs more than it saves.
const WORTH_A_THREAD: usize = 20_000;

/// What the panels show.
#[derive(Clone, Copy)]
pub enum Showing<'p> {
    /// The same levels of red, green, blue and white everywhere, 0 to 1 in linear light.
    Even([f64; 4]),
    /// Levels by place of the picture.
    Picture(&'p (dyn Fn(Cell) -> [f64; 4] + Sync)),
}

impl Showing<'_> {
    /// All colours full on.
    pub const WHITE: Self = Self::Even([1.0; 4]);
    /// All colours off.
    pub const BLACK: Self = Self::Even([0.0; 4]);

    /// What the pixels of a panel draw under a brightness of 0 to 1.
    #[must_use]
    pub fn sinks(&self, panel: &Panel, network: &Network, brightness: f64) -> Sinks {
        match self {
            Self::Even(levels) => Sinks::even(network.law(), *levels, brightness),
            Self::Picture(level) => {
                let pixels = PanelPath::of(panel).lines().flat_map(|line| line.path());
                let levels = pixels.map(|pixel| level(pixel.picture)).collect();
                Sinks::by_pixel(network.law(), levels, brightness)
            }
        }
    }
}

/// The power figures of a wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WallPower {
    /// At the wall's plug, receivers included.
    pub mains: Mains,
    /// In the order of the wall file.
    pub panels: Vec<PanelPower>,
    /// The highest brightness of full white at which every limit holds.
    pub highest_safe_brightness: f64,
    /// What sets that end.
    pub binding: Binding,
    /// The first panel, from 0, whose limit that is; null for the circuit's, or none.
    pub binding_panel: Option<usize>,
}

/// A panel whose network has no answer.
#[derive(Clone, Debug, PartialEq)]
pub struct UnsolvedPanel {
    /// As the wall file has it.
    pub panel: String,
    /// How far it got.
    pub unsolved: Unsolved,
}

impl std::fmt::Display for UnsolvedPanel {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "panel {}: {}", self.panel, self.unsolved)
    }
}

impl std::error::Error for UnsolvedPanel {}

/// The networks of a wall, those of panels that are alike once.
#[derive(Clone, Debug)]
pub struct Networks {
    networks: Vec<Network>,
    /// The first panel of each.
    first: Vec<usize>,
    /// Of each panel.
    of_panel: Vec<usize>,
}

impl Networks {
    /// The networks of a wall.
    #[must_use]
    pub fn of(wall: &Wall) -> Self {
        let mut known: BTreeMap<Vec<u64>, usize> = BTreeMap::new();
        let mut found = Self { networks: Vec::new(), first: Vec::new(), of_panel: Vec::new() };
        for (number, panel) in wall.panels.iter().enumerate() {
            let kind = *known.entry(key(panel)).or_insert_with(|| {
                found.networks.push(Network::of(wall, panel));
                found.first.push(number);
                found.networks.len() - 1
            });
            found.of_panel.push(kind);
        }
        found
    }

    /// Each once, in the order in which they first come up.
    #[must_use]
    pub fn all(&self) -> &[Network] {
        &self.networks
    }

    /// Which one a panel has; panels count as in the wall file, from 0.
    #[must_use]
    pub fn kind(&self, panel: usize) -> usize {
        self.of_panel[panel]
    }

    /// The first panel that has it.
    #[must_use]
    pub fn first(&self, kind: usize) -> usize {
        self.first[kind]
    }

    /// The panels that have it, rising.
    pub fn panels(&self, kind: usize) -> impl Iterator<Item = usize> + '_ {
        let of = self.of_panel.iter().enumerate();
        of.filter(move |(_, of)| **of == kind).map(|(panel, _)| panel)
    }

    /// Pixels of all kinds, each once.
    fn pixels(&self) -> usize {
        self.networks.iter().map(Network::pixels).sum()
    }

    fn failed(&self, wall: &Wall, kind: usize, unsolved: Unsolved) -> UnsolvedPanel {
        let first = self.first.get(kind).and_then(|first| wall.panels.get(*first));
        UnsolvedPanel { panel: first.map_or_else(String::new, |p| p.name.clone()), unsolved }
    }

    fn solved<T>(
        &self,
        wall: &Wall,
        panel: usize,
        (showing, brightness): (Showing, f64),
        figures: impl FnOnce(&Solution) -> T,
    ) -> Result<T, UnsolvedPanel> {
        let kind = self.kind(panel);
        let network = &self.networks[kind];
        let sinks = showing.sinks(&wall.panels[panel], network, brightness);
        let solution = Solver::new(network).solve(&sinks);
        solution
            .map(|solution| figures(&solution))
            .map_err(|unsolved| UnsolvedPanel { panel: wall.panels[panel].name.clone(), unsolved })
    }

    /// What `figures` gives for the solution of every panel; panels that are alike and show the same
    /// are solved once.
    ///
    /// # Errors
    /// The first panel whose network has no answer.
    pub fn each_panel<T: Send>(
        &self,
        wall: &Wall,
        showing: Showing,
        brightness: f64,
        figures: impl Fn(usize, &Solution) -> T + Sync,
    ) -> Result<Vec<T>, UnsolvedPanel> {
        let shown = (showing, brightness);
        match showing {
            Showing::Even(_) => {
                let kinds = in_parallel(self.networks.len(), self.pixels(), |kind| {
                    self.solved(wall, self.first[kind], shown, |solution| {
                        let of = |panel| (panel, figures(panel, solution));
                        self.panels(kind).map(of).collect::<Vec<_>>()
                    })
                })?;
                let panels: BTreeMap<usize, T> = kinds.into_iter().flatten().collect();
                Ok(panels.into_values().collect())
            }
            Showing::Picture(_) => {
                let pixels = wall.panels.iter().map(|panel| panel.pixels() as usize).sum();
                in_parallel(wall.panels.len(), pixels, |panel| {
                    self.solved(wall, panel, shown, |solution| figures(panel, solution))
                })
            }
        }
    }

    /// What `figures` gives for even levels of red, green, blue and white under a brightness: all kinds
    /// of panels at the first picture, then all at the second, and so on.
    ///
    /// # Errors
    /// The first panel whose network has no answer.
    pub fn each_kind<T: Send>(
        &self,
        wall: &Wall,
        pictures: &[([f64; 4], f64)],
        figures: impl Fn(&Solution) -> T + Sync,
    ) -> Result<Vec<T>, UnsolvedPanel> {
        let kinds = self.networks.len();
        in_parallel(kinds * pictures.len(), self.pixels() * pictures.len(), |i| {
            let (levels, brightness) = pictures[i / kinds];
            let shown = (Showing::Even(levels), brightness);
            self.solved(wall, self.first[i % kinds], shown, &figures)
        })
    }
}

/// Numbers that two panels of a wall share if, and only if, their networks are equal.
fn key(panel: &Panel) -> Vec<u64> {
    let mut key: Vec<u64> =
        [panel.strip_count(), panel.strip_pixels(), panel.data_lines].map(u64::from).to_vec();
    key.push(u64::from(panel.path == Path::Progressive));
    key.push(u64::from(panel.jumpers == Jumpers::Data));
    for feed in &panel.feeds {
        let wire = &feed.wire;
        let limit = wire.amps.map_or(u64::MAX, |amps| amps.0.to_bits());
        key.extend([u64::from(feed.strip), u64::from(feed.edge == Edge::Near), limit]);
        key.extend([wire.ohms_per_metre.0.to_bits(), wire.length.0.to_bits()]);
    }
    key
}

/// Every panel of a wall at full white under its `brightness_limit`, and how bright it may be.
///
/// # Errors
/// The first panel whose network has no answer.
pub fn wall_power(wall: &Wall) -> Result<WallPower, UnsolvedPanel> {
    Ok(Study::of(wall)?.power)
}

/// The same with another picture under another brightness. How bright the wall may be is always
/// told for full white.
///
/// # Errors
/// The first panel whose network has no answer.
pub fn wall_power_showing(
    wall: &Wall,
    showing: Showing,
    brightness: f64,
) -> Result<WallPower, UnsolvedPanel> {
    Ok(Study::showing(wall, showing, brightness)?.power)
}

/// A wall's power with all that it was worked out from, for whoever has to judge it.
#[derive(Clone, Debug)]
pub struct Study {
    /// The copper of the panels.
    pub networks: Networks,
    /// What it is held to.
    pub limits: Limits,
    /// How bright each kind of panel may be, in the order of [`Networks::all`].
    pub ceilings: Vec<PanelCeiling>,
    /// The figures.
    pub power: WallPower,
}

impl Study {
    /// Full white under the wall's `brightness_limit`.
    ///
    /// # Errors
    /// The first panel whose network has no answer.
    pub fn of(wall: &Wall) -> Result<Self, UnsolvedPanel> {
        Self::showing(wall, Showing::WHITE, wall.power.brightness_limit)
    }

    /// A picture under a brightness of 0 to 1.
    ///
    /// # Errors
    /// The first panel whose network has no answer.
    pub fn showing(wall: &Wall, showing: Showing, brightness: f64) -> Result<Self, UnsolvedPanel> {
        let networks = Networks::of(wall);
        let limits = Limits::of(wall);
        let kinds = networks.all();
        let ceilings = in_parallel(kinds.len(), networks.pixels(), |kind| {
            ceiling(&mut Solver::new(&kinds[kind]), &limits)
                .map_err(|unsolved| networks.failed(wall, kind, unsolved))
        })?;
        let panels = networks.each_panel(wall, showing, brightness, |panel, solution| {
            let ceiling = &ceilings[networks.kind(panel)];
            panel_power(wall, &wall.panels[panel], &limits, solution, ceiling)
        })?;
        let (safe, binding_panel) = safe(wall, &networks, &ceilings)
            .map_err(|unsolved| networks.failed(wall, 0, unsolved))?;
        let power = WallPower {
            mains: mains(wall, panels.iter().map(|panel| panel.amps).sum()),
            panels,
            highest_safe_brightness: safe.brightness,
            binding: safe.binding,
            binding_panel,
        };
        Ok(Self { networks, limits, ceilings, power })
    }
}

/// The lowest ceiling of all panels and the circuit, and the panel that has it.
fn safe(
    wall: &Wall,
    networks: &Networks,
    ceilings: &[PanelCeiling],
) -> Result<(Ceiling, Option<usize>), Unsolved> {
    let (mut safe, mut panel) = (Ceiling::OPEN, None);
    for (kind, ceiling) in ceilings.iter().enumerate() {
        let lower = safe.and(ceiling.safe);
        if lower != safe {
            (safe, panel) = (lower, Some(networks.first[kind]));
        }
    }
    let kinds: Vec<_> = networks
        .all()
        .iter()
        .zip(ceilings)
        .enumerate()
        .map(|(kind, (network, ceiling))| {
            (network, networks.panels(kind).count(), ceiling.linear_to)
        })
        .collect();
    let brightness = circuit_ceiling(wall, &kinds, safe.brightness)?;
    let lower = safe.and(Ceiling { brightness, binding: Binding::Circuit });
    if brightness < safe.brightness && lower != safe {
        (safe, panel) = (lower, None);
    }
    Ok((safe, panel))
}

/// What `work` gives for 0 to `count`, in that order, whichever is done first.
fn in_parallel<T: Send, E: Send>(
    count: usize,
    pixels: usize,
    work: impl Fn(usize) -> Result<T, E> + Sync,
) -> Result<Vec<T>, E> {
    let threads = thread::available_parallelism().map_or(1, usize::from).min(count);
    if threads < 2 || pixels < WORTH_A_THREAD {
        return (0..count).map(work).collect();
    }
    let share = |first: usize| -> Vec<Result<T, E>> {
        (first..count).step_by(threads).map(&work).collect()
    };
    let mut shares: Vec<std::vec::IntoIter<Result<T, E>>> = thread::scope(|scope| {
        let others: Vec<_> = (1..threads)
            .map(|first| {
                // Where no thread can be had the work is done here.
                let started = thread::Builder::new().spawn_scoped(scope, move || share(first));
                (first, started)
            })
            .collect();
        let mut shares = vec![share(0).into_iter()];
        for (first, started) in others {
            let done = match started.map(thread::ScopedJoinHandle::join) {
                Ok(Ok(done)) => done,
                Ok(Err(panic)) => std::panic::resume_unwind(panic),
                Err(_) => share(first),
            };
            shares.push(done.into_iter());
        }
        shares
    });
    let mut all = Vec::with_capacity(count);
    for i in 0..count {
        all.extend(shares[i % threads].next());
    }
    all.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_are_in_order_whoever_does_them() {
        for count in [0, 1, 2, 7, 100] {
            let found = in_parallel(count, WORTH_A_THREAD, |i| Ok::<_, ()>(i * i));
            assert_eq!(found, Ok((0..count).map(|i| i * i).collect()), "{count}");
        }
        let found = in_parallel(9, WORTH_A_THREAD, |i| if i % 4 == 3 { Err(i) } else { Ok(i) });
        assert_eq!(found, Err(3), "the first failure, whichever comes first");
    }
}
