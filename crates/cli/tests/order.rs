//! The running order, played as a person would.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::path::Path;

use support::{ends, glowloom, text};

/// A wall of 24 x 8 whose one panel is at a port of its own, with this running order.
fn wall(at: &Path, port: u16, show: &str) {
    let wall = format!(
        "format = 1\n[wall]\nname = \"Turns\"\ncolumns = 24\nrows = 8\n[strip]\npart = \"ws2812b-30\"\n\
         [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 24\nrows = 8\naddress = \"127.0.0.1:{port}\"\n\
         [receiver]\nboard = \"esp32-ethernet\"\nlink = \"ethernet\"\nprotocol = \"ddp\"\n\
         frames_per_second = 30\n{show}"
    );
    std::fs::write(at.join("wall.toml"), wall).unwrap();
}

fn said(at: &Path) -> String {
    let output = glowloom(at, &["show", "wall.toml", "--for", "1500ms"]);
    let said = format!("{}{}", text(&output.stdout), text(&output.stderr));
    assert!(output.status.success(), "{said}");
    said
}

const ORDER: &str = "[[show.running_order]]\nsource = \"tide\"\nseconds = 1\nfade = 0.5\n\
     [[show.running_order]]\nsource = \"drift\"\nseconds = 3600\nover = \"clock\"\nstrength = 0.7\n\
     on_failure = \"tide\"\n";

#[test]
fn a_show_goes_on_where_it_was_left() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    wall(at, 15_221, ORDER);
    let first = said(at);
    assert!(!first.contains("goes on"), "{first}");
    let second = said(at);
    assert!(
        second.contains("the running order goes on where it was left: 2 of 2, drift"),
        "{second}"
    );
    let kept = || {
        let file = std::fs::read_dir(at.join("data/glowloom/orders")).unwrap().next().unwrap();
        std::fs::read_to_string(file.unwrap().path()).unwrap()
    };
    let second = kept();
    assert!(second.contains("\"scene\":1"), "{second}");
    // Another order begins at its beginning, and so does one whose file is broken.
    wall(at, 15_221, &ORDER.replace("3600", "3601"));
    assert!(!said(at).contains("goes on"));
    let file = std::fs::read_dir(at.join("data/glowloom/orders")).unwrap().next().unwrap();
    std::fs::write(file.unwrap().path(), "{\"format\":1,\"order\"").unwrap();
    assert!(!said(at).contains("goes on"));
}

#[test]
fn what_is_not_due_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    // Due in one minute of the week that is not now, whenever this runs.
    let scene = |days: &str| {
        format!(
            "[[show.running_order]]\nsource = \"tide\"\nfrom = \"03:00\"\nto = \"03:01\"\ndays = [{days}]\n"
        )
    };
    let today = glowloom_drive::Zone::of_this_computer().unwrap().local_time().weekday;
    let days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
    let other = days[usize::from(today + 3) % 7];
    wall(at, 15_222, &scene(&format!("\"{other}\"")));
    let said = said(at);
    assert!(said.contains("nothing of the running order is due now: the wall is dark"), "{said}");
}

/// Twelve hours and the other twelve: one of the two holds.
#[test]
fn quiet_hours_are_kept_with_a_running_order_alone() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let quiet = "[show]\nquiet_hours = [{ from = \"00:00\", to = \"12:00\", brightness = 0.25 }, \
         { from = \"12:00\", to = \"00:00\", brightness = 0.25 }]\n";
    wall(at, 15_223, &format!("{quiet}{ORDER}"));
    let said = said(at);
    assert!(said.contains("quiet hours: dimmed to 25 %"), "{said}");
    let (_, err) = ends(0, at, &["show", "wall.toml", "tide", "--for", "500ms"]);
    assert!(!err.contains("quiet hours"), "{err}");
    let (_, err) = ends(0, at, &["show", "wall.toml", "--brightness", "0.1", "--for", "500ms"]);
    assert!(!err.contains("quiet hours"), "{err}");
}

#[test]
fn sources_beside_the_first_are_opened_at_the_start_too() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    for (key, wanted) in [
        ("over = \"missing.png\"", "missing.png"),
        ("on_failure = \"clock,hours=13\"", "one of 24, 12"),
        ("over = \"../above.png\"", "outside the wall's folder"),
    ] {
        wall(at, 15_224, &format!("[[show.running_order]]\nsource = \"tide\"\n{key}\n"));
        let (_, err) = ends(2, at, &["show", "wall.toml", "--for", "1s"]);
        assert!(err.contains(wanted), "{key}: {err}");
    }
}
