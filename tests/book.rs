//! The book's folder, read by programs outside the project.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::path::{Path, PathBuf};
use std::process::Command;

use glowloom_tests::checkers::{can, program, run};

/// A wall whose names have all that lists and shells trip over.
const ODD: &str = "format = 1\n[wall]\nname = 'a/b \"c\" .. <d>'\ncolumns = 9\nrows = 4\n[strip]\npart = \
                   \"ws2812b-30\"\n[receiver]\nboard = \"esp32\"\n[panel]\ncolumns = 3\nrows = 4\n\
                   [[panels]]\nname = '../left, \"low\"'\nat = [0, 0]\n\
                   [[panels]]\nname = \"מזרח 🌊\"\nat = [3, 0]\n\
                   [[panels]]\nname = \"côté; 'x'\"\nat = [6, 0]\nfeeds = 2\n[baffle]\n[board]\n\
                   material = \"plywood\"\nthickness = \"6 mm\"\nsheet = [\"2.5 m\", \"1.25 m\"]\n";

fn book(wall: &Path, folder: &Path) -> PathBuf {
    let to = folder.join("book");
    let done = Command::new(program()).arg("book").arg(wall).arg("-o").arg(&to).output().unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    to
}

/// Python's own csv, json and hashlib: every file is listed with its hash, and the lists say what the
/// plan says.
#[test]
fn lists_and_hashes_are_read_by_another_library() {
    if !can("the independent reader of lists", &["csv"], &[]) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let odd = folder.path().join("odd.toml");
    std::fs::write(&odd, ODD).unwrap();
    for wall in [glowloom_tests::at("examples/walls/tidewall.toml"), odd] {
        let to = book(&wall, folder.path());
        let said = run("book.py", &[wall, to.clone()]);
        assert!(said.contains("files listed"), "{said}");
    }
}

/// Debian's rsvg-convert draws the sheet of labels and zbarimg reads every code on it: what each holds is
/// the page and a place that the page has.
#[test]
fn codes_on_labels_are_read_by_another_program() {
    if !can("the independent reader of codes", &[], &["rsvg-convert", "zbarimg"]) {
        return;
    }
    // As long as an address of the page may be: squares are smallest then.
    let long = format!("https://book.example.org/{}/index.html", "x".repeat(44));
    assert_eq!(long.len(), 80);
    for (page, more) in
        [("index.html", String::new()), (&*long, format!("[book]\npage = \"{long}\"\n"))]
    {
        let folder = tempfile::tempdir().unwrap();
        let odd = folder.path().join("odd.toml");
        std::fs::write(&odd, format!("{ODD}{more}")).unwrap();
        let to = book(&odd, folder.path());
        let sheets = std::fs::read_dir(to.join("sheets")).unwrap();
        let sheets = sheets.map(|entry| entry.unwrap().path());
        let labels: Vec<_> =
            sheets.filter(|path| path.to_string_lossy().ends_with("-labels.svg")).collect();
        let [sheet] = &*labels else { panic!("one sheet of labels: {labels:?}") };
        let picture = folder.path().join("labels.png");
        // 10 dots to a millimetre, as a plain printer has them.
        let drawn = Command::new("rsvg-convert")
            .args(["--width", "2100", "-o"])
            .args([&picture, sheet])
            .status();
        assert!(drawn.unwrap().success());
        let read = Command::new("zbarimg").args(["-q", "--raw"]).arg(&picture).output().unwrap();
        let mut read: Vec<String> =
            String::from_utf8(read.stdout).unwrap().lines().map(str::to_owned).collect();
        read.sort();
        // Panel, receiver, 3 strips; 1 data lead and 1, 1 and 2 feeds with two ends.
        let places = [("panel-left-low-1", 9), ("panel-2", 9), ("panel-c-t-x-3", 11)];
        let mut wanted: Vec<String> = places
            .iter()
            .flat_map(|(place, count)| std::iter::repeat_n(format!("{page}#{place}"), *count))
            .collect();
        wanted.sort();
        assert_eq!(read, wanted);
        let html = std::fs::read_to_string(to.join("index.html")).unwrap();
        for (place, _) in places {
            assert!(html.contains(&format!("id=\"{place}\"")), "{place}");
        }
    }
}
