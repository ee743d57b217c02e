//! The sections of the file: each key with its kind, its own range, and what the manual says.

mod light;
mod making;
mod measured;
mod power;
mod receiver;
mod showing;

use glowloom_units::{Amps, Metres, Volts};

use super::values::Value;
use crate::wall::MOST_AMPS;

pub use light::{Panel, PanelOwn, PanelShape, Strip, WallSection};
pub use making::{Baffle, Board, Diffuser, Hanging, Money, Prices, Stock};
pub use measured::Measured;
pub use power::{Feed, Feeds, Mains, Power, Supply, SupplyFigures, Wire};
pub use receiver::{Receiver, ReceiverBoard, ReceiverFigures};
pub use showing::{Book, Cuts, QuietHours, Scene, Show};

fn length(v: Value<'_, '_, '_>) -> Option<Metres> {
    v.measured(|m: Metres| m.0, 0.0001..=1000.0)
}

fn volts(v: Value<'_, '_, '_>) -> Option<Volts> {
    v.quantity(Volts, |x: Volts| x.0, 0.0..=100.0)
}

fn amps(v: Value<'_, '_, '_>) -> Option<Amps> {
    v.quantity(Amps, |x: Amps| x.0, 0.0..=MOST_AMPS)
}

/// 0 to 1.
fn share(v: Value<'_, '_, '_>) -> Option<f64> {
    v.number(0.0..=1.0)
}

/// 0.01 to 1: what is divided by.
fn some_share(v: Value<'_, '_, '_>) -> Option<f64> {
    v.number(0.01..=1.0)
}
