//! How a show goes, in words.

use std::collections::{BTreeMap, BTreeSet};

use glowloom_drive::receive::State;
use glowloom_drive::{Answering, Health, Neighbour, PanelHealth, VirtualHealth};
use glowloom_wire::patch::Address;

use crate::stage::Stage;
use crate::told;

/// Where the panels are: `3 virtual panels and 1 other`.
pub fn places(stage: &Stage) -> String {
    let is_virtual = |address: &Address| matches!(address, Address::Virtual { .. });
    let panels = stage.patch.panels();
    let here = panels.iter().filter(|panel| is_virtual(&panel.address)).count();
    let elsewhere = stage.panels.health().iter().filter(|panel| panel.held_elsewhere).count();
    let plural = |n: usize, what: &str| match n {
        1 => format!("1 {what}"),
        n => format!("{n} {what}s"),
    };
    let mut words = match (here, panels.len() - here) {
        (0, there) => plural(there, "panel"),
        (here, 0) => plural(here, "virtual panel"),
        (here, there) => {
            format!("{} and {}", plural(there, "panel"), plural(here, "virtual panel"))
        }
    };
    if elsewhere > 0 {
        words.push_str(&format!(", {elsewhere} of them held by another program"));
    }
    words
}

/// One line about a whole show.
pub fn line(health: &Health) -> String {
    let mut line = format!("{} frames sent", health.sent);
    if let Some(rate) = health.rate {
        line.push_str(&format!(", {:.1} a second", rate.0));
    }
    for (count, what) in [
        (health.skipped, "late and left out"),
        (health.repeated, "sent twice"),
        (health.panels.iter().map(|panel| panel.dropped).sum(), "not taken by a panel"),
        (health.dimmed, "dimmed for the supplies' and the copper's sake"),
        (health.held_bytes, "bytes held to the ceiling"),
    ] {
        if count > 0 {
            line.push_str(&format!(", {count} {what}"));
        }
    }
    line
}

/// Tells each trouble once, and again when it has changed.
#[derive(Default)]
pub struct Troubles {
    told: BTreeMap<String, String>,
    neighbours: BTreeSet<Neighbour>,
}

impl Troubles {
    /// What has gone wrong, or is well again, since it was asked last.
    pub fn since(&mut self, health: &Health) -> Vec<String> {
        let mut news = Vec::new();
        for neighbour in &health.neighbours {
            if self.neighbours.insert(neighbour.clone()) {
                news.push(format!("note: {}", told::harmless(&neighbour.to_string())));
            }
        }
        // Who comes back is told again.
        self.neighbours.retain(|known| health.neighbours.contains(known));
        let panels =
            health.panels.iter().map(|panel| (format!("panel {}", panel.name), wrong_with(panel)));
        let source = ("the source".to_owned(), health.source_error.clone());
        // The words change with every step: each is worth a line.
        let eased = ("the links".to_owned(), told::eased(health));
        for (who, wrong) in panels.chain([source, eased]) {
            match (wrong, self.told.get(&who)) {
                (Some(wrong), told) if told != Some(&wrong) => {
                    news.push(format!("warning: {who}: {wrong}"));
                    self.told.insert(who, wrong);
                }
                (None, Some(_)) => {
                    news.push(format!("{who}: well again"));
                    self.told.remove(&who);
                }
                _ => {}
            }
        }
        news
    }
}

/// What is wrong with a panel, in words.
fn wrong_with(panel: &PanelHealth) -> Option<String> {
    let silent = panel.answering == Answering::Stopped;
    let told = panel.told.as_ref().map(|told| told::of(told, panel.print));
    let other = told.as_ref().and_then(|told| told.other_sender.as_ref()).map(|other| {
        format!(
            "another sender sends to it and is not shown: {other}; end one of the two, or give it other \
             universes"
        )
    });
    let unfit = told.is_some_and(|told| told.fits == Some(false)).then(|| {
        "its receiver was made for another pixel map; make the receiver's program anew and flash it".into()
    });
    (panel.error.as_ref().filter(|_| panel.failing).cloned()).or(other).or(unfit).or_else(|| {
        silent.then(|| {
            "its receiver answers no more when it is asked; see that it has power and network"
                .into()
        })
    })
}

/// One line about a virtual panel.
pub fn panel(panel: &VirtualHealth, widest: usize) -> String {
    let state = match panel.state {
        _ if panel.held_elsewhere => "held by another program",
        State::Waiting => "waiting",
        State::Live => "live",
        State::Lost => "no frames any more",
    };
    let counts = &panel.counts;
    let mut line = format!(
        "{:widest$}  {}  {state}, {} frames shown, {} packets lost, {} late, {} wrong",
        panel.name, panel.at, counts.shown, counts.lost, counts.late, counts.wrong
    );
    if counts.strangers > 0 {
        line.push_str(&format!(", {} of another sender", counts.strangers));
    }
    line
}

/// The lines of all of them.
pub fn panels(panels: &[VirtualHealth]) -> String {
    let widest = panels.iter().map(|panel| panel.name.chars().count()).max().unwrap_or(0);
    panels.iter().map(|one| panel(one, widest)).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_trouble_is_told_once_and_its_end_too() {
        let mut troubles = Troubles::default();
        let mut health = Health {
            panels: vec![PanelHealth { name: "west".into(), ..PanelHealth::default() }],
            ..Health::default()
        };
        assert_eq!(troubles.since(&health), Vec::<String>::new());
        health.panels[0].answering = Answering::Stopped;
        let told = troubles.since(&health);
        assert!(told.len() == 1 && told[0].contains("panel west") && told[0].contains("answers"));
        assert_eq!(troubles.since(&health), Vec::<String>::new());
        // What keeps its frames from leaving says more.
        (health.panels[0].failing, health.panels[0].error) = (true, Some("no route".into()));
        assert_eq!(troubles.since(&health), ["warning: panel west: no route"]);
        health.panels[0] = PanelHealth { name: "west".into(), ..PanelHealth::default() };
        assert_eq!(troubles.since(&health), ["panel west: well again"]);
    }
}
