//! The sections of the file: each key with its kind, its own range, and what the manual says.

mod light;
mod making;
mod measured;
mod power;
mod receiver;
mod showing;

use glowloom_units::{Amps, Chromaticity, Metres, Volts};

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

/// CIE 1931 x and y.
fn chromaticity(mut v: Value<'_, '_, '_>) -> Option<Chromaticity> {
    let wanted =
        "CIE 1931 x and y, such as [0.3127, 0.329]: 0 to 1, y above 0, both at most 1 together";
    let again = Value { cx: v.cx, value: v.value, path: v.path, key: v.key };
    let (x, y) = again.pair(|v| v.number(0.0..=1.0))?;
    let found = Chromaticity::new(x, y);
    if found.is_none() {
        v.out_of_range(wanted);
    }
    found
}

/// 0 to 1.
fn share(v: Value<'_, '_, '_>) -> Option<f64> {
    v.number(0.0..=1.0)
}

/// 0.01 to 1: what is divided by.
fn some_share(v: Value<'_, '_, '_>) -> Option<f64> {
    v.number(0.01..=1.0)
}
