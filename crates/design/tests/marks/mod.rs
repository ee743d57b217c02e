//! Wall files in which `^^^ code` stands under what is wrong. All errors of a case must be marked,
//! and all marks must be errors.
#![allow(dead_code, reason = "each test takes what it needs")]

use glowloom_design::{Diagnostic, Place, read};

/// A wall that is right, to put something wrong beside.
pub const HEAD: &str = "format = 1\n[wall]\nname = \"W\"\ncolumns = 20\nrows = 10\n";
pub const STRIP: &str = "[strip]\npart = \"ws2812b-30\"\n";
pub const PANEL: &str = "[[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 10\nrows = 10\n";

pub fn base() -> String {
    format!("{HEAD}{STRIP}{PANEL}")
}

#[derive(Debug, PartialEq, PartialOrd, Eq, Ord)]
pub struct Mark {
    pub line: usize,
    pub column: usize,
    pub code: String,
}

/// Takes the marks out of a text.
fn marks(marked: &str) -> (String, Vec<Mark>) {
    let (mut text, mut marks, mut line) = (String::new(), Vec::new(), 0);
    for written in marked.lines() {
        let trimmed = written.trim_start();
        if !trimmed.starts_with('^') {
            text.push_str(written);
            text.push('\n');
            line += 1;
            continue;
        }
        let column = written.len() - trimmed.len() + 1;
        for code in trimmed.trim_start_matches('^').split_whitespace() {
            marks.push(Mark { line, column, code: code.to_owned() });
        }
    }
    (text, marks)
}

pub fn found(text: &str) -> (Vec<Mark>, Vec<Diagnostic>) {
    let wrong = read(text.as_bytes()).err().unwrap_or_default();
    let marks = wrong
        .iter()
        .map(|d| {
            let Place { line, column } = Place::of(text, d.span.start);
            Mark { line, column, code: d.code.as_str().to_owned() }
        })
        .collect();
    (marks, wrong)
}

pub fn check(marked: &str) {
    let (text, mut wanted) = marks(marked);
    let (mut got, wrong) = found(&text);
    wanted.sort();
    got.sort();
    assert_eq!(got, wanted, "\n{text}\n{wrong:#?}");
    for d in &wrong {
        assert!(!d.remedy.is_empty() && !d.wanted.is_empty(), "{d:?}");
        assert!(!d.message.ends_with('.') && !d.message.contains('\n'), "{d:?}");
        let shown = d.render("wall.toml", &text, false);
        assert!(shown.contains(d.code.as_str()) && shown.contains("^"), "{shown}");
    }
}
