//! Folders that a book is to go to, with all that may be wrong with them, and names of every kind.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::path::Path;
use std::process::Output;

use tempfile::TempDir;

/// A folder with a wall of panels of these names; `'` in them is not for this test.
fn folder(wall: &str, panels: &[&str]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let entries: String = panels
        .iter()
        .enumerate()
        .map(|(i, name)| format!("[[panels]]\nname = '{name}'\nat = [{}, 0]\n", 2 * i))
        .collect();
    let text = format!(
        "format = 1\n[wall]\nname = '{wall}'\ncolumns = {}\nrows = 2\n[strip]\npart = \"ws2812b-30\"\n\
         [panel]\ncolumns = 2\nrows = 2\n{entries}[baffle]\n",
        2 * panels.len()
    );
    std::fs::write(folder.path().join("wall.toml"), text).unwrap();
    folder
}

fn book(folder: &Path, to: &str) -> Output {
    support::glowloom(folder, &["book", "wall.toml", "-o", to])
}

/// It must fail, and say this; nothing is left beside the folder.
#[track_caller]
fn refused(folder: &Path, to: &str, said: &str) {
    let before = names(folder);
    let output = book(folder, to);
    let err = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{to}: {err}");
    assert!(err.contains(said) && err.contains("= help: "), "{to}: {err}");
    assert_eq!(names(folder), before, "{to}");
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn what_is_in_the_way_is_named_and_stays() {
    let keep = folder("Pier", &["a"]);
    let at = keep.path();
    std::fs::write(at.join("file"), "mine").unwrap();
    refused(at, "file", "cannot read file");
    refused(at, "file/book", "file");
    refused(at, "missing/book", "cannot write missing/book");
    refused(at, ".", "holds files and is no book");
    std::fs::create_dir_all(at.join("full/of")).unwrap();
    std::fs::write(at.join("full/of/mine.txt"), "mine").unwrap();
    refused(at, "full", "full holds files and is no book of this program");
    // A book with something of somebody else in it.
    assert!(book(at, "book").status.success());
    std::fs::write(at.join("book/lists/notes.txt"), "mine").unwrap();
    refused(at, "book", "book holds lists/notes.txt, which is no part of a book");
    assert_eq!(std::fs::read(at.join("book/lists/notes.txt")).unwrap(), b"mine");
    assert_eq!(std::fs::read(at.join("file")).unwrap(), b"mine");
}

/// A folder that may not be written to. For root there is none; there the test has nothing to say.
#[cfg(unix)]
#[test]
fn a_read_only_place_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let keep = folder("Pier", &["a"]);
    let place = keep.path().join("locked");
    std::fs::create_dir(&place).unwrap();
    let mode = |mode| std::fs::set_permissions(&place, PermissionsExt::from_mode(mode)).unwrap();
    mode(0o555);
    if std::fs::write(place.join("probe"), "").is_ok() {
        return;
    }
    refused(keep.path(), "locked/book", "cannot write locked/book");
    mode(0o755);
}

#[test]
fn names_of_every_kind_make_safe_files() {
    let long = "x".repeat(200);
    let names_of = [
        "../../etc",
        "a/b",
        "..",
        "\"quoted\", and; more",
        "<b>bold</b> & co",
        "מזרח",
        "🌊🌊",
        &long,
    ];
    let keep = folder("../wall/ \"מגדל\" 🌊", &names_of);
    let at = keep.path();
    let output = book(at, "book");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(names(at), ["book", "wall.toml"], "nothing beside the folder");
    // No file is called by anything that a person wrote.
    let mut folders = vec![at.join("book")];
    let mut files = 0;
    while let Some(folder) = folders.pop() {
        for name in names(&folder) {
            let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '.');
            assert!(name.chars().all(plain) && !name.contains(".."), "{name}");
            let path = folder.join(&name);
            if path.is_dir() { folders.push(path) } else { files += 1 }
        }
    }
    assert!(files > 10);
    let steps = std::fs::read_to_string(at.join("book/steps.txt")).unwrap();
    for name in names_of {
        assert!(steps.contains(&format!("[ ] strip {name} 2")), "{name}");
        assert_eq!(steps.matches(&format!("[ ] joint {name}:1-2")).count(), 1, "{name}");
    }
    let sheets = names(&at.join("book/sheets"));
    let labels = sheets.iter().find(|name| name.contains("-labels")).unwrap();
    let labels = std::fs::read_to_string(at.join("book/sheets").join(labels)).unwrap();
    assert!(!labels.contains("<b>") && labels.contains("&lt;b&gt;bold"), "escaped");
    // A name of 300 letters is an error of the wall file, and nothing is written.
    let keep = folder("Pier", &[&"y".repeat(300)]);
    let output = book(keep.path(), "book");
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(names(keep.path()), ["wall.toml"]);
}

/// Files are of the wall file alone: written twice they are the same, to the last byte.
#[test]
fn the_same_wall_gives_the_same_book() {
    let keep = folder("Pier", &["a", "b"]);
    let at = keep.path();
    for to in ["one", "two"] {
        assert!(book(at, to).status.success());
    }
    let same = |file: &str| {
        let read = |to: &str| std::fs::read(at.join(to).join(file)).unwrap();
        assert_eq!(read("one"), read("two"), "{file}");
    };
    let contents = std::fs::read_to_string(at.join("one/contents.json")).unwrap();
    let contents: serde_json::Value = serde_json::from_str(&contents).unwrap();
    for file in contents["files"].as_array().unwrap() {
        same(file["path"].as_str().unwrap());
    }
    same("contents.json");
}
