//! The running order and quiet hours: what is filled in, and what is nonsense.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod marks;

use glowloom_design::read;
use glowloom_design::wall::{OnFailure, Over, Weekday};
use glowloom_units::Seconds;
use marks::{base, check, found};

#[test]
fn what_is_not_said_is_filled_in() {
    let text = base() + "[[show.running_order]]\nsource = \"tide\"\n";
    let wall = read(text.as_bytes()).unwrap();
    let scene = &wall.show.running_order[0];
    assert_eq!((scene.seconds, scene.repeats, scene.fade), (Seconds(20.0), 1, Seconds(0.0)));
    assert_eq!((scene.from, scene.to, scene.days.len()), (0, 1440, 7));
    assert_eq!((&scene.over, &scene.on_failure), (&None, &OnFailure::Keep));
}

#[test]
fn what_is_said_is_kept() {
    let text = base()
        + "[[show.running_order]]\nsource = \"tide\"\nseconds = 90\nrepeats = 3\nfade = \"1.5 s\"\n\
           from = \"22:30\"\nto = \"01:00\"\ndays = [\"sun\", \"fri\"]\nover = \"clock,hours=12\"\n\
           strength = 0.5\non_failure = \"drift\"\n\
           [[show.running_order]]\nsource = \"drift\"\nto = \"00:00\"\non_failure = \"next\"\n\
           [[show.running_order]]\nsource = \"drift\"\nfrom = \"00:00\"\non_failure = \"keep\"\n";
    let wall = read(text.as_bytes()).unwrap_or_else(|wrong| panic!("{wrong:#?}"));
    let [first, second, third] = &wall.show.running_order[..] else { panic!() };
    assert_eq!((first.repeats, first.fade), (3, Seconds(1.5)));
    assert_eq!((first.from, first.to), (22 * 60 + 30, 60));
    assert_eq!(first.days, [Weekday::Friday, Weekday::Sunday]);
    assert_eq!(first.over, Some(Over { source: "clock,hours=12".into(), strength: 0.5 }));
    assert_eq!(first.on_failure, OnFailure::Source("drift".into()));
    assert_eq!((second.from, second.to, &second.on_failure), (0, 1440, &OnFailure::Next));
    assert_eq!((third.from, third.to, &third.on_failure), (0, 1440, &OnFailure::Keep));
}

#[test]
fn nonsense_is_told_at_its_place() {
    check(
        &(base()
            + "[[show.running_order]]
source = \"tide\"
repeats = 0
          ^ out-of-range
from = \"08:00\"
to = \"08:00\"
     ^^^^^^^ out-of-range
[[show.running_order]]
source = \"tide\"
seconds = 3
fade = 4
       ^ out-of-range
days = [\"mon\", \"wensday\"]
               ^^^^^^^^^ unknown-value
from = \"24:00\"
       ^^^^^^^ out-of-range
[[show.running_order]]
source = \"tide\"
strength = 0.5
           ^^^ missing-key
days = [\"mon\", \"tue\", \"mon\"]
                      ^^^^^ second-value
fade = -1
       ^^ out-of-range
[[show.running_order]]
source = \"tide\"
over = \"\"
       ^^ empty
strength = 1.5
           ^^^ out-of-range
days = []
       ^^ wrong-type
on_failure = true
             ^^^^ wrong-type
"),
    );
    check(
        &(base()
            + "[show]
quiet_hours = [{ from = \"22:00\", to = \"22:00\", brightness = 0.1 }]
                                      ^^^^^^^ out-of-range
"),
    );
    check(
        &(base()
            + "[show]
running_order = [{ source = \"tide\", from = \"00:00\", to = \"00:00\" }]
                                                         ^^^^^^^ out-of-range
"),
    );
}

#[test]
fn a_mistyped_day_gets_the_nearest() {
    let text = base() + "[[show.running_order]]\nsource = \"tide\"\ndays = [\"tues\"]\n";
    let (_, wrong) = found(&text);
    assert!(wrong.iter().any(|d| d.wanted == "did you mean \"tue\"?"), "{wrong:?}");
}

#[test]
fn walls_that_differ_in_their_order_alone() {
    let with = |show: &str| read((base() + show).as_bytes()).unwrap();
    let one = with("[show]\nbrightness = 0.5\n[[show.running_order]]\nsource = \"tide\"\n");
    let quiet = "quiet_hours = [{ from = \"22:00\", to = \"06:00\" }]\n";
    for other in ["", "[show]\nbrightness = 0.9\n", &format!("[show]\n{quiet}")] {
        assert!(one.differs_in_order_alone(&with(other)), "{other}");
    }
    for other in ["[show]\nsaturation = 1.5\n", "[power]\ntrim_volts = 4.9\n"] {
        assert!(!one.differs_in_order_alone(&with(other)), "{other}");
    }
}
