//! Volts over a panel as hung, to be drawn: which pixels are low, and by how much.

use glowloom_design::Wall;
use glowloom_units::Volts;

use super::network::Network;
use super::solution::Solution;
use super::solve::Solver;
use super::summary::Power;
use super::wall::{Showing, UnsolvedPanel};
use crate::path::PanelPath;

/// Volts of each field of a grid over a panel as hung, seen from the front, row by row from the top
/// left. A field is one pixel, or the lowest of several.
#[derive(Clone, Debug, PartialEq)]
pub struct VoltMap {
    /// Fields across.
    pub columns: usize,
    /// Fields down.
    pub rows: usize,
    /// Pixels of a field, across and down; those at the right and the bottom may have fewer.
    pub field: (usize, usize),
    /// `None` where no feed reaches a pixel of the field.
    pub volts: Vec<Option<Volts>>,
}

/// The volts over one panel, from 0 in the order of the file.
///
/// # Errors
/// [`UnsolvedPanel`] where the panel's network has no answer.
///
/// # Panics
/// If the wall has no such panel.
pub fn volt_map(
    wall: &Wall,
    panel: usize,
    showing: Showing,
    brightness: f64,
) -> Result<VoltMap, UnsolvedPanel> {
    let panel = &wall.panels[panel];
    let network = Network::of(wall, panel);
    let sinks = showing.sinks(panel, &network, brightness);
    let solution = Solver::new(&network)
        .solve(&sinks)
        .map_err(|unsolved| UnsolvedPanel { panel: panel.name.clone(), unsolved })?;
    Ok(VoltMap::of(&PanelPath::of(panel), &solution))
}

impl VoltMap {
    /// One field for each pixel.
    #[must_use]
    pub fn of(path: &PanelPath, solution: &Solution) -> Self {
        let network = solution.network();
        let pixels: Vec<_> = path.lines().flat_map(|line| line.path()).collect();
        let most = |of: fn(&crate::path::Pixel) -> u32| pixels.iter().map(of).max();
        let columns = most(|pixel| pixel.hung.column).map_or(0, |last| last as usize + 1);
        let rows = most(|pixel| pixel.hung.row).map_or(0, |last| last as usize + 1);
        let mut volts = vec![None; columns * rows];
        for (pixel, at) in pixels.iter().zip(solution.all_volts()) {
            let live = network.is_live(pixel.strip as usize - 1);
            let field = pixel.hung.row as usize * columns + pixel.hung.column as usize;
            volts[field] = live.then_some(at);
        }
        Self { columns, rows, field: (1, 1), volts }
    }

    /// The same with fields so large that there are no more than so many, the lowest pixel speaking
    /// for its field.
    #[must_use]
    pub fn reduced(&self, most_columns: usize, most_rows: usize) -> Self {
        let across = self.columns.div_ceil(most_columns.max(1)).max(1);
        let down = self.rows.div_ceil(most_rows.max(1)).max(1);
        let (columns, rows) = (self.columns.div_ceil(across), self.rows.div_ceil(down));
        // Dead is lower than anything.
        let mut lowest: Vec<Option<Option<Volts>>> = vec![None; columns * rows];
        for (i, volts) in self.volts.iter().enumerate() {
            let (column, row) = (i % self.columns / across, i / self.columns / down);
            let field = &mut lowest[row * columns + column];
            *field = Some(match (*field, *volts) {
                (None, volts) => volts,
                (Some(Some(low)), Some(volts)) => Some(low.min(volts)),
                _ => None,
            });
        }
        let volts = lowest.into_iter().map(Option::flatten).collect();
        Self { columns, rows, field: (across, down), volts }
    }

    /// The lowest of all fields that a feed reaches.
    #[must_use]
    pub fn lowest(&self) -> Option<Volts> {
        self.volts.iter().copied().flatten().reduce(Volts::min)
    }
}

/// Voltages in classes of a round size, the first the lowest.
#[derive(Clone, Debug, PartialEq)]
pub struct Classes {
    /// The upper end of the last class, in steps.
    top: f64,
    step: f64,
    count: usize,
}

impl Classes {
    /// As many classes as fit, no more than `most`, that hold all from `low` to `high`.
    #[must_use]
    pub fn of(low: Volts, high: Volts, most: usize) -> Self {
        let most = most.max(1) as f64;
        let sizes = (-3..4).flat_map(|ten| [1.0, 2.0, 5.0].map(|size| size * 10f64.powi(ten)));
        // Rounding must not open a class for nothing.
        let ends =
            |step: f64| ((low.0 / step + 1e-9).floor(), (high.0.max(low.0) / step - 1e-9).ceil());
        let fits = |step: &f64| {
            let (from, to) = ends(*step);
            to - from <= most
        };
        let step = sizes.into_iter().find(fits).unwrap_or(10_000.0);
        let (from, to) = ends(step);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "few")]
        let count = (to - from).max(1.0) as usize;
        Self { top: to, step, count }
    }

    /// How many there are, at least 1.
    #[must_use]
    pub fn count(&self) -> usize {
        self.count
    }

    /// From and to of one.
    #[must_use]
    pub fn ends(&self, class: usize) -> [Volts; 2] {
        let from = self.top - (self.count - class.min(self.count)) as f64;
        [Volts(from * self.step), Volts((from + 1.0) * self.step)]
    }

    /// The class of a voltage; what lies outside is in the nearest.
    #[must_use]
    pub fn class(&self, volts: Volts) -> usize {
        let from = self.top - self.count as f64;
        let at = (volts.0 / self.step + 1e-9).floor() - from;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let class = at.clamp(0.0, (self.count - 1) as f64) as usize;
        class
    }

    /// Digits behind the point that tell classes apart.
    #[must_use]
    pub fn digits(&self) -> usize {
        if self.step >= 1.0 {
            0
        } else if self.step >= 0.1 {
            1
        } else if self.step >= 0.01 {
            2
        } else {
            3
        }
    }
}

/// Panels whose figures are the same, by their number in the file; places count from the panel's own
/// corner.
#[must_use]
pub fn alike(wall: &Wall, power: &Power) -> Vec<Vec<usize>> {
    let mut kinds: Vec<Vec<usize>> = Vec::new();
    let key = |i: usize| {
        let (mut figures, panel) = (power.panels[i].clone(), &wall.panels[i]);
        figures.name.clear();
        let [column, row] = figures.least_volts_at;
        figures.least_volts_at = [column.wrapping_sub(panel.at.0), row.wrapping_sub(panel.at.1)];
        (figures, panel.columns, panel.rows, panel.turn, panel.enter, panel.strips)
    };
    let mut keys = Vec::new();
    for i in 0..power.panels.len().min(wall.panels.len()) {
        let own = key(i);
        match keys.iter().position(|known| *known == own) {
            Some(kind) => {
                let kind: &mut Vec<usize> = &mut kinds[kind];
                kind.push(i);
            }
            None => {
                keys.push(own);
                kinds.push(vec![i]);
            }
        }
    }
    kinds
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_of_round_size() {
        let classes = Classes::of(Volts(4.39), Volts(5.0), 8);
        assert_eq!(classes.count(), 7);
        assert_eq!(classes.digits(), 1);
        let [from, to] = classes.ends(0);
        assert!((from.0 - 4.3).abs() < 1e-9 && (to.0 - 4.4).abs() < 1e-9);
        assert!((classes.ends(6)[1].0 - 5.0).abs() < 1e-9);
        assert_eq!(
            [4.2, 4.39, 4.4, 4.99, 5.0, 7.0].map(|v| classes.class(Volts(v))),
            [0, 0, 1, 6, 6, 6]
        );
        assert_eq!(Classes::of(Volts(5.0), Volts(5.0), 8).count(), 1);
        assert_eq!(Classes::of(Volts(0.0), Volts(5.0), 8).count(), 5);
    }

    /// Square panels whose strips run across and down have the same figures, and another map each.
    #[test]
    fn panels_of_other_strips_are_not_alike() {
        let of = |strips: &str| {
            let text = format!(
                "format = 1\n[wall]\nname = \"W\"\ncolumns = 18\nrows = 9\n[strip]\npart = \"ws2812b-30\"\n\
                 [panel]\ncolumns = 9\nrows = 9\nenter = \"bottom-right\"\n[[panels]]\nname = \"a\"\n\
                 at = [0, 0]\n[[panels]]\nname = \"b\"\nat = [9, 0]\nstrips = \"{strips}\"\n"
            );
            let wall = glowloom_design::read(text.as_bytes()).unwrap();
            let power = super::super::summary::solved(&wall).unwrap().0;
            alike(&wall, &power)
        };
        assert_eq!(of("vertical"), [vec![0, 1]]);
        assert_eq!(of("horizontal"), [vec![0], vec![1]]);
    }

    #[test]
    fn the_lowest_speaks_for_its_field() {
        let volts = [5.0, 4.0, 3.0, 2.0, 1.0, 6.0].map(|v| Some(Volts(v)));
        let map = VoltMap { columns: 3, rows: 2, field: (1, 1), volts: volts.to_vec() };
        let small = map.reduced(2, 1);
        assert_eq!((small.columns, small.rows, small.field), (2, 1, (2, 2)));
        assert_eq!(small.volts, [Some(Volts(1.0)), Some(Volts(3.0))]);
        assert_eq!(map.lowest(), Some(Volts(1.0)));
        assert_eq!(map.reduced(9, 9), map);
        let mut dead = map;
        dead.volts[3] = None;
        assert_eq!(dead.reduced(1, 1).volts, [None]);
    }
}
