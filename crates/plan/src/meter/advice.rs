//! What to do about readings that disagree.

use glowloom_design::Wall;
use glowloom_design::wall::Lit;

use super::readings::{Odd, Reading};
use super::taken::{Label, panel};
use crate::power::figures::edge_key;
use crate::power::measure::Place;
use crate::power::odd::{Compared, ODD};

/// Where readings scatter by so many times their errors and none stands out, more than one is wrong (a
/// choice).
const MISFIT: f64 = 2.0;

/// Where to look for what makes a reading unlike the others.
pub(super) fn remedy(wall: &Wall, label: &Label, reading: &Reading, compared: &Compared) -> String {
    let entry = &wall.measured[label.entry];
    let place = &reading.place;
    let low = compared.miss < 0.0;
    let dark = entry.lit == Lit::Black || entry.brightness == 0.0;
    let Some(panel) = panel(wall, entry) else {
        return "read the bench again: count the lit pixels, and see that the roll is fed at its start \
                alone"
            .into();
    };
    match (label.place, label.key) {
        (None, _) if dark => format!(
            "in the dark only idle_amps draws: set it in [strip] so that {} has {}, or read it again",
            panel.name, reading.read
        ),
        (None, _) => format!(
            "read the current of {} again: all of its feeds, its receiver left out, and the picture and \
             brightness as the entry says",
            panel.name
        ),
        (Some(Place::Pad { strip, edge }), "amps") if low => format!(
            "look for a bad joint in the feed of {} strip {strip}, {} end: it carries less than its \
             share; else read it again",
            panel.name,
            edge_key(edge)
        ),
        (Some(_), "amps") => format!(
            "look for a bad joint or an open fuse in the feeds beside {place}, which carries more than \
             its share; else read it again"
        ),
        (Some(_), _) if low => format!(
            "look for a bad joint at {place}: the feed, the jumper and the solder there; else read it \
             again"
        ),
        (Some(_), _) => format!(
            "read {place} again, the picture and brightness as the entry says: it shows more than the \
             others allow, unless a bad joint nearby keeps current from it"
        ),
    }
}

pub(super) fn notes(readings: &[Reading], odd: &Option<Odd>, misfit: f64) -> Vec<String> {
    let mut notes = Vec::new();
    if readings.len() == 2 {
        notes.push(
            "Two readings give two figures, and nothing to check them by: take more.".to_owned(),
        );
    }
    if let Some(odd) = odd {
        notes.push(format!(
            "It pulls the figures toward itself: mend what is wrong there, or take line {} out of the \
             file, before you believe them.",
            readings[odd.reading].line
        ));
    } else if misfit > MISFIT {
        notes.push(format!(
            "The readings lie {misfit:.1} times their errors from any one strip, and none stands out by \
             {ODD}: more than one is wrong, or wires, connections or idle current are not as the file \
             has them. The band is that much wider.",
        ));
    }
    notes
}
