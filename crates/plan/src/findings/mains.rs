//! What the wall takes from its mains circuit.

use glowloom_design::Wall;

use super::words::{level_to_write, listed, percent};
use crate::finding::{Code, Finding};
use crate::power::Power;

/// A circuit above its rating, or above the share of it that is wanted at most.
pub(super) fn circuit(wall: &Wall, power: &Power) -> Option<Finding> {
    let (mains, share) = (&wall.power.mains, power.mains.circuit_share);
    let forgiven = 1.0 + 1e-9;
    let (code, title) = if share > forgiven {
        (Code::CircuitOverloaded, "the wall overloads its mains circuit")
    } else if share > wall.power.circuit_load * forgiven {
        (Code::CircuitNearLimit, "the wall is near the limit of its mains circuit")
    } else {
        return None;
    };
    let wanted = match code {
        Code::CircuitNearLimit => {
            format!("; circuit_load asks for {} at most", percent(wall.power.circuit_load))
        }
        _ => String::new(),
    };
    Some(Finding::new(
        code,
        wall.place(&["power.mains.circuit_amps", "power.mains", "power"]),
        title.into(),
        format!(
            "At full white under a brightness limit of {} all supplies together take {} from the \
             mains at {}, {} of the circuit's {}{wanted}",
            wall.power.brightness_limit,
            power.mains.amps,
            mains.volts,
            percent(share),
            mains.circuit_amps
        ),
        remedy(power),
    ))
}

fn remedy(power: &Power) -> String {
    let mut ways = Vec::new();
    if let Some(level) = level_to_write(power.highest_safe_brightness) {
        ways.push(format!("set brightness_limit = {level}"));
    }
    ways.push(
        "plug the wall into a circuit that gives more and set circuit_amps in mains to what its \
         breaker says"
            .to_owned(),
    );
    let ways: Vec<&str> = ways.iter().map(String::as_str).collect();
    format!(
        "In [power], {}. Follow local codes; use a licensed electrician where these ask for one.",
        listed(&ways, "or")
    )
}
