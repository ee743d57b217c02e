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

/// poppler's pdftoppm and the command that keeps the picture of all sheets: each sheet is in it.
#[test]
fn a_picture_of_all_sheets_is_made_by_its_command() {
    if !can("the picture of all sheets", &["zlib"], &["pdftoppm"]) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let picture = folder.path().join("sheets.png");
    let wall = glowloom_tests::at("examples/walls/lantern.toml");
    let book = folder.path().join("book");
    let written =
        std::process::Command::new(program()).arg("book").arg(&wall).arg("-o").arg(&book).output();
    assert!(written.unwrap().status.success());
    let sheets = std::fs::read_dir(book.join("sheets")).unwrap().count();
    let said = run("../../docs/contact-sheet.py", &[wall, picture.clone(), program()]);
    assert!(said.contains(&format!(": {sheets} sheets, ")), "{sheets}: {said}");
    let bytes = std::fs::read(picture).unwrap();
    // Width and height follow the head of a PNG (W3C Recommendation, 11.2.2, from memory).
    let side = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap());
    assert_eq!(&bytes[12..16], b"IHDR");
    let down = u32::try_from(sheets.div_ceil(7)).unwrap();
    assert_eq!(side(16), 7 * 432 + 12);
    assert!((down * 290..=down * 432 + 12).contains(&side(20)), "{down} rows, {}", side(20));
}
