//! Remedies that can be carried out at once: the changes of the wall file that a finding asks for. Each is shown
//! with what follows before it is written.

use glowloom_design::wall::Link;
use glowloom_plan::Plan;
use glowloom_plan::finding::{Code, Finding};
use glowloom_plan::sound::sound_brightness;

use crate::desk::View;
use crate::edit::{Change, End, Side};

/// A remedy in words, with its changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// What it does.
    pub words: String,
    /// In the wall file.
    pub changes: Vec<Change>,
}

/// The remedies of a finding that are known as changes; none where it takes thought.
#[must_use]
pub fn of(view: &View, finding: &Finding) -> Vec<Remedy> {
    match finding.code {
        Code::RailOverloaded
        | Code::JumperOverloaded
        | Code::FeedWireOverloaded
        | Code::SupplyOverloaded
        | Code::CircuitOverloaded
        | Code::NoFuseFits
        | Code::TooHotForPanel => {
            sound_brightness(&view.wall).and_then(|level| ceiling(view, level))
        }
        Code::VoltsBelowLeast => enough_volts(&view.plan).and_then(|level| ceiling(view, level)),
        Code::FeedBothEdges => far_edge(view),
        Code::RateNotReached => rate(view),
        Code::LinkNotOnBoard => link(view),
        _ => None,
    }
    .into_iter()
    .collect()
}

fn set(figure: &str, value: String) -> Vec<Change> {
    vec![Change::Set { figure: figure.into(), value }]
}

fn ceiling(view: &View, level: f64) -> Option<Remedy> {
    let lower = level > 0.0 && level < view.wall.power.brightness_limit;
    lower.then(|| Remedy {
        words: format!("Lower the ceiling to {level}"),
        changes: set("brightness-limit", level.to_string()),
    })
}

/// The highest ceiling in hundredths at which every pixel has the volts that are wanted.
fn enough_volts(plan: &Plan) -> Option<f64> {
    let least =
        plan.power.panels.iter().map(|panel| panel.least_volts_brightness).reduce(f64::min)?;
    let hundredths = (least * 100.0 + 1e-9).floor();
    (hundredths >= 1.0).then_some(hundredths / 100.0)
}

/// Feeds at the other ends of the strips that have one; where all panels share their feeds.
fn far_edge(view: &View) -> Option<Remedy> {
    let of = |panel: &glowloom_design::wall::Panel| -> Vec<End> {
        panel.feeds.iter().map(End::from).collect()
    };
    let first = of(view.wall.panels.first()?);
    if view.wall.panels.iter().any(|panel| of(panel) != first) {
        return None;
    }
    let other = |end: &End| End {
        strip: end.strip,
        edge: if end.edge == Side::Near { Side::Far } else { Side::Near },
    };
    let new = first.iter().map(other).filter(|end| !first.contains(end));
    let changes: Vec<Change> = new.map(|to| Change::AddFeed { panel: 0, to }).collect();
    (!changes.is_empty()).then(|| Remedy {
        words: format!("Add {} feeds at the other edge", changes.len()),
        changes,
    })
}

fn rate(view: &View) -> Option<Remedy> {
    let reached = view.plan.data.fps.0.floor();
    (reached >= 1.0).then(|| Remedy {
        words: format!("Want {reached} frames a second"),
        changes: set("rate", reached.to_string()),
    })
}

fn link(view: &View) -> Option<Remedy> {
    let fitting = match view.wall.receiver.board.as_str() {
        "esp32-ethernet" => "ethernet",
        "esp8266" | "esp32" => "wifi",
        _ => return None,
    };
    let has = matches!(
        (view.wall.receiver.link, fitting),
        (Link::Wifi, "wifi") | (Link::Ethernet, "ethernet")
    );
    (!has).then(|| Remedy {
        words: format!("Use the link that the board has: {fitting}"),
        changes: set("link", fitting.into()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::changed;

    const TIDEWALL: &str = include_str!("../../../examples/walls/tidewall.toml");

    /// A remedy takes its finding away, and is no remedy else.
    #[test]
    fn a_remedy_mends_what_it_is_for() {
        for (from, to, code) in [
            ("supply = \"5v-60a\"", "supply = \"5v-20a\"", Code::SupplyOverloaded),
            ("feeds = 8 ", "feeds = 1 ", Code::VoltsBelowLeast),
            ("link = \"wifi\"", "link = \"ethernet\"", Code::LinkNotOnBoard),
            ("frames_per_second = 30", "frames_per_second = 200", Code::RateNotReached),
        ] {
            let text = TIDEWALL.replace(from, to);
            let view = View::of(text.clone()).map_err(|(wrong, _)| wrong).unwrap();
            let finding = view.plan.findings.iter().find(|finding| finding.code == code);
            let remedies = of(&view, finding.unwrap_or_else(|| panic!("{code:?} is found")));
            assert!(!remedies.is_empty(), "{code:?}");
            for remedy in remedies {
                let now = changed(&text, &view.wall, &remedy.changes).unwrap();
                let after = View::of(now).map_err(|(wrong, _)| wrong).unwrap();
                assert!(
                    after.plan.findings.iter().all(|f| f.code != code),
                    "{code:?}: {}",
                    remedy.words
                );
            }
        }
    }
}
