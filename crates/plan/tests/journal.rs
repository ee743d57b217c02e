//! The build journal against walls: what counts, what is left, what no longer holds; and any bytes.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use glowloom_design::Wall;
use glowloom_plan::journal::{self, Change, Journal, Progress, progress};
use glowloom_plan::meter::sheet;
use glowloom_plan::steps::{Amount, Steps, steps, what};
use glowloom_plan::{Plan, plan};
use proptest::prelude::*;

struct Made {
    wall: Wall,
    plan: Plan,
    steps: Steps,
}

fn made(text: &str) -> Made {
    let wall = support::read(text);
    let plan = plan(&wall);
    let sheet = sheet(&wall).ok();
    let steps = steps(&wall, &plan, sheet.as_ref());
    Made { wall, plan, steps }
}

impl Made {
    fn done(&self, journal: &mut Journal, words: &str) -> Change {
        let (what, amount) = what::read(words).unwrap();
        let task = journal::progress::find(&self.wall, &self.steps, &what).unwrap();
        journal.done(task, amount)
    }

    fn progress(&self, journal: &Journal) -> Progress<'_> {
        progress(&self.wall, &self.plan, &self.steps, journal)
    }

    fn row(&self, journal: &Journal, name: &str) -> (u64, u64) {
        let rows = self.progress(journal).rows;
        let row = rows.iter().find(|row| row.name == name).unwrap_or_else(|| panic!("{rows:?}"));
        (row.done, row.all)
    }
}

fn pier(panel: &str) -> String {
    support::one(12, 6, "ws2812b-30", panel, "[power]\nfeeds = 3\n[baffle]\n")
}

#[test]
fn what_is_done_counts_and_the_rest_is_left() {
    let pier = made(&pier(""));
    let mut journal = Journal::default();
    let tiles = pier.plan.tiles.as_ref().unwrap();
    let before = pier.progress(&journal);
    let printing = before.printing.unwrap();
    assert!((printing.filament - tiles.filament_kg).0.abs() < 1e-12);
    assert!((printing.hours - tiles.hours).0.abs() < 1e-9, "{printing:?} {:?}", tiles.hours);
    assert!((before.left - pier.steps.estimate).0.abs() < 1e-6);
    assert_eq!(before.next[0].step.id, "ready");

    for words in
        ["step ready", "step bench", "step cut-strips", "step cut-wires", "panel only board"]
    {
        assert_eq!(pier.done(&mut journal, words), Change::Written(1));
    }
    for strip in [1, 2, 4] {
        pier.done(&mut journal, &format!("strip only {strip}"));
    }
    assert_eq!(pier.row(&journal, "strips laid"), (3, 12));
    assert_eq!(pier.row(&journal, "joints"), (0, 11));
    let kind = &tiles.kinds[0];
    let words = format!("tile {} {}", kind.name.trim_start_matches("tile-"), kind.per_wall + 1);
    assert_eq!(pier.done(&mut journal, &words), Change::Written(kind.per_wall + 1));
    assert_eq!(pier.row(&journal, "tiles printed").0, kind.per_wall, "spares do not count");

    let after = pier.progress(&journal);
    assert!(after.stale.is_empty() && after.left < before.left);
    let next: Vec<&str> = after.next.iter().map(|open| open.step.id.as_str()).collect();
    assert_eq!(next[0], "strips only");
    let first = after.next[0].tasks[0].0.what.to_string();
    assert_eq!(first, "strip only 3");
    let filament = after.printing.map_or(0.0, |printing| printing.filament.0);
    let wanted = tiles.filament_kg.0 - kind.tile_kg.0 * kind.per_wall as f64;
    assert!((filament - wanted).abs() < 1e-9, "{filament} {wanted}");

    // All of it done: nothing is next and nothing is left.
    for task in pier.steps.tasks() {
        let amount = if task.count > 1 { Amount::InAll(task.count) } else { Amount::InAll(1) };
        journal.done(task, amount);
    }
    let end = pier.progress(&journal);
    assert!(end.next.is_empty() && end.left.0 == 0.0 && end.rows.iter().all(|r| r.done == r.all));
    assert_eq!(end.printing.map(|printing| printing.hours.0), Some(0.0));
    let again = journal::read(&journal.text());
    assert_eq!((again.odd.len(), again.facts), (0, journal.facts));
}

#[test]
fn a_changed_wall_file_keeps_what_holds_and_lists_what_does_not() {
    let before = made(&pier(""));
    let mut journal = Journal::default();
    for words in
        ["strip only 3", "joint only:3-4", "feed only 2 near", "receiver only", "panel only hung"]
    {
        assert_eq!(before.done(&mut journal, words), Change::Written(1));
    }
    let stale = |made: &Made| -> Vec<String> {
        made.progress(&journal).stale.iter().map(|stale| stale.what.to_string()).collect()
    };
    assert_eq!(stale(&before), [""; 0]);
    // Other prices, figures, names of the wall: all of it holds.
    let other = pier("").replace("name = \"One\"", "name = \"Two\"\nfigures = \"imperial\"");
    assert_eq!(stale(&made(&other)), [""; 0]);
    // Another path: strip 3 runs as before, but is joined otherwise.
    assert_eq!(stale(&made(&pier("path = \"progressive\"\n"))), ["joint only:3-4"]);
    // Another corner: strip 3 is another one, and so is where it is joined and fed.
    let corner = stale(&made(&pier("enter = \"top-right\"\n")));
    assert_eq!(corner, ["strip only 3"]);
    // Longer strips.
    let longer = pier("").replace("rows = 6", "rows = 7");
    assert_eq!(stale(&made(&longer)), ["strip only 3", "panel only hung"]);
    // Another name: nothing of it is there any more, and the message says what is.
    let renamed = made(&pier("").replace("\"only\"", "\"lonely\""));
    assert_eq!(stale(&renamed).len(), 5);
    let why = &renamed.progress(&journal).stale[0].why;
    assert!(why.contains("no panel \"only\""), "{why}");
    assert_eq!(renamed.row(&journal, "strips laid"), (0, 12));
    // A line by hand that does not say what was built holds as long as there is such a thing.
    let by_hand = journal::read(b"strip only 3\nstrip only 13\n");
    let stale = made(&longer).progress(&by_hand).stale;
    assert_eq!(stale.iter().map(|s| s.what.to_string()).collect::<Vec<_>>(), ["strip only 13"]);
}

#[test]
fn what_is_not_there_is_told_with_what_is() {
    let pier = made(&pier(""));
    let told = |words: &str| {
        let (what, _) = what::read(words).unwrap();
        let unknown = journal::progress::find(&pier.wall, &pier.steps, &what).unwrap_err();
        format!("{}: {}", unknown.found, unknown.there)
    };
    assert_eq!(told("strip onyl 3"), "the wall has no panel \"onyl\": did you mean `only`?");
    assert_eq!(told("panel north hung"), "the wall has no panel \"north\": there is: only");
    assert_eq!(
        told("feed only 3 near"),
        "the wall has no `feed only 3 near`: there is: feed only 2 near, feed only 6 near, feed only 10 near"
    );
    assert!(told("step nonsense").contains("there is: step ready, "));
    assert!(told("rim 200mm 3").ends_with("the wall has none of that kind"));
}

fn any_line() -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        prop::collection::vec(any::<u8>(), 0..60),
        "[a-z:| #0-9+-]{0,60}".prop_map(String::into_bytes),
        "(strip|joint|panel|tile|feed|step|receiver) .{0,40}( [0-9]{1,12}| hung| near)?( \\| .{0,20})?"
            .prop_map(String::into_bytes),
    ]
}

proptest! {
    /// Nothing that was in a journal is lost by reading and writing it, and writing it twice changes
    /// nothing.
    #[test]
    fn any_journal_is_kept(lines in prop::collection::vec(any_line(), 0..30)) {
        let text = lines.join(&b'\n');
        let read = journal::read(&text);
        let written = read.text();
        let again = journal::read(&written);
        prop_assert_eq!(&again.facts, &read.facts);
        prop_assert_eq!(again.odd.len(), read.odd.len());
        prop_assert_eq!(again.text(), written);
        for odd in &read.odd {
            prop_assert!(again.odd.iter().any(|other| other.bytes == odd.bytes));
        }
        // Two halves merged by keeping all lines of both say what the whole says.
        let half = lines.len() / 2;
        let (one, other) = (journal::read(&lines[..half].join(&b'\n')), journal::read(&lines[half..].join(&b'\n')));
        let merged = journal::read(&[one.text(), other.text()].concat());
        let counts = |journal: &Journal| -> Vec<(String, u64)> {
            journal.facts.iter().map(|(what, fact)| (what.to_string(), fact.count)).collect()
        };
        prop_assert_eq!(counts(&merged), counts(&read));
        // Progress takes any journal.
        let lantern = made(&support::one(2, 2, "ws2812b-30", "", ""));
        lantern.progress(&read);
    }
}
