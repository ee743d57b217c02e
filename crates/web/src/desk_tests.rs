//! A desk over a file in memory that others may change.

use super::*;
use crate::memory::Memory;

const TIDEWALL: &str = include_str!("../../../examples/walls/tidewall.toml");

fn desk() -> (Desk, Arc<Memory>) {
    let home = Arc::new(Memory::new(TIDEWALL));
    (Desk::new(Arc::clone(&home) as Arc<dyn Home>), home)
}

fn set(figure: &str, value: &str) -> Change {
    Change::Set { figure: figure.into(), value: value.into() }
}

#[test]
fn a_change_is_told_by_what_follows_and_can_be_taken_back() {
    let (desk, home) = desk();
    let outcome = desk.change(&[set("brightness-limit", "0.5")], false).unwrap();
    assert!(outcome.saved);
    assert!(outcome.figures.iter().any(|f| f.0 == "least volts" && f.1 < f.2), "{outcome:?}");
    assert_eq!(outcome.lines.len(), 2);
    assert!(home.text().contains("brightness_limit = 0.5"));
    desk.step(false).unwrap();
    assert_eq!(home.text(), TIDEWALL);
    assert!(desk.step(false).is_err());
    desk.step(true).unwrap();
    assert!(home.text().contains("brightness_limit = 0.5"));
    assert!(desk.step(true).is_err());
}

#[test]
fn what_is_only_tried_is_not_saved() {
    let (desk, home) = desk();
    let outcome = desk.change(&[set("trim", "4.5")], true).unwrap();
    assert!(!outcome.saved && !outcome.figures.is_empty());
    assert_eq!(home.text(), TIDEWALL);
    assert!(!desk.look().back);
}

#[test]
fn a_wrong_value_never_takes_the_place_of_a_right_one() {
    let (desk, home) = desk();
    let Err(Refused::Wrong { errors }) = desk.change(&[set("brightness-limit", "7")], false) else {
        panic!("it is refused")
    };
    assert_eq!(errors.len(), 1);
    assert!(!errors[0].remedy.is_empty());
    let mark = desk.look().mark;
    assert!(desk.rewrite(&mark, "format = ".into(), false).is_err());
    assert!(desk.rewrite(&mark, String::new(), false).is_err());
    assert_eq!(home.text(), TIDEWALL);
}

#[test]
fn what_another_program_changes_meanwhile_stays() {
    let (desk, home) = desk();
    let mark = desk.look().mark;
    home.put(&TIDEWALL.replace("rows = 32\nseen_from = \"4 m\"", "rows = 32\nseen_from = \"5 m\""));
    // A changed figure goes into the file as it is now.
    desk.change(&[set("trim", "4.9")], false).unwrap();
    assert!(
        home.text().contains("seen_from = \"5 m\"") && home.text().contains("trim_volts = 4.9")
    );
    // A whole text that was begun before is asked about.
    let Err(Refused::Changed { text, .. }) = desk.rewrite(&mark, TIDEWALL.into(), false) else {
        panic!("it is asked about")
    };
    assert_eq!(text, home.text());
    // A step back goes over one change at a time, the other program's too.
    desk.step(false).unwrap();
    assert!(
        home.text().contains("seen_from = \"5 m\"") && home.text().contains("trim_volts = 5.0")
    );
    desk.step(false).unwrap();
    assert_eq!(home.text(), TIDEWALL);
}

#[test]
fn a_file_that_goes_wrong_leaves_the_last_sound_one() {
    let (desk, home) = desk();
    assert!(desk.look().wrong.is_empty());
    home.put("format = 1\n[wall]\ncolums = 60\n");
    let look = desk.look();
    assert!(!look.wrong.is_empty());
    assert_eq!(look.view.unwrap().text, TIDEWALL);
    assert!(desk.change(&[set("trim", "4.9")], false).is_err());
    assert!(home.text().contains("colums"), "nothing is written over it");
    desk.rewrite(&look.mark, TIDEWALL.into(), false).unwrap();
    assert!(desk.look().wrong.is_empty());
}

#[test]
fn a_race_is_lost_without_harm() {
    let (desk, home) = desk();
    let _ = desk.look();
    let other = TIDEWALL.replace("trim_volts = 5.0", "trim_volts = 4.8");
    home.change_before_next_save(&other);
    assert!(matches!(desk.change(&[set("seen-from", "6 m")], false), Err(Refused::Changed { .. })));
    assert_eq!(home.text(), other);
}
