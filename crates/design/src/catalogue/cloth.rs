//! The cloth in front, and what a cell does with light before it gets there: starting points for
//! a wall file that says nothing of them.

use glowloom_units::{KilogramsPerSquareMetre, Metres};

use super::{Figure, SOFT, figure};

/// Width as bought.
pub const ROLL_WIDTH: Figure<Metres> = figure(Metres(1.5), "as sold, from memory: 1.4 to 1.6 m");
/// For its area.
pub const MASS: Figure<KilogramsPerSquareMetre> =
    figure(KilogramsPerSquareMetre(0.15), "from memory, 0.1 to 0.2; weigh a piece");
/// Share of the light that comes through a thin white cloth.
pub const TRANSMISSION: Figure<f64> = figure(0.5, SOFT);
/// Share of the light that white printed walls and a white floor throw back.
pub const CELL_REFLECTANCE: Figure<f64> = figure(0.7, SOFT);
