//! How far a wall has come: what is done of what there is, what is next, what is left to print, and what
//! of the journal holds no longer.

use std::collections::BTreeMap;

use glowloom_design::Wall;
use glowloom_design::diagnostic::nearest;
use glowloom_units::{Hours, Kilograms, Seconds};

use super::{Fact, Journal};
use crate::document::Plan;
use crate::steps::{Stage, Step, Steps, Task, What};

/// How far a wall has come.
#[derive(Clone, Debug, PartialEq)]
pub struct Progress<'s> {
    /// Of each kind of thing that the wall has, in the order of work.
    pub rows: Vec<Row>,
    /// Steps that can be gone on with, each with its tasks that are not done.
    pub next: Vec<Open<'s>>,
    /// By hand: an estimate.
    pub left: Seconds,
    /// Of printing; `None` where nothing is printed.
    pub printing: Option<Printing>,
    /// Facts that no longer hold.
    pub stale: Vec<Stale>,
}

/// A step that is not done.
#[derive(Clone, Debug, PartialEq)]
pub struct Open<'s> {
    /// Which.
    pub step: &'s Step,
    /// What of it is not done, and how many of each are left.
    pub tasks: Vec<(&'s Task, u64)>,
}

/// Things of a kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// What is counted.
    pub name: &'static str,
    /// How many are done, at most all.
    pub done: u64,
    /// How many there are.
    pub all: u64,
}

/// What is left to print.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Printing {
    /// At the real flow, and the time from one print to the next.
    pub hours: Hours,
    /// Filament.
    pub filament: Kilograms,
}

/// A fact that no longer holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stale {
    /// What it is about.
    pub what: What,
    /// Why, in one line with no full stop.
    pub why: String,
}

/// What the wall has no such thing of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unknown {
    /// What is not there, in one line with no full stop.
    pub found: String,
    /// What there is.
    pub there: String,
}

/// The kinds that are counted, by the word that they begin with.
const ROWS: [(&str, &str); 9] = [
    ("step", "steps of the whole wall"),
    ("tile", "tiles printed"),
    ("rim", "rim strips printed"),
    ("strip", "strips laid"),
    ("joint", "joints"),
    ("supply", "supplies"),
    ("feed", "feeds"),
    ("receiver", "receivers"),
    ("lead", "data leads"),
];

/// Stages of panels that are counted.
const STAGES: [(Stage, &str); 3] =
    [(Stage::Lit, "panels lit"), (Stage::Cloth, "panels with cloth"), (Stage::Hung, "panels hung")];

/// How far a wall has come by its journal.
#[must_use]
pub fn progress<'s>(wall: &Wall, plan: &Plan, steps: &'s Steps, journal: &Journal) -> Progress<'s> {
    let tasks: BTreeMap<&What, &Task> = steps.tasks().map(|task| (&task.what, task)).collect();
    let stale = journal.facts.iter().filter_map(|(what, fact)| {
        let why = match tasks.get(what) {
            Some(task) => changed(task, fact)?,
            None => unknown(wall, steps, what).found,
        };
        Some(Stale { what: what.clone(), why })
    });
    let stale: Vec<Stale> = stale.collect();
    Progress {
        rows: rows(steps, journal),
        next: next(steps, journal),
        left: left(steps, journal),
        printing: printing(wall, plan, steps, journal),
        stale,
    }
}

/// What was built differs from what the wall file wants now.
fn changed(task: &Task, fact: &Fact) -> Option<String> {
    let differs = !fact.built.is_empty() && fact.built != task.built;
    let now = if task.built.is_empty() { "nothing of the kind" } else { &task.built };
    differs.then(|| {
        format!("was {}; the wall file now has {now}", crate::steps::what::shortened(&fact.built))
    })
}

/// How many of a task are done and still hold.
fn done(task: &Task, journal: &Journal) -> u64 {
    let fact = journal.facts.get(&task.what).filter(|fact| changed(task, fact).is_none());
    fact.map_or(0, |fact| fact.count.min(task.count))
}

fn rows(steps: &Steps, journal: &Journal) -> Vec<Row> {
    let count = |name: &'static str, of: &dyn Fn(&What) -> bool| {
        let mut row = Row { name, done: 0, all: 0 };
        for task in steps.tasks().filter(|task| of(&task.what)) {
            row.done += done(task, journal);
            row.all += task.count;
        }
        (row.all > 0).then_some(row)
    };
    let kinds = ROWS.iter().map(|(kind, name)| count(name, &|what| what.kind() == *kind));
    let stages = STAGES.iter().map(|(stage, name)| {
        count(name, &|what| matches!(what, What::Panel { stage: of, .. } if of == stage))
    });
    kinds.chain(stages).flatten().collect()
}

/// The step of printing, which goes on beside the others.
const PRINT: &str = "print";

fn next<'s>(steps: &'s Steps, journal: &Journal) -> Vec<Open<'s>> {
    let open = |step: &'s Step| {
        let left = step.tasks.iter().map(|task| (task, task.count - done(task, journal)));
        let tasks: Vec<(&Task, u64)> = left.filter(|(_, left)| *left > 0).collect();
        (!tasks.is_empty()).then_some(Open { step, tasks })
    };
    let by_hand = steps.steps().filter(|step| step.id != PRINT).find_map(open);
    let print = steps.steps().filter(|step| step.id == PRINT).find_map(open);
    by_hand.into_iter().chain(print).collect()
}

fn left(steps: &Steps, journal: &Journal) -> Seconds {
    let of = |step: &Step| {
        let all = step.tasks.len().max(1);
        let open = step.tasks.iter().filter(|task| done(task, journal) < task.count).count();
        #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
        let share = open as f64 / all as f64;
        step.estimate * share
    };
    steps.steps().map(of).sum()
}

fn printing(wall: &Wall, plan: &Plan, steps: &Steps, journal: &Journal) -> Option<Printing> {
    let (tiles, baffle) = (plan.tiles.as_ref()?, wall.baffle.as_ref()?);
    let mut open: BTreeMap<&str, u64> = BTreeMap::new();
    for task in steps.tasks() {
        if let What::Part { name } = &task.what {
            open.insert(name, task.count - done(task, journal));
        }
    }
    let of = |name: &str| open.get(name).copied().unwrap_or(0);
    #[expect(clippy::cast_precision_loss, reason = "a count of parts")]
    let times = |count: u64| count as f64;
    let of_tiles = tiles.kinds.iter().map(|kind| kind.tile_kg * times(of(&kind.name)));
    let of_rim = tiles.rim.iter().map(|kind| kind.strip_kg * times(of(&kind.name)));
    let filament: Kilograms = of_tiles.chain(of_rim).sum();
    // Full plates first, as the calendar has them.
    let prints: u64 = open
        .iter()
        .map(|(name, count)| {
            let plate = tiles.plates.iter().find(|plate| plate.part == *name);
            plate.map_or(0, |plate| count.div_ceil(plate.copies.max(1)))
        })
        .sum();
    let share = if tiles.filament_kg.0 > 0.0 { filament / tiles.filament_kg } else { 0.0 };
    let laying = Hours::from(tiles.volume_m3 / baffle.flow) * share;
    let between = Hours::from(baffle.between_prints) * times(prints.saturating_sub(1));
    Some(Printing { hours: laying + between, filament })
}

/// The task that these words name.
///
/// # Errors
/// [`Unknown`] where the wall has no such thing, with what it has.
pub fn find<'s>(wall: &Wall, steps: &'s Steps, what: &What) -> Result<&'s Task, Unknown> {
    let found = steps.tasks().find(|task| task.what == *what);
    found.ok_or_else(|| unknown(wall, steps, what))
}

/// Most names that a message lists.
const MOST_NAMES: usize = 12;

fn unknown(wall: &Wall, steps: &Steps, what: &What) -> Unknown {
    let short = |text: &str| crate::steps::what::shortened(text);
    if let Some(name) = what.panel()
        && !wall.panels.iter().any(|panel| panel.name == name)
    {
        let names = wall.panels.iter().map(|panel| panel.name.as_str());
        return Unknown {
            found: format!("the wall has no panel \"{}\"", short(name)),
            there: choice(name, names),
        };
    }
    // Things of that kind, on that panel.
    let same = |other: &What| other.kind() == what.kind() && other.panel() == what.panel();
    let others: Vec<String> =
        steps.tasks().filter(|task| same(&task.what)).map(|task| task.what.to_string()).collect();
    let there = if others.is_empty() {
        let place = what.panel().map_or("the wall".to_owned(), short);
        format!("{place} has none of that kind")
    } else if matches!(what, What::Step { .. } | What::Part { .. }) {
        choice(&what.to_string(), others.iter().map(String::as_str))
    } else {
        // Of numbers none is meant by its letters.
        all(others.iter().map(String::as_str))
    };
    Unknown { found: format!("the wall has no `{}`", short(&what.to_string())), there }
}

/// The nearest of some names, or all of them.
fn choice<'n>(found: &str, names: impl Iterator<Item = &'n str> + Clone) -> String {
    if let Some(near) = nearest(found, names.clone()) {
        return format!("did you mean `{near}`?");
    }
    all(names)
}

/// As many names as a message takes.
fn all<'n>(names: impl Iterator<Item = &'n str> + Clone) -> String {
    let count = names.clone().count();
    let mut listed: Vec<String> = names.clone().take(MOST_NAMES).map(str::to_owned).collect();
    if count > MOST_NAMES {
        listed.push(format!(
            "and {} more, up to {}",
            count - MOST_NAMES,
            names.last().unwrap_or("")
        ));
    }
    format!("there is: {}", listed.join(", "))
}
