//! The assembly steps of a wall: what to do, in which order, with what to mind and what a meter should
//! show, computed from the plan.
//!
//! [`what`] names everything that is done, for tick boxes and for the build journal; [`caution`] is what
//! may hurt, [`check`] what to read. Every panel has one section, and every strip, joint and feed of it
//! one task. Durations are estimates: common practice, no source.

pub mod caution;
pub mod check;
pub mod what;

mod panel;
mod power_on;
mod prepare;
mod raise;
mod time;
mod wiring;

use glowloom_design::Wall;
use glowloom_design::wall::Panel;
use glowloom_units::Seconds;
use serde::Serialize;

pub use caution::{Caution, Danger};
pub use check::{Band, Check, Reading};
pub use what::{Amount, Stage, What};

use crate::document::Plan;
use crate::meter::Sheet;
use crate::power::PanelPower;

/// Everything that is done to build a wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Steps {
    /// In the order of work.
    pub sections: Vec<Section>,
    /// By hand, all together: an estimate (common practice, no source). Printing comes on top.
    pub estimate: Seconds,
}

/// Steps that belong together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Section {
    /// In a few words.
    pub title: String,
    /// The panel that it builds; null for steps of the whole wall.
    pub panel: Option<String>,
    /// In the order of work.
    pub steps: Vec<Step>,
}

/// One step.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// Unlike every other's; the same as long as the wall has such a step.
    pub id: String,
    /// What is done, in a few words.
    pub title: String,
    /// The panel that it is about, if it is about one.
    pub panel: Option<String>,
    /// What to mind, before anything is touched.
    pub cautions: Vec<Caution>,
    /// How it is done, in sentences.
    pub lines: Vec<String>,
    /// What to tick off; at least one.
    pub tasks: Vec<Task>,
    /// What to read or to see before it counts as done.
    pub checks: Vec<Check>,
    /// By hand: an estimate (common practice, no source).
    pub estimate: Seconds,
}

/// Something to tick off.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Task {
    /// What it is.
    pub what: What,
    /// How many of it: above 1 for printed parts alone.
    pub count: u64,
    /// Where it is and how it is done.
    pub words: String,
    /// What is built, so that a changed wall file can be told from what was done: metric, whatever the
    /// figures of the wall; may be empty.
    pub built: String,
}

impl Task {
    fn new(what: What, words: impl Into<String>, built: impl Into<String>) -> Self {
        Self { what, count: 1, words: words.into(), built: built.into() }
    }

    /// The one task of a step of the whole wall.
    fn step(id: &str, words: impl Into<String>) -> Self {
        Self::new(What::Step { id: id.to_owned() }, words, "")
    }

    /// A stage of a panel, with the stage's own words.
    fn stage(panel: &Panel, stage: Stage, built: impl Into<String>) -> Self {
        let words = Stage::ALL.iter().find(|known| known.0 == stage).map_or("", |known| known.2);
        Self::new(What::Panel { panel: panel.name.clone(), stage }, words, built)
    }
}

impl Steps {
    /// Every step, in the order of work.
    pub fn steps(&self) -> impl Iterator<Item = &Step> {
        self.sections.iter().flat_map(|section| &section.steps)
    }

    /// Every task, in the order of work.
    pub fn tasks(&self) -> impl Iterator<Item = &Task> {
        self.steps().flat_map(|step| &step.tasks)
    }
}

/// What steps are made from.
#[derive(Clone, Copy)]
struct Of<'w> {
    wall: &'w Wall,
    plan: &'w Plan,
    sheet: Option<&'w Sheet>,
}

impl<'w> Of<'w> {
    /// The solved figures of a panel; none where its network has no answer.
    fn power(self, panel: &Panel) -> Option<&'w PanelPower> {
        self.plan.power.panels.iter().find(|power| power.name == panel.name)
    }
}

/// The assembly steps of a wall. `sheet` is what a meter should show on it; without one, where its
/// network has no answer, the steps say so in the place of figures.
#[must_use]
pub fn steps(wall: &Wall, plan: &Plan, sheet: Option<&Sheet>) -> Steps {
    let of = Of { wall, plan, sheet };
    let mut sections = vec![Section {
        title: "Before the first panel".into(),
        panel: None,
        steps: prepare::steps(of),
    }];
    sections.extend(wall.panels.iter().map(|panel| Section {
        title: format!("Panel {}", panel.name),
        panel: Some(panel.name.clone()),
        steps: panel::steps(of, panel),
    }));
    sections.push(Section { title: "All together".into(), panel: None, steps: raise::steps(of) });
    // As people say it, so that what is said of each adds up to what is said of all.
    for step in sections.iter_mut().flat_map(|section| &mut section.steps) {
        step.estimate = time::said(step.estimate);
    }
    let mut steps = Steps { sections, estimate: Seconds(0.0) };
    steps.estimate = steps.steps().map(|step| step.estimate).sum();
    steps
}

/// A count with its noun: `1 strip`, `2 strips`.
#[must_use]
pub fn counted(count: impl Into<u64>, noun: &str) -> String {
    let count = count.into();
    let s = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{s}")
}

/// A length as what was built has it, whatever the figures of the wall.
fn metric(length: glowloom_units::Metres) -> String {
    format!("{} mm", (length.0 * 1e4).round() / 10.0)
}
