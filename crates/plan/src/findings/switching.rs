//! What supplies do when they are switched on, and when something shorts them.

use glowloom_design::Wall;
use glowloom_units::{Amps, Watts};

use super::key_place;
use crate::finding::{Code, Finding};

/// So many supplies on one switch are no matter (common practice, no source).
const FEW: usize = 3;
/// The most that a power-limited output of up to 20 V gives: 5 A by its nameplate (NEC chapter 9,
/// table 11, second-hand), 100 W (IEC 62368-1 PS2, from memory).
const LIMITED: (Amps, Watts) = (Amps(5.0), Watts(100.0));

/// Many supplies that draw their first gulp at the same moment.
pub(super) fn inrush(wall: &Wall) -> Option<Finding> {
    let supplies = wall.panels.len() * wall.power.supplies_per_panel as usize;
    (supplies > FEW).then(|| {
        Finding::new(
            Code::Inrush,
            key_place(wall, "power", "supplies_per_panel"),
            format!("{supplies} supplies switched on together may trip the breaker"),
            format!(
                "As it is plugged in each supply draws some tens of amps for a few milliseconds (from \
                 memory; its data sheet says how many), whatever the wall shows; the circuit is of {}",
                wall.power.mains.circuit_amps
            ),
            "Switch them on one after the other or in groups of three, by strips with a switch or by a relay \
             with a delay; never answer a tripping breaker with a larger one. Follow local codes and ask a \
             licensed electrician where they want one."
                .into(),
        )
    })
}

/// An output that may be touched and is strong enough to burn all the same.
pub(super) fn not_limited(wall: &Wall) -> Option<Finding> {
    let power = &wall.power;
    let watts = power.supply.volts * power.supply.amps;
    let limited = power.supply.amps <= LIMITED.0 && watts <= LIMITED.1;
    if limited || !super::supply::may_be_touched(power) {
        return None;
    }
    Some(Finding::new(
        Code::SupplyNotPowerLimited,
        key_place(wall, "power", "supply"),
        "the supply is safe to touch and strong enough to start a fire".into(),
        format!(
            "Its {} are extra-low voltage, but {} ({watts}) through a short weld tools and burn insulation; \
             an output counts as power-limited up to {} (NEC class 2, second-hand) or {} (IEC 62368-1, \
             from memory)",
            power.supply.volts, power.supply.amps, LIMITED.0, LIMITED.1
        ),
        "Fit a fuse for each feed at the supply, as the plan lists them; cover its terminals, never join \
         two supplies' plus, and check polarity and shorts with a meter before you switch on."
            .into(),
    ))
}
