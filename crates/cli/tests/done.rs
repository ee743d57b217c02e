//! The build journal, as a person keeps it.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::path::{Path, PathBuf};

use tempfile::TempDir;

use support::{ends, tidewall};

/// A folder with the demo's wall.
fn folder() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("wall.toml"), tidewall()).unwrap();
    let path = folder.path().to_owned();
    (folder, path)
}

#[track_caller]
fn done(code: i32, folder: &Path, what: &[&str]) -> (String, String) {
    ends(code, folder, &[&["done", "wall.toml"], what].concat())
}

fn journal(folder: &Path) -> Vec<String> {
    let text = std::fs::read_to_string(folder.join("wall.journal")).unwrap();
    text.lines().skip(1).map(|line| line.split(" | ").next().unwrap().to_owned()).collect()
}

#[test]
fn what_is_done_is_written_and_undone() {
    let (_keep, at) = folder();
    let (out, _) = done(0, &at, &[]);
    assert!(out.contains("tiles printed") && out.contains("of 72"), "{out}");
    assert!(out.contains("step ready"), "what is next: {out}");
    assert!(!at.join("wall.journal").exists(), "looking writes nothing");
    let (out, _) = ends(0, &at, &["plan", "wall.toml"]);
    assert!(!out.contains("tiles printed"), "no journal, no table");

    let (out, _) = done(0, &at, &["tile", "5x6-plain", "12"]);
    assert!(out.starts_with("done: tile 5x6-plain: 12\nnext: step ready"), "{out}");
    done(0, &at, &["tile 5x6-plain +6"]);
    done(0, &at, &["joint", "west:4-5"]);
    done(0, &at, &["panel", "west", "hung"]);
    done(0, &at, &["feed", "west", "7", "near"]);
    done(0, &at, &["strip", "west", "10"]);
    done(0, &at, &["strip", "west", "9"]);
    let (out, _) = done(0, &at, &["strip", "west", "9"]);
    assert!(out.starts_with("strip west 9 is in the journal already"), "{out}");
    let wanted = [
        "tile 5x6-plain 18",
        "strip west 9",
        "strip west 10",
        "joint west:4-5",
        "feed west 7 near",
        "panel west hung",
    ];
    assert_eq!(journal(&at), wanted);

    // Plan and book show it.
    for command in [&["plan", "wall.toml"][..], &["book", "wall.toml", "-o", "book"]] {
        let (out, _) = ends(0, &at, command);
        let row = out.lines().find(|line| line.contains("tiles printed")).unwrap();
        assert!(row.contains("18") && row.contains("of 72"), "{row}");
        assert!(out.contains("left to print") && out.contains("filament left"), "{out}");
    }
    // Its JSON and its book are of the wall file alone.
    let (json, _) = ends(0, &at, &["plan", "wall.toml", "--json"]);
    assert!(!json.contains("\"done\""));
    ends(0, &at, &["book", "wall.toml", "-o", "book", "--check"]);

    done(0, &at, &["panel", "west", "hung", "--undo"]);
    done(0, &at, &["--undo", "tile", "5x6-plain", "+6"]);
    assert_eq!(journal(&at)[0], "tile 5x6-plain 12");
    assert!(!journal(&at).contains(&"panel west hung".to_owned()));
    let (_, err) = done(2, &at, &["panel", "west", "hung", "--undo"]);
    assert!(err.contains("the journal does not have `panel west hung`"), "{err}");
    let (_, err) = done(2, &at, &["--undo", "tile", "5x6-plain", "7"]);
    assert!(err.contains("tile 5x6-plain: 12"), "{err}");
}

#[test]
fn what_the_wall_does_not_have_is_told_and_not_written() {
    let (_keep, at) = folder();
    for (what, said) in [
        (&["joint", "wset:4-5"][..], "did you mean `west`?"),
        (&["strip", "west", "21"], "there is: strip west 1, "),
        (&["joint", "west:20-21"], "the wall has no `joint west:20-21`"),
        (&["feed", "west", "8", "near"], "feed west 7 near, feed west 9 near"),
        (&["feed", "west", "7", "far"], "the wall has no `feed west 7 far`"),
        (&["tile", "6x6-plain", "12"], "did you mean `tile 5x6-plain`?"),
        (&["tile", "5x6-plain"], "does not say how many"),
        (&["rim", "200mm", "1"], "the wall has none of that kind"),
        (&["panel", "west", "done"], "wanted: panel PANEL STAGE"),
        (&["pannel", "west", "hung"], "did you mean `panel`?"),
        (&["step", "benhc"], "did you mean `step bench`?"),
        (&["\u{202e}west"], "names nothing that can be done"),
        (&["--undo"], "--undo wants to know what"),
        (&["strip", "west", "3", "--undo"], "the journal does not have `strip west 3`"),
    ] {
        let (out, err) = done(2, &at, what);
        assert!(err.contains(said) && out.is_empty(), "{what:?}: {err}");
        assert!(err.contains("= help: ") && !err.contains('\u{202e}'), "{err}");
    }
    assert!(!at.join("wall.journal").exists());
}

#[test]
fn a_changed_wall_file_keeps_what_holds() {
    let (_keep, at) = folder();
    for what in ["strip west 3", "joint west:4-5", "strip east 1", "tile 5x6-plain 12"] {
        done(0, &at, &[what]);
    }
    let path = at.join("wall.toml");
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(
        &path,
        text.replace("name = \"east\"", "name = \"quay\"").replace("1 mm2", "1.5 mm2"),
    )
    .unwrap();
    let before = std::fs::read(at.join("wall.journal")).unwrap();
    let (out, _) = done(0, &at, &[]);
    assert!(out.contains("1 line of wall.journal no longer holds"), "{out}");
    assert!(out.contains("- strip east 1: the wall has no panel \"east\""), "{out}");
    assert_eq!(std::fs::read(at.join("wall.journal")).unwrap(), before, "and stays in the file");
    // Rows of another number: strips are longer, tiles of another kind.
    std::fs::write(&path, text.replace("rows = 32", "rows = 30")).unwrap();
    let (out, _) = done(0, &at, &[]);
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.contains("- strip west 3: was 32 pixels, in at"), "{out}");
    assert!(out.contains("the wall file now has 30 pixels"), "{out}");
    assert!(!out.contains("- joint west:4-5"), "a joint is where it was: {out}");
    // Back again: all of it holds. And what no longer holds can be taken out.
    std::fs::write(&path, &text).unwrap();
    let (out, _) = done(0, &at, &[]);
    assert!(!out.contains("no longer"), "{out}");
    std::fs::write(&path, text.replace("name = \"east\"", "name = \"quay\"")).unwrap();
    done(0, &at, &["--undo", "strip east 1"]);
    let (out, _) = done(0, &at, &[]);
    assert!(!out.contains("no longer"), "{out}");
}

#[test]
fn a_journal_that_was_edited_by_hand_is_kept_and_told() {
    let (_keep, at) = folder();
    let path = at.join("wall.journal");
    std::fs::write(
        &path,
        b"# ours\n<<<<<<< mine\nstrip west 3\n=======\n\xff\x1b[31m\nstrip west 4\n",
    )
    .unwrap();
    let (out, err) = done(0, &at, &["strip", "west", "5"]);
    assert!(out.starts_with("done: strip west 5"), "{out}");
    for line in ["wall.journal:2: `<<<<<<< mine`", "wall.journal:4: `=======`", "wall.journal:5: "]
    {
        assert!(err.contains(line), "{err}");
    }
    let kept = std::fs::read(&path).unwrap();
    for line in
        [&b"# ours\n"[..], b"<<<<<<< mine\n", b"=======\n", b"\xff\x1b[31m\n", b"strip west 3\n"]
    {
        assert!(kept.windows(line.len()).any(|part| part == line), "{kept:?}");
    }
    // Too large, a folder, a wall file with errors: nothing is written.
    std::fs::File::create(&path).unwrap().set_len(65 << 20).unwrap();
    let (_, err) = done(2, &at, &["strip", "west", "5"]);
    assert!(err.contains("larger than 64 MiB"), "{err}");
    let (_, err) = ends(2, &at, &["plan", "wall.toml"]);
    assert!(err.contains("larger than 64 MiB"), "{err}");
    std::fs::remove_file(&path).unwrap();
    std::fs::create_dir(&path).unwrap();
    let (_, err) = done(2, &at, &["strip", "west", "5"]);
    assert!(err.contains("give a file, not a folder"), "{err}");
    std::fs::remove_dir(&path).unwrap();
    std::fs::write(at.join("wall.toml"), "format = 1\n").unwrap();
    done(2, &at, &["strip", "west", "5"]);
    assert!(!path.exists());
}

/// Two people write down different things in copies of one journal; all lines of both are what both did.
#[test]
fn copies_are_merged_by_keeping_all_lines() {
    let (_keep, at) = folder();
    let path = at.join("wall.journal");
    done(0, &at, &["tile 5x6-plain 12"]);
    let common = std::fs::read(&path).unwrap();
    done(0, &at, &["strip west 1"]);
    done(0, &at, &["tile 5x6-plain 20"]);
    let mine = std::fs::read(&path).unwrap();
    std::fs::write(&path, common).unwrap();
    done(0, &at, &["strip east 2"]);
    let theirs = std::fs::read(&path).unwrap();
    std::fs::write(&path, [mine, theirs].concat()).unwrap();
    done(0, &at, &["strip middle 3"]);
    let text = std::fs::read_to_string(&path).unwrap();
    let facts: Vec<&str> = text
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| line.split(" | ").next().unwrap())
        .collect();
    assert_eq!(facts, ["tile 5x6-plain 20", "strip east 2", "strip middle 3", "strip west 1"]);
}
