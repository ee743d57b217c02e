//! The build book against programs outside the project.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use glowloom_tests::checkers::{can, program, run};

/// poppler's pdfinfo, pdffonts and pdftotext, librsvg's rsvg-convert (Debian), ElementTree, csv and
/// html.parser (Python): every page and sheet of the example walls and of one that follows the US
/// convention is read back and says what the plan and the pixel map say.
#[test]
fn outside_programs_read_the_book() {
    let tools = ["pdfinfo", "pdffonts", "pdftotext", "rsvg-convert"];
    if !can("reading the book back", &["tomllib"], &tools) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let walls = glowloom_tests::at("examples/walls");
    let mut walls: Vec<_> =
        std::fs::read_dir(walls).unwrap().map(|entry| entry.unwrap().path()).collect();
    walls.sort();
    let demo = std::fs::read_to_string(glowloom_tests::at("examples/walls/tidewall.toml")).unwrap();
    let us = folder.path().join("american.toml");
    let changed = demo
        .replace("colours = \"iec\"", "colours = \"us\"")
        .replace("paper = \"a4\"", "paper = \"letter\"");
    assert!(changed.contains("\"us\"") && changed.contains("\"letter\""));
    std::fs::write(&us, changed).unwrap();
    walls.push(us);
    let spliced = folder.path().join("spliced.toml");
    let changed = demo
        .replace("splices = false", "splices = true\n[stock]\nrolls = [90, 20]")
        .replace("rows = 32", "rows = 47")
        .replace("paper = \"a4\"", "paper = \"a4\"\npage = \"http://192.0.2.10/tide/\"");
    assert!(changed.contains("splices = true") && changed.contains("/tide/"));
    std::fs::write(&spliced, changed).unwrap();
    walls.push(spliced);
    let mut arguments = vec![program(), folder.path().into()];
    let count = walls.len();
    arguments.extend(walls);
    let said = run("sheets.py", &arguments);
    assert!(said.contains(&format!("{count} books are sound")), "{said}");
}
