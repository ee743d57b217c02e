//! The build journal: what is done already, as plain text with a line for each fact.
//!
//! A line is what was done and, behind a bar, what was built: `strip west 3 | 32 pixels, in at the 3rd
//! strip from the left, at its bottom end`. By the second a fact is known that no longer holds since the
//! wall file has changed. Facts are sorted, so that two copies of a journal that went apart are merged
//! line by line; of two lines about one thing the larger count stands. Lines that are no fact are kept as
//! they are and told. [`mod@progress`] holds a journal against the steps of a wall.

pub mod progress;

use std::collections::BTreeMap;

pub use progress::{Progress, progress};

use crate::steps::what::read as read_what;
use crate::steps::{Amount, Task, What};

/// The largest journal that is read, bytes: a line for each thing that a wall can have takes less.
pub const MOST_BYTES: usize = 64 << 20;

/// Between what was done and what was built.
const BAR: &str = " | ";
/// In the place of what was built, where nothing is to be said and a bar in a name would mislead.
const NOTHING: &str = "-";

/// The first line of a new journal.
const HEAD: &str =
    "# Build journal, kept by `glowloom done`. To merge two copies keep all lines of both.";

/// What is known of one thing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fact {
    /// How many are done: 1 for what is done once.
    pub count: u64,
    /// What was built; empty where the line does not say.
    pub built: String,
}

/// A line that is no fact.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Odd {
    /// From 1; of the text that was read.
    pub line: usize,
    /// As it is, its end left out.
    pub bytes: Vec<u8>,
}

impl Odd {
    /// So much of it that a message stays readable.
    #[must_use]
    pub fn shown(&self) -> String {
        // No message shows more than this many bytes of a line.
        let start = self.bytes.get(..400).unwrap_or(&self.bytes);
        crate::steps::what::shortened(&String::from_utf8_lossy(start))
    }
}

/// What is done.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Journal {
    /// By what it is about.
    pub facts: BTreeMap<What, Fact>,
    /// Lines that begin with `#`, as they are.
    pub comments: Vec<String>,
    /// In the order of the text.
    pub odd: Vec<Odd>,
}

/// Reads a journal. Nothing is refused: what is no fact is [`Journal::odd`].
#[must_use]
pub fn read(bytes: &[u8]) -> Journal {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut journal = Journal::default();
    for (number, line) in bytes.split(|byte| *byte == b'\n').enumerate() {
        // However many ends a program has put to it.
        let kept = line.iter().rposition(|byte| *byte != b'\r').map_or(0, |last| last + 1);
        let line = line.get(..kept).unwrap_or(line);
        let text = std::str::from_utf8(line).ok();
        match text.map(|text| (text, fact(text.trim()))) {
            Some((text, _)) if text.trim().is_empty() => {}
            Some((text, _)) if text.starts_with('#') => journal.comments.push(text.to_owned()),
            Some((_, Some((what, fact)))) => {
                let known = journal.facts.entry(what).or_default();
                // A later line about the same says what was built; the larger count stands.
                let count = known.count.max(fact.count);
                *known = Fact { count, built: fact.built };
            }
            _ => journal.odd.push(Odd { line: number + 1, bytes: line.to_vec() }),
        }
    }
    journal
}

/// What a line says; `None` where it is no fact.
fn fact(line: &str) -> Option<(What, Fact)> {
    let of = |text: &str, built: &str| {
        let (what, amount) = read_what(text).ok()?;
        let built = if built == NOTHING { "" } else { built };
        let count = match (&what, amount) {
            (What::Part { .. }, Amount::InAll(count)) if count > 0 => count,
            (What::Part { .. }, _) => return None,
            _ => 1,
        };
        Some((what, Fact { count, built: built.to_owned() }))
    };
    let barred = line.rsplit_once(BAR).and_then(|(text, built)| of(text, built));
    barred.or_else(|| of(line, ""))
}

/// What a change did, or why it could not be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// It is written now; how many there are.
    Written(u64),
    /// The journal says so already; how many there are.
    Already(u64),
    /// It is taken out; how many are left.
    TakenOut(u64),
    /// The journal does not say so, so that there is nothing to undo; how many it says.
    NotThere(u64),
    /// Parts are counted, and no number was given.
    HowMany,
}

impl Journal {
    /// Writes that something is done.
    pub fn done(&mut self, task: &Task, amount: Amount) -> Change {
        let part = matches!(task.what, What::Part { .. });
        let known = self.facts.get(&task.what);
        let before = known.map_or(0, |fact| fact.count);
        let count = match amount {
            Amount::Unsaid if part => return Change::HowMany,
            Amount::Unsaid => 1,
            Amount::InAll(count) => count,
            Amount::More(more) => before.saturating_add(more),
        };
        if count == 0 {
            self.facts.remove(&task.what);
            return if before == 0 { Change::Already(0) } else { Change::TakenOut(0) };
        }
        let fact = Fact { count, built: task.built.clone() };
        if known == Some(&fact) {
            return Change::Already(count);
        }
        self.facts.insert(task.what.clone(), fact);
        Change::Written(count)
    }

    /// Takes it out again: all of it, or so many of a counted part. A whole count has to be what the
    /// journal says.
    pub fn undo(&mut self, what: &What, amount: Amount) -> Change {
        let Some(fact) = self.facts.get_mut(what) else { return Change::NotThere(0) };
        let left = match amount {
            Amount::Unsaid => 0,
            Amount::InAll(count) if count == fact.count => 0,
            Amount::InAll(_) => return Change::NotThere(fact.count),
            Amount::More(more) => match fact.count.checked_sub(more) {
                Some(left) => left,
                None => return Change::NotThere(fact.count),
            },
        };
        fact.count = left;
        if left == 0 {
            self.facts.remove(what);
        }
        Change::TakenOut(left)
    }

    /// The journal as text: comments, facts in order, odd lines.
    #[must_use]
    pub fn text(&self) -> Vec<u8> {
        let mut text = Vec::new();
        let mut line = |bytes: &[u8]| {
            text.extend_from_slice(bytes);
            text.push(b'\n');
        };
        if self.comments.is_empty() {
            line(HEAD.as_bytes());
        }
        for comment in &self.comments {
            line(comment.as_bytes());
        }
        for (what, fact) in &self.facts {
            line(fact_line(what, fact).as_bytes());
        }
        for odd in &self.odd {
            line(&odd.bytes);
        }
        text
    }
}

fn fact_line(what: &What, fact: &Fact) -> String {
    let mut line = what.to_string();
    if matches!(what, What::Part { .. }) {
        line.push_str(&format!(" {}", fact.count));
    }
    if !fact.built.is_empty() {
        line.push_str(&format!("{BAR}{}", fact.built));
    } else if line.contains(BAR) {
        line.push_str(&format!("{BAR}{NOTHING}"));
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(journal: &Journal) -> String {
        String::from_utf8(journal.text()).unwrap()
    }

    #[test]
    fn facts_are_sorted_and_everything_else_is_kept() {
        let given = "# mine\r\n\njoint west:10-11\njoint west:9-10 | far to far: data\n<<<<<<< ours\ntile 5x6-plain 12\n\
                     tile 5x6-plain 9\nstrip west\nstrip west 3 | 32 pixels";
        let journal = read(given.as_bytes());
        let odd: Vec<_> = journal.odd.iter().map(|odd| (odd.line, odd.shown())).collect();
        assert_eq!(odd, [(5, "<<<<<<< ours".into()), (8, "strip west".into())]);
        assert_eq!(
            text(&journal),
            "# mine\ntile 5x6-plain 12\nstrip west 3 | 32 pixels\njoint west:9-10 | far to far: data\n\
             joint west:10-11\n<<<<<<< ours\nstrip west\n"
        );
        // What is written is read as the same.
        let again = read(&journal.text());
        assert_eq!((again.facts, again.comments), (journal.facts, journal.comments));
    }

    #[test]
    fn bytes_that_are_no_text_are_kept() {
        let journal = read(b"\xef\xbb\xbfpanel a hung\n\xff\xfe\n");
        assert_eq!(journal.facts.len(), 1);
        assert_eq!(journal.odd, [Odd { line: 2, bytes: b"\xff\xfe".to_vec() }]);
        assert!(journal.text().ends_with(b"panel a hung\n\xff\xfe\n"));
        assert_eq!(text(&read(b"")), format!("{HEAD}\n"));
    }

    #[test]
    fn a_bar_in_a_name_misleads_nobody() {
        for name in ["a | b", "| -", "a |"] {
            for built in ["", "x"] {
                let what = What::Receiver { panel: name.into() };
                let mut journal = Journal::default();
                let fact = Fact { count: 1, built: built.into() };
                journal.facts.insert(what.clone(), fact.clone());
                assert_eq!(read(&journal.text()).facts.get(&what), Some(&fact), "{name} {built}");
            }
        }
    }

    #[test]
    fn counts_go_up_and_down() {
        let what = What::Part { name: "tile-5x6-plain".into() };
        let task = Task { what: what.clone(), count: 48, words: String::new(), built: "b".into() };
        let mut journal = Journal::default();
        assert_eq!(journal.done(&task, Amount::Unsaid), Change::HowMany);
        assert_eq!(journal.done(&task, Amount::InAll(12)), Change::Written(12));
        assert_eq!(journal.done(&task, Amount::InAll(12)), Change::Already(12));
        assert_eq!(journal.done(&task, Amount::More(6)), Change::Written(18));
        assert_eq!(journal.done(&task, Amount::More(u64::MAX)), Change::Written(u64::MAX));
        assert_eq!(journal.done(&task, Amount::InAll(18)), Change::Written(18));
        assert_eq!(journal.undo(&what, Amount::More(20)), Change::NotThere(18));
        assert_eq!(journal.undo(&what, Amount::InAll(12)), Change::NotThere(18));
        assert_eq!(journal.undo(&what, Amount::More(6)), Change::TakenOut(12));
        assert_eq!(journal.undo(&what, Amount::InAll(12)), Change::TakenOut(0));
        assert_eq!(journal.undo(&what, Amount::Unsaid), Change::NotThere(0));
    }
}
