//! The flash guard: whatever comes in, no more than three flashes in any one second go out.
//!
//! WCAG 2.3.1 (read in the guideline itself): nothing flashes more than three times in any one
//! second. A general flash is a pair of opposing changes of relative luminance of 10 % of the
//! maximum or more, where the darker state is below 0.80; a red flash is a pair of opposing changes
//! that involve a saturated red. The rule forgives small areas; nearly any wall is larger than
//! that, so that changes are counted on the mean light of the whole picture, of every window a
//! quarter of its size, and of other quarters and halves that could flash in turn ([`zones`]); on a wall
//! that is larger than a viewer's field of 10 degrees, of squares of a quarter of that field besides. What
//! flashes in finer patterns than those, one part up while its neighbour goes down, is not seen.
//!
//! A frame that would be one change too many is mixed with the frame shown last, as little as keeps
//! the change below what counts. All else passes untouched.

mod general;
mod recent;
mod red;
mod zones;

use std::time::Duration;

use self::general::{DARKER, MIXED_DARKER};
use self::zones::{Cells, Grid, Look, Zone};
use crate::frame::LinearFrame;

/// Steps of halving in the search for the largest share of a frame that may be shown: finer than
/// the last bit of an 8-bit channel.
const HALVINGS: u32 = 12;

/// Holds frames back where they would flash too often. It stands after every source and before the
/// bytes leave; it reads no clock.
#[derive(Clone, Debug)]
pub struct FlashGuard {
    shown: LinearFrame,
    shown_cells: Cells,
    mixed: LinearFrame,
    grid: Grid,
    zones: Vec<Zone>,
    /// What there is to see in each zone of the frame that is judged.
    looks: Vec<Option<Look>>,
    now: Duration,
    held: u64,
    brightness: f64,
}

impl FlashGuard {
    /// A guard over a wall that is dark.
    #[must_use]
    pub fn new(columns: u32, rows: u32) -> Self {
        let grid = Grid::new((0.0, 0.0));
        Self {
            zones: vec![Zone::default(); grid.len()],
            looks: Vec::with_capacity(grid.len()),
            grid,
            shown: LinearFrame::new(columns, rows),
            shown_cells: Cells::default(),
            mixed: LinearFrame::new(columns, rows),
            now: Duration::ZERO,
            held: 0,
            brightness: 1.0,
        }
    }

    /// Tells how much of the picture a viewer has in one field of 10 degrees, in pixels across and down.
    /// Parts of a quarter of it are followed besides those of the picture, down to an eighth of the
    /// picture's width and height. What has flashed before is forgotten: for a wall that is dark.
    pub fn set_field(&mut self, columns: f64, rows: f64) {
        let fields = |all: u32, field: f64| if field > 0.0 { f64::from(all) / field } else { 0.0 };
        let (across, down) = (self.shown.columns(), self.shown.rows());
        self.grid = Grid::new((fields(across, columns), fields(down, rows)));
        self.zones = vec![Zone::default(); self.grid.len()];
        self.looks = Vec::with_capacity(self.grid.len());
        self.shown_cells = Cells::measure(&self.shown, &self.grid);
    }

    /// Tells at which share of the wall's full light, 0 to 1, frames are shown from now on. A dimmed
    /// wall has no states so bright that their changes are forgiven.
    pub fn set_brightness(&mut self, share: f32) {
        self.brightness = f64::from(share).clamp(0.0, 1.0);
    }

    /// A bound on the darker state, as the frame has it before it is dimmed.
    fn bound(&self, of_full_light: f64) -> f64 {
        // At no light at all nothing flashes, and everything may count.
        of_full_light / self.brightness.max(1e-3)
    }

    /// Takes the frame that is wanted `now`, and leaves what may be shown in [`Self::shown`].
    /// Returns whether the frame had to be held back.
    ///
    /// A frame that passes is swapped with the one shown before; one that is held back stays in
    /// `wanted`, to be tried again. `now` may be measured from any moment; a time before the last
    /// one is taken for the last one.
    pub fn pass(&mut self, now: Duration, wanted: &mut LinearFrame) -> bool {
        self.now = self.now.max(now);
        self.shown.resize(wanted.columns(), wanted.rows());
        self.mixed.resize(wanted.columns(), wanted.rows());
        let cells = Cells::measure(wanted, &self.grid);
        cells.look(&self.grid, &mut self.looks);
        if self.allows(self.bound(DARKER)) {
            std::mem::swap(&mut self.shown, wanted);
            self.note(cells);
            return false;
        }
        self.held += 1;
        let share = self.largest_share(&cells);
        mix(&self.shown, wanted, share, &mut self.mixed);
        let cells = Cells::measure(&self.mixed, &self.grid);
        cells.look(&self.grid, &mut self.looks);
        // Rounding can push a mixture over the edge that it was brought to; the frame shown last
        // never is.
        if self.allows(self.bound(DARKER)) {
            std::mem::swap(&mut self.shown, &mut self.mixed);
            self.note(cells);
        }
        true
    }

    /// What may be shown: after [`Self::pass`], at that time.
    #[must_use]
    pub fn shown(&self) -> &LinearFrame {
        &self.shown
    }

    /// How many frames have been held back.
    #[must_use]
    pub fn held(&self) -> u64 {
        self.held
    }

    /// Whether what is looked at may be shown.
    fn allows(&self, darker: f64) -> bool {
        let mut zones = self.zones.iter().zip(&self.looks);
        zones.all(|(zone, look)| look.is_none_or(|look| zone.allows(look, darker, self.now)))
    }

    /// What is looked at has been shown.
    fn note(&mut self, cells: Cells) {
        let darker = self.bound(DARKER);
        for (zone, look) in self.zones.iter_mut().zip(&self.looks) {
            if let Some(look) = *look {
                zone.note(look, darker, self.now);
            }
        }
        self.shown_cells = cells;
    }

    /// The largest share of the wanted frame, in 32,768ths, that is found to be allowed.
    fn largest_share(&mut self, wanted: &Cells) -> u16 {
        let (mut allowed, mut refused) = (0u16, 1 << 15);
        for _ in 0..HALVINGS {
            let middle = allowed.midpoint(refused);
            let share = f64::from(middle) / f64::from(1 << 15);
            self.shown_cells.mixed(wanted, share).look(&self.grid, &mut self.looks);
            if self.allows(self.bound(MIXED_DARKER)) {
                allowed = middle;
            } else {
                refused = middle;
            }
        }
        allowed
    }
}

/// `from` moved towards `to` by `share` 32,768ths, in linear light.
fn mix(from: &LinearFrame, to: &LinearFrame, share: u16, into: &mut LinearFrame) {
    let share = i32::from(share);
    for ((out, &from), &to) in into.values_mut().iter_mut().zip(from.values()).zip(to.values()) {
        let step = ((i32::from(to) - i32::from(from)) * share) >> 15;
        *out = (i32::from(from) + step) as u16;
    }
}
