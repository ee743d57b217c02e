//! Shows that are recorded, and sent again: what the panels receive is the same.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

use glowloom_show::recording::{Recorded, Seal};
use support::{ends, program, text};

/// A wall of 12 x 6 whose one panel is at a port of its own, so that tests do not meet.
fn folder(port: u16) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let wall = format!(
        "format = 1\n[wall]\nname = \"Evening\"\ncolumns = 12\nrows = 6\n[strip]\npart = \"ws2812b-30\"\n\
         [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 12\nrows = 6\naddress = \"127.0.0.1:{port}\"\n\
         [receiver]\nboard = \"esp32-ethernet\"\nlink = \"ethernet\"\nprotocol = \"ddp\"\n\
         frames_per_second = 20\n"
    );
    std::fs::write(folder.path().join("wall.toml"), wall).unwrap();
    folder
}

fn files(folder: &Path) -> Vec<Vec<u8>> {
    let mut names: Vec<_> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    names.iter().map(|name| std::fs::read(name).unwrap()).collect()
}

/// Recorded frames, each the one that follows the other.
fn recorded(folder: &Path) -> Vec<Recorded> {
    let mut seal = Seal::START;
    let frame = |file: &Vec<u8>| {
        let frame = Recorded::decode(file).unwrap();
        frame.follows(seal).unwrap();
        seal = frame.seal;
        frame
    };
    files(folder).iter().map(frame).collect()
}

#[test]
fn what_was_recorded_is_sent_again() {
    let folder = folder(15_881);
    let at = folder.path();
    let (out, _) = ends(0, at, &["show", "wall.toml", "drift", "--record", "first", "--for", "2s"]);
    let first = recorded(&at.join("first"));
    assert!(out.contains(&format!("{} frames recorded", first.len())), "{out}");
    assert!(first.len() > 5 && first.windows(2).any(|two| two[0].bytes != two[1].bytes));
    assert_eq!(first[0].at, Duration::ZERO);
    // What is sent of a recording is recorded again: the same bytes, as far as it got.
    let again = ["show", "wall.toml", "recording:first", "--record", "second", "--for", "2s"];
    ends(0, at, &again);
    let second = recorded(&at.join("second"));
    // A busy computer may leave out frames here and there, and then sends others for longer: each that was sent is
    // one of them, in their order.
    let in_turn = |frames: &[Recorded]| {
        let mut bytes: Vec<_> = frames.iter().map(|frame| frame.bytes.clone()).collect();
        bytes.dedup();
        bytes
    };
    let (first, second) = (in_turn(&first), in_turn(&second));
    let mut wanted = first.iter();
    for frame in second.iter().take(second.len().min(first.len()) / 2) {
        assert!(wanted.any(|wanted| wanted == frame), "a frame that was not recorded");
    }
    // The folder of a recording is not written over.
    let (_, said) = ends(2, at, &["show", "wall.toml", "tide", "--record", "first", "--for", "1s"]);
    assert!(said.contains("not empty"), "{said}");
    let (_, said) = ends(2, at, &["show", "wall.toml", "recording:first", "tide", "--for", "1s"]);
    assert!(said.contains("alone"), "{said}");
    let (_, said) = ends(2, at, &["show", "wall.toml", "recording:gone", "--for", "1s"]);
    assert!(said.contains("gone"), "{said}");
    std::fs::create_dir(at.join("other")).unwrap();
    std::fs::write(at.join("other/frame-000000001.png"), b"words").unwrap();
    let (_, said) = ends(2, at, &["show", "wall.toml", "recording:other", "--for", "1s"]);
    assert!(said.contains("frame-000000001.png"), "{said}");
}

/// A disk with no room, or a folder that is taken away: it is told, and the show goes on.
#[test]
fn a_full_disk_does_not_end_the_show() {
    let folder = folder(15_882);
    let at = folder.path();
    let mut show = program(at, &["show", "wall.toml", "drift", "--record", "rec", "--for", "4s"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // The folder goes, so that no more files can be made in it, as on a disk that is full.
    let start = std::time::Instant::now();
    while std::fs::read_dir(at.join("rec")).map_or(0, Iterator::count) < 3 {
        assert!(start.elapsed() < Duration::from_secs(60) && show.try_wait().unwrap().is_none());
        std::thread::sleep(Duration::from_millis(5));
    }
    std::fs::rename(at.join("rec"), at.join("away")).unwrap();
    let output = show.wait_with_output().unwrap();
    let said = format!("{}{}", text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert!(
        said.contains("the recording has ended after") && said.contains("the show goes on"),
        "{said}"
    );
    assert!(said.contains("left out for want of"), "{said}");
    // What is there is whole.
    assert!(recorded(&at.join("away")).len() >= 2);
}
