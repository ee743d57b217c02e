//! The readings of a wall file as the fit takes them: each with the network that it is of. Panels that are
//! alike and were fed alike share one.

use std::collections::BTreeMap;

use glowloom_design::Wall;
use glowloom_design::wall::{Current, Measured, Panel, Subject, Tips};

use super::readings::{NotMeasured, line};
use crate::power::fit::{self, Read, Rig};
use crate::power::measure::Place;
use crate::power::{Network, Networks};

/// Half of what a meter may be off by in 95 of 100 cases is one standard deviation.
pub(super) const DEVIATIONS: f64 = 2.0;

/// Readings as the fit takes them, with what each is of.
pub(super) struct Taken {
    pub rigs: Vec<Rig>,
    pub readings: Vec<(usize, fit::Reading)>,
    pub labels: Vec<Label>,
}

/// What a reading is of.
pub(super) struct Label {
    /// Of the file, from 0.
    pub entry: usize,
    /// Of the figure.
    pub key: &'static str,
    /// `None` for the current of a whole panel or roll.
    pub place: Option<Place>,
}

pub(super) fn taken(wall: &Wall) -> Result<Taken, NotMeasured> {
    if wall.measured.is_empty() {
        return Err(NotMeasured::None);
    }
    let networks = Networks::of(wall);
    let channels = wall.strip.channels();
    let mut known: BTreeMap<(bool, usize, usize, Option<u64>), usize> = BTreeMap::new();
    let mut taken = Taken { rigs: Vec::new(), readings: Vec::new(), labels: Vec::new() };
    for entry in &wall.measured {
        let fed = entry.fed_with.map(|volts| volts.0.to_bits());
        let (key, rig): (_, Box<dyn Fn() -> Rig>) = match entry.subject {
            Subject::Panel(panel) => {
                let kind = networks.kind(panel);
                let network = &networks.all()[kind];
                let rig = move || {
                    let held = entry.fed_with.map(|volts| network.held_at(volts));
                    Rig { network: held.unwrap_or_else(|| network.clone()), lit: None }
                };
                ((false, kind, 0, fed), Box::new(rig))
            }
            Subject::Bench { pixels, dark_pixels } => {
                let start = entry.fed_with.unwrap_or(wall.power.trim_volts);
                let rig = move || Rig {
                    network: Network::bench(wall, pixels.saturating_add(dark_pixels), start),
                    lit: Some(pixels as usize),
                };
                ((true, pixels as usize, dark_pixels as usize, fed), Box::new(rig))
            }
        };
        let rigs = &mut taken.rigs;
        let of = *known.entry(key).or_insert_with(|| {
            rigs.push(rig());
            rigs.len() - 1
        });
        let mut add = |key, place: Option<Place>, read| {
            let levels = entry.lit.levels(channels);
            let reading = fit::Reading { levels, brightness: entry.brightness, read };
            taken.readings.push((of, reading));
            taken.labels.push(Label { entry: entry.number, key, place });
        };
        if let Some((tips, figure)) = entry.volts {
            let place = place(tips);
            alive(wall, entry, place, &taken.rigs[of].network)?;
            let error = figure.error / DEVIATIONS;
            add("volts", Some(place), Read::Volts { place, found: figure.shown, error });
        }
        if let Some((current, figure)) = entry.amps {
            let (found, error) = (figure.shown, figure.error / DEVIATIONS);
            match current {
                Current::Feed { strip, edge } => {
                    let read = Read::FeedAmps { strip, edge, found, error };
                    add("amps", Some(Place::Pad { strip, edge }), read);
                }
                Current::Whole => add("amps", None, Read::Amps { found, error }),
            }
        }
    }
    Ok(taken)
}

fn place(tips: Tips) -> Place {
    match tips {
        Tips::Pads { strip, edge } => Place::Pad { strip, edge },
        Tips::Pixel { strip, pixel } => Place::Pixel { strip, pixel },
        Tips::Mark { strip, pixel } => Place::Mark { strip, pixel },
    }
}

/// A voltage on a strip that no feed reaches tells nothing.
fn alive(
    wall: &Wall,
    entry: &Measured,
    place: Place,
    network: &Network,
) -> Result<(), NotMeasured> {
    let (Place::Pad { strip, .. } | Place::Pixel { strip, .. } | Place::Mark { strip, .. }) = place;
    match panel(wall, entry) {
        Some(panel) if !network.is_live(strip as usize - 1) => Err(NotMeasured::Dead {
            line: line(wall, entry.number, "volts"),
            panel: panel.name.clone(),
            strip,
        }),
        _ => Ok(()),
    }
}

pub(super) fn panel<'w>(wall: &'w Wall, entry: &Measured) -> Option<&'w Panel> {
    match entry.subject {
        Subject::Panel(panel) => wall.panels.get(panel),
        Subject::Bench { .. } => None,
    }
}
