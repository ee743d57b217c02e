//! The wall on the desk: its file as it is on the disk, what follows from it, and what was before.

use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

use glowloom_book::drawn::Sheets;
use glowloom_design::{Diagnostic, Wall};
use glowloom_plan::journal::{self, Journal};
use glowloom_plan::steps::Steps;
use glowloom_plan::{Kind, Plan, meter, steps};
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::edit::{self, Change, Impossible};
use crate::home::{Home, Saved, Trouble};

/// How many steps back there are.
const MOST_PAST: usize = 200;

/// A sound wall file with all that follows.
pub struct View {
    /// The file.
    pub text: String,
    /// Names this text and no other.
    pub mark: String,
    /// Checked.
    pub wall: Wall,
    /// Worked out.
    pub plan: Plan,
    /// What a meter should show.
    pub meter: Option<meter::Sheet>,
    /// What to do.
    pub steps: Steps,
    sheets: OnceLock<Sheets>,
}

impl View {
    /// Of a text.
    ///
    /// # Errors
    /// Everything that is wrong with it, and the text again.
    pub fn of(text: String) -> Result<Self, (Vec<Diagnostic>, String)> {
        let wall = match glowloom_design::read(text.as_bytes()) {
            Ok(wall) => wall,
            Err(wrong) => return Err((wrong, text)),
        };
        let plan = glowloom_plan::plan(&wall);
        let meter = meter::sheet(&wall).ok();
        let steps = steps::steps(&wall, &plan, meter.as_ref());
        let mark = mark(text.as_bytes());
        Ok(Self { text, mark, wall, plan, meter, steps, sheets: OnceLock::new() })
    }

    /// What the book is made from.
    pub fn book(&self) -> glowloom_book::Book<'_> {
        glowloom_book::Book {
            wall: &self.wall,
            file: self.text.as_bytes(),
            plan: &self.plan,
            sheet: self.meter.as_ref(),
            steps: &self.steps,
        }
    }

    /// The sheets, drawn when they are first asked for.
    pub fn sheets(&self) -> &Sheets {
        self.sheets.get_or_init(|| Sheets::of(&self.book()))
    }

    /// How many findings there are of a kind.
    #[must_use]
    pub fn count(&self, kind: Kind) -> usize {
        self.plan.findings.iter().filter(|finding| finding.kind == kind).count()
    }

    /// The figures that a change is told by: name, value with its unit.
    #[must_use]
    pub fn key_figures(&self) -> Vec<(&'static str, String)> {
        let (wall, plan) = (&self.wall, &self.plan);
        let geometry = &plan.geometry;
        let size = |m: glowloom_units::Metres| m.shown(wall.figures).to_string();
        let mut all = vec![
            ("pixels", format!("{} × {}", geometry.columns, geometry.rows)),
            ("size", format!("{} × {}", size(geometry.width_m), size(geometry.height_m))),
            ("panels", wall.panels.len().to_string()),
        ];
        let least = plan.power.panels.iter().map(|panel| panel.least_volts.0).reduce(f64::min);
        all.extend(least.map(|least| ("least volts", format!("{least:.2} V"))));
        all.push(("mains at full white", format!("{:.0} W", plan.power.mains.watts.0)));
        let safe = (plan.power.highest_safe_brightness * 100.0).floor();
        all.push(("highest safe ceiling", format!("{safe:.0} %")));
        all.push(("frames a second", format!("{:.0}", plan.data.fps.0.floor())));
        all.push(("rolls of strip", plan.cuts.rolls.to_string()));
        if let Some(cost) = &plan.cost {
            all.push(("cost", format!("{:.0} {}", cost.total, cost.currency)));
        }
        all.push(("hazards", self.count(Kind::Hazard).to_string()));
        all.push(("faults", self.count(Kind::Fault).to_string()));
        all
    }
}

/// Names a text.
#[must_use]
pub fn mark(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().take(8).map(|byte| format!("{byte:02x}")).collect()
}

/// The wall file as somebody looks at it.
#[derive(Clone)]
pub struct Look {
    /// The last sound one; none where there has been none yet.
    pub view: Option<Arc<View>>,
    /// The file as it is on the disk; what is not UTF-8 is replaced.
    pub text: String,
    /// Names it.
    pub mark: String,
    /// What is wrong with it; then `view` is of an earlier one.
    pub wrong: Arc<Vec<Diagnostic>>,
    /// Why it cannot be read.
    pub trouble: Option<Trouble>,
    /// Whether there is a step back, and one forward again.
    pub back: bool,
    /// The same the other way.
    pub forward: bool,
}

/// What a change came to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Outcome {
    /// Whether it is saved; false where it was only tried.
    pub saved: bool,
    /// Names the new text.
    pub mark: String,
    /// Key figures that are others now: name, before, after.
    pub figures: Vec<(&'static str, String, String)>,
    /// Lines that are others: sign, number, line.
    pub lines: Vec<(char, usize, String)>,
}

/// Why nothing was changed.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "why", rename_all = "kebab-case")]
pub enum Refused {
    /// The new text would be no sound wall file.
    Wrong {
        /// Each with its place.
        errors: Vec<Told>,
    },
    /// The file is another than the one that was being changed.
    Changed {
        /// Names it.
        mark: String,
        /// As it is now.
        text: String,
    },
    /// Anything else.
    Trouble {
        /// What was found.
        found: String,
        /// What to do.
        remedy: String,
    },
}

impl From<Trouble> for Refused {
    fn from(trouble: Trouble) -> Self {
        Self::Trouble { found: trouble.found, remedy: trouble.remedy }
    }
}

impl From<Impossible> for Refused {
    fn from(not: Impossible) -> Self {
        Self::Trouble { found: not.found, remedy: not.remedy }
    }
}

/// An error of a wall file as a page tells it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Told {
    /// From 1.
    pub line: usize,
    /// From 1, in characters.
    pub column: usize,
    /// Characters that it is about, on that line.
    pub length: usize,
    /// What was found.
    pub message: String,
    /// What is wanted there.
    pub wanted: String,
    /// What to do.
    pub remedy: String,
}

impl Told {
    /// Of an error of that text.
    #[must_use]
    pub fn of(text: &str, wrong: &Diagnostic) -> Self {
        let place = glowloom_design::Place::of(text, wrong.span.start);
        let words = text.get(wrong.span.clone()).unwrap_or("");
        Self {
            line: place.line,
            column: place.column,
            length: words.lines().next().unwrap_or("").chars().count().max(1),
            message: wrong.message.clone(),
            wanted: wrong.wanted.clone(),
            remedy: wrong.remedy.clone(),
        }
    }
}

struct Inner {
    disk: Option<Vec<u8>>,
    view: Option<Arc<View>>,
    wrong: Arc<Vec<Diagnostic>>,
    trouble: Option<Trouble>,
    past: Vec<String>,
    future: Vec<String>,
}

/// One wall on the desk.
pub struct Desk {
    home: Arc<dyn Home>,
    inner: Mutex<Inner>,
}

impl Desk {
    /// Of the wall that `home` keeps; nothing is read yet.
    #[must_use]
    pub fn new(home: Arc<dyn Home>) -> Self {
        let inner = Inner {
            disk: None,
            view: None,
            wrong: Arc::default(),
            trouble: None,
            past: Vec::new(),
            future: Vec::new(),
        };
        Self { home, inner: Mutex::new(inner) }
    }

    fn locked(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The wall as it is now: the file is read, and what another program wrote there is taken in.
    #[must_use]
    pub fn look(&self) -> Look {
        let mut inner = self.locked();
        self.read(&mut inner);
        let disk = inner.disk.as_deref().unwrap_or_default();
        Look {
            view: inner.view.clone(),
            text: String::from_utf8_lossy(disk).into_owned(),
            mark: mark(disk),
            wrong: Arc::clone(&inner.wrong),
            trouble: inner.trouble.clone(),
            back: !inner.past.is_empty(),
            forward: !inner.future.is_empty(),
        }
    }

    fn read(&self, inner: &mut Inner) {
        match self.home.wall() {
            Ok(bytes) => {
                inner.trouble = None;
                if inner.disk.as_ref() != Some(&bytes) {
                    take_in(inner, bytes);
                }
            }
            Err(trouble) => inner.trouble = Some(trouble),
        }
    }

    /// Makes changes to the file as it is now, or only tries them.
    ///
    /// # Errors
    /// Why nothing was changed.
    pub fn change(&self, changes: &[Change], dry: bool) -> Result<Outcome, Refused> {
        let mut inner = self.locked();
        self.read(&mut inner);
        let (view, text) = sound(&inner)?;
        let now = edit::changed(&text, &view.wall, changes)?;
        self.become_text(&mut inner, &view, now, dry)
    }

    /// The file becomes that text, if it is still the one of that mark.
    ///
    /// # Errors
    /// Why nothing was changed.
    pub fn rewrite(&self, of: &str, now: String, dry: bool) -> Result<Outcome, Refused> {
        let mut inner = self.locked();
        self.read(&mut inner);
        let disk = inner.disk.as_deref().unwrap_or_default();
        if mark(disk) != of {
            let text = String::from_utf8_lossy(disk).into_owned();
            return Err(Refused::Changed { mark: mark(disk), text });
        }
        let before = inner.view.clone();
        let view = View::of(now).map_err(|(wrong, text)| refused(&text, &wrong))?;
        self.put(&mut inner, before.as_deref(), view, dry)
    }

    fn become_text(
        &self,
        inner: &mut Inner,
        before: &View,
        now: String,
        dry: bool,
    ) -> Result<Outcome, Refused> {
        let view = View::of(now).map_err(|(wrong, text)| refused(&text, &wrong))?;
        self.put(inner, Some(before), view, dry)
    }

    fn put(
        &self,
        inner: &mut Inner,
        before: Option<&View>,
        view: View,
        dry: bool,
    ) -> Result<Outcome, Refused> {
        let disk = inner.disk.clone().unwrap_or_default();
        let old = String::from_utf8_lossy(&disk).into_owned();
        let outcome = Outcome {
            saved: !dry,
            mark: view.mark.clone(),
            figures: before.map(|before| compared(before, &view)).unwrap_or_default(),
            lines: edit::difference(&old, &view.text),
        };
        if dry || view.text == old {
            return Ok(outcome);
        }
        match self.home.save_wall(&disk, view.text.as_bytes())? {
            Saved::Written => {
                remember(&mut inner.past, old);
                inner.future.clear();
                inner.disk = Some(view.text.clone().into_bytes());
                inner.wrong = Arc::default();
                inner.view = Some(Arc::new(view));
                Ok(outcome)
            }
            Saved::Changed(bytes) => {
                let refused = Refused::Changed {
                    mark: mark(&bytes),
                    text: String::from_utf8_lossy(&bytes).into_owned(),
                };
                take_in(inner, bytes);
                Err(refused)
            }
        }
    }

    /// Goes a step back, or forward again.
    ///
    /// # Errors
    /// Why nothing was changed.
    pub fn step(&self, forward: bool) -> Result<Outcome, Refused> {
        let mut inner = self.locked();
        self.read(&mut inner);
        let from = if forward { &inner.future } else { &inner.past };
        let Some(text) = from.last().cloned() else {
            let found =
                if forward { "there is nothing to do again" } else { "there is nothing to undo" };
            return Err(Trouble::new(found, "change something first").into());
        };
        let kept = (inner.past.clone(), inner.future.clone());
        let old = String::from_utf8_lossy(inner.disk.as_deref().unwrap_or_default()).into_owned();
        let before = inner.view.clone();
        let view = View::of(text).map_err(|(wrong, text)| refused(&text, &wrong))?;
        let outcome = self.put(&mut inner, before.as_deref(), view, false)?;
        (inner.past, inner.future) = kept;
        let inner = &mut *inner;
        let (from, to) = if forward {
            (&mut inner.future, &mut inner.past)
        } else {
            (&mut inner.past, &mut inner.future)
        };
        from.pop();
        remember(to, old);
        Ok(outcome)
    }

    /// The text with changes, for figures that are wanted at once; nothing is kept.
    ///
    /// # Errors
    /// Why they cannot be made.
    pub fn trial(&self, changes: &[Change]) -> Result<Wall, Refused> {
        let (view, text) = sound(&self.locked())?;
        let now = edit::changed(&text, &view.wall, changes)?;
        glowloom_design::read(now.as_bytes()).map_err(|wrong| refused(&now, &wrong))
    }

    /// What is done already.
    ///
    /// # Errors
    /// Where the journal cannot be read.
    pub fn journal(&self) -> Result<Journal, Trouble> {
        let bytes = self.home.journal()?;
        Ok(bytes.map(|bytes| journal::read(&bytes)).unwrap_or_default())
    }

    /// Whoever opened the page.
    pub fn home(&self) -> &Arc<dyn Home> {
        &self.home
    }
}

/// What another program wrote, or the first that is read.
fn take_in(inner: &mut Inner, bytes: Vec<u8>) {
    let text = String::from_utf8(bytes.clone()).map_err(|_| ());
    let read = match text {
        Ok(text) => View::of(text).map_err(|(wrong, _)| wrong),
        Err(()) => Err(glowloom_design::read(&bytes).err().unwrap_or_default()),
    };
    match read {
        Ok(view) => {
            // A step back leads to what was before, whoever changed it.
            if let Some(old) = &inner.view {
                remember(&mut inner.past, old.text.clone());
                inner.future.clear();
            }
            inner.view = Some(Arc::new(view));
            inner.wrong = Arc::default();
        }
        Err(wrong) => inner.wrong = Arc::new(wrong),
    }
    inner.disk = Some(bytes);
}

fn remember(past: &mut Vec<String>, text: String) {
    if past.last() != Some(&text) {
        past.push(text);
    }
    if past.len() > MOST_PAST {
        past.remove(0);
    }
}

fn sound(inner: &Inner) -> Result<(Arc<View>, String), Refused> {
    if let Some(trouble) = &inner.trouble {
        return Err(trouble.clone().into());
    }
    match &inner.view {
        Some(view) if inner.wrong.is_empty() => Ok((Arc::clone(view), view.text.clone())),
        _ => Err(Trouble::new("the wall file has errors", "mend it in the text first").into()),
    }
}

fn refused(text: &str, wrong: &[Diagnostic]) -> Refused {
    Refused::Wrong { errors: wrong.iter().take(60).map(|wrong| Told::of(text, wrong)).collect() }
}

fn compared(before: &View, now: &View) -> Vec<(&'static str, String, String)> {
    let old = before.key_figures();
    let is = |name: &str| old.iter().find(|figure| figure.0 == name).map(|figure| figure.1.clone());
    let changed = now.key_figures().into_iter().filter_map(|(name, value)| {
        let before = is(name).unwrap_or_else(|| "none".to_owned());
        (before != value).then_some((name, before, value))
    });
    changed.collect()
}

#[cfg(test)]
#[path = "desk_tests.rs"]
mod tests;
