//! First light on virtual panels, and the receiver's project, as a person has them.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::io::Write;
use std::path::Path;
use std::process::{Output, Stdio};

use support::{ends, program, text, tidewall};

const WALL: &str = "format = 1\n[wall]\nname = \"small\"\ncolumns = 4\nrows = 3\n[strip]\npart = \"ws2812b-30\" # seen\n\
    [panel]\ncolumns = 2\nrows = 3\n[[panels]]\nname = \"a\"\nat = [0, 0]\n[[panels]]\nname = \"b\"\nat = [2, 0]\n";

fn folder(wall: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("wall.toml"), wall).unwrap();
    folder
}

/// The talk with these lines typed.
fn talk(folder: &Path, lines: &[&str]) -> Output {
    let mut command = program(folder, &["commission", "wall.toml"]);
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let typed: String = lines.iter().map(|line| format!("{line}\n")).collect();
    child.stdin.take().unwrap().write_all(typed.as_bytes()).unwrap();
    child.wait_with_output().unwrap()
}

#[test]
fn what_is_seen_mends_the_file_and_goes_into_the_journal() {
    let folder = folder(WALL);
    let lines = [
        "", // ready
        "", "", // count, ends
        "n", "grb", "", "", // colours: red is green; write; now they are right
        "", // turns
        "n", "a, b", "", "", // neighbours: exchanged
        "", // white
    ];
    let output = talk(folder.path(), &lines);
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{out}\n{err}");
    assert!(out.contains("+    7  order = \"rgb\""), "{out}");
    assert!(out.contains("CAUTION"), "{out}");
    assert!(out.contains("no board is told anything"), "{out}");
    let wall = std::fs::read_to_string(folder.path().join("wall.toml")).unwrap();
    let wanted = WALL
        .replace("[strip]\n", "[strip]\norder = \"rgb\"\n")
        .replace("[0, 0]", "[9, 9]")
        .replace("[2, 0]", "[0, 0]")
        .replace("[9, 9]", "[2, 0]");
    assert_eq!(wall, wanted);
    let journal = std::fs::read_to_string(folder.path().join("wall.journal")).unwrap();
    for panel in ["a", "b"] {
        assert!(journal.contains(&format!("panel {panel} lit")), "{journal}");
    }
}

#[test]
fn what_is_refused_changes_nothing() {
    let folder = folder(WALL);
    // A corner that there is not; a change that is not wanted; the end.
    let lines = ["", "", "n", "a", "middle", "n", "a", "top-left", "n", "q"];
    let output = talk(folder.path(), &lines);
    let out = text(&output.stdout);
    assert_eq!(output.status.code(), Some(1), "{out}");
    assert!(out.contains("would not be sound"), "{out}");
    assert_eq!(std::fs::read_to_string(folder.path().join("wall.toml")).unwrap(), WALL);
    assert!(!folder.path().join("wall.journal").exists());
    // Nobody is there to answer.
    assert_eq!(talk(folder.path(), &[]).status.code(), Some(1));
}

#[test]
fn each_check_plays_alone() {
    let folder = folder(WALL);
    for check in ["count", "ends", "colours", "turns", "neighbours", "white"] {
        let (out, _) = ends(0, folder.path(), &["commission", "wall.toml", check, "--for", "0.3s"]);
        assert!(out.starts_with(check), "{out}");
    }
    let (_, err) = ends(2, folder.path(), &["commission", "wall.toml", "all"]);
    assert!(err.contains("neighbours"), "{err}");
}

#[test]
fn the_project_is_written_whole_with_a_key_that_stays() {
    let folder = folder(&tidewall());
    let at = folder.path();
    let (out, _) = ends(0, at, &["receiver", "wall.toml", "-o", "receiver"]);
    assert!(out.contains("made now"), "{out}");
    let key = std::fs::read_to_string(at.join("receiver/main/key.hpp")).unwrap();
    assert!(key.contains("KEY[32] = {\n    0x"), "{key}");
    for file in
        ["README.md", "CMakeLists.txt", "core/device.cpp", "boards/main.cpp", "main/settings.hpp"]
    {
        assert!(at.join("receiver").join(file).is_file(), "{file}");
    }
    let (out, _) = ends(0, at, &["receiver", "wall.toml", "-o", "receiver"]);
    assert!(!out.contains("made now"), "{out}");
    assert_eq!(std::fs::read_to_string(at.join("receiver/main/key.hpp")).unwrap(), key);
    let keys: Vec<_> = std::fs::read_dir(at.join("state/glowloom/keys")).unwrap().collect();
    let kept = keys[0].as_ref().unwrap().path();
    assert_eq!(keys.len(), 1);
    #[cfg(unix)]
    for secret in [&kept, &at.join("receiver/main/key.hpp")] {
        let mode = std::os::unix::fs::PermissionsExt::mode(
            &std::fs::metadata(secret).unwrap().permissions(),
        );
        assert_eq!(mode & 0o077, 0, "{}", secret.display());
    }
    std::fs::write(&kept, "no key\n").unwrap();
    let (_, err) = ends(2, at, &["receiver", "wall.toml", "-o", "other"]);
    assert!(err.contains("64 hexadecimal digits") && !at.join("other").exists(), "{err}");
}
