//! Where panels and pixels are as built, in metres right and down from the picture's top-left
//! corner.
//!
//! A pixel's centre is at (column + 1/2) and (row + 1/2) pitches, unless the panel says otherwise:
//! `strip_spacing` is its own step across its strips, `place` its own top-left corner. Both hold for
//! the panel as it hangs: where it is turned by a quarter, its spacing turns with it.

use glowloom_design::wall::{Direction, Panel, Parts};
use glowloom_units::Metres;

use crate::path::Cell;

/// One direction of a panel: right or down.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Axis {
    /// Where counting starts.
    corner: Metres,
    /// Pixels from there to the panel's edge.
    skipped: f64,
    /// Pixels of the panel.
    count: u32,
    /// From one pixel to the next.
    step: Metres,
}

impl Axis {
    /// The axis of a panel that starts at pixel `at`. A panel on the common grid is counted from
    /// the grid's own corner, so that its last edge is the next panel's first to the last bit.
    fn new(at: u32, count: u32, place: Option<Metres>, step: Metres, pitch: Metres) -> Self {
        match place {
            Some(corner) => Self { corner, skipped: 0.0, count, step },
            None if step == pitch => {
                Self { corner: Metres(0.0), skipped: f64::from(at), count, step }
            }
            None => Self { corner: pitch * f64::from(at), skipped: 0.0, count, step },
        }
    }

    /// That many pixels from the panel's edge.
    fn position(&self, pixels: f64) -> Metres {
        self.corner + self.step * (self.skipped + pixels)
    }
}

/// A rectangle as built.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)] // the edges are their names
pub struct Outline {
    pub left: Metres,
    pub top: Metres,
    pub right: Metres,
    pub bottom: Metres,
}

impl Outline {
    /// From left to right.
    #[must_use]
    pub fn width(&self) -> Metres {
        self.right - self.left
    }

    /// From top to bottom.
    #[must_use]
    pub fn height(&self) -> Metres {
        self.bottom - self.top
    }

    /// The least rectangle round both.
    #[must_use]
    pub fn with(&self, other: &Self) -> Self {
        Self {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    /// How far two reach into each other, right and down; `None` where they only touch, within a
    /// micrometre.
    #[must_use]
    pub fn overlap(&self, other: &Self) -> Option<(Metres, Metres)> {
        let right = self.right.min(other.right) - self.left.max(other.left);
        let down = self.bottom.min(other.bottom) - self.top.max(other.top);
        let touch = Metres(1e-6);
        (right > touch && down > touch).then_some((right, down))
    }
}

/// A panel as it hangs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Built {
    right: Axis,
    down: Axis,
}

impl Built {
    /// The panel as the wall file has it.
    #[must_use]
    pub fn of(wall: &Parts, panel: &Panel) -> Self {
        let pitch = wall.pitch();
        let spacing = panel.strip_spacing.unwrap_or(pitch);
        // Upright strips of a panel that is turned by a quarter lie.
        let upright = (panel.strips == Direction::Vertical) != panel.turn.swaps();
        let (step_right, step_down) = if upright { (spacing, pitch) } else { (pitch, spacing) };
        let (columns, rows) = panel.hung();
        let (left, top) = panel.place.unzip();
        Self {
            right: Axis::new(panel.at.0, columns, left, step_right, pitch),
            down: Axis::new(panel.at.1, rows, top, step_down, pitch),
        }
    }

    /// Its edges: half a step around the centres of its outermost pixels.
    #[must_use]
    pub fn outline(&self) -> Outline {
        Outline {
            left: self.right.position(0.0),
            top: self.down.position(0.0),
            right: self.right.position(f64::from(self.right.count)),
            bottom: self.down.position(f64::from(self.down.count)),
        }
    }

    /// From its left edge to its right one, and from its top to its bottom.
    #[must_use]
    pub fn size(&self) -> (Metres, Metres) {
        // Not the difference of two edges: equal panels are equal to the last bit.
        let of = |axis: &Axis| axis.step * f64::from(axis.count);
        (of(&self.right), of(&self.down))
    }

    /// From one pixel to the next: right, down.
    #[must_use]
    pub fn steps(&self) -> (Metres, Metres) {
        (self.right.step, self.down.step)
    }

    /// The centre of a pixel of the panel as hung.
    #[must_use]
    pub fn centre(&self, hung: Cell) -> (Metres, Metres) {
        let half = |i: u32| f64::from(i) + 0.5;
        (self.right.position(half(hung.column)), self.down.position(half(hung.row)))
    }
}

/// The centre of a picture pixel on the common grid.
#[must_use]
pub fn grid_centre(wall: &Parts, picture: Cell) -> (Metres, Metres) {
    let pitch = wall.pitch();
    let at = |i: u32| pitch * (f64::from(i) + 0.5);
    (at(picture.column), at(picture.row))
}
