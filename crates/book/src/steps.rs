//! The assembly steps as text, to read in any program, with boxes to tick off and to write readings into.

use std::io::{self, BufWriter, Write};

use glowloom_design::Wall;
use glowloom_plan::steps::{Check, Section, Step, Steps};
use glowloom_units::Seconds;

/// Columns of a line.
const WIDTH: usize = 96;
/// What stands ahead of everything within a step.
const INDENT: usize = 4;
/// Names of tasks are as wide as this at most, before words go on in the next line.
const NAME: usize = 28;

/// Writes every step: what to mind, how it is done, what to tick off, what a meter should show.
///
/// # Errors
/// Those of the writer.
pub fn text(wall: &Wall, steps: &Steps, out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::new(out);
    heading(&format!("{}: assembly steps", wall.name), '=', &mut out)?;
    let about = format!(
        "{} by hand, about; such times are estimates (common practice, no source), and printing comes on top. \
         [ ] is to be ticked off, here or by `glowloom done WALL` and the words behind it. ( ) is to be read or \
         seen; write what was read on the line.",
        duration(steps.estimate)
    );
    paragraph(&about, "", &mut out)?;
    writeln!(out)?;
    let mut number = 0;
    for section in &steps.sections {
        write_section(section, &mut number, &mut out)?;
    }
    out.flush()
}

fn heading(text: &str, line: char, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{text}\n{}\n", line.to_string().repeat(text.chars().count()))
}

fn write_section(section: &Section, number: &mut u32, out: &mut dyn Write) -> io::Result<()> {
    heading(&section.title, '-', out)?;
    for step in &section.steps {
        *number += 1;
        write_step(step, *number, out)?;
        writeln!(out)?;
    }
    Ok(())
}

fn write_step(step: &Step, number: u32, out: &mut dyn Write) -> io::Result<()> {
    let time = if step.estimate.0 > 0.0 {
        format!("  (about {})", duration(step.estimate))
    } else {
        String::new()
    };
    writeln!(out, "{number}. {}{time}\n", step.title)?;
    for caution in &step.cautions {
        paragraph(&caution.text, &format!("!! {}: ", caution.danger.word()), out)?;
    }
    for line in &step.lines {
        paragraph(line, "- ", out)?;
    }
    let name = step.tasks.iter().map(|task| task.what.to_string().chars().count()).max();
    let name = name.unwrap_or(0).min(NAME);
    // What is ticked off is done when all readings are.
    for check in &step.checks {
        write_check(check, out)?;
    }
    for task in &step.tasks {
        let what = task.what.to_string();
        paragraph(&task.words, &format!("[ ] {what:name$}  "), out)?;
    }
    Ok(())
}

fn write_check(check: &Check, out: &mut dyn Write) -> io::Result<()> {
    match check.reading {
        Some(reading) => {
            paragraph(&format!("{}: {reading} ________", check.words), "( ) ", out)?;
        }
        None => paragraph(&check.words, "( ) ", out)?,
    }
    paragraph(&format!("Otherwise: {}", check.otherwise), "    ", out)
}

/// A text broken between words behind a mark; further lines start below the first word, unless the mark
/// is so wide that little room is left.
fn paragraph(text: &str, mark: &str, out: &mut dyn Write) -> io::Result<()> {
    let inset = if mark.is_empty() { 0 } else { INDENT };
    let behind = mark.chars().count();
    let hang = inset + if mark.starts_with("!!") { 3 } else { behind.min(NAME + 6) };
    write!(out, "{:inset$}{mark}", "")?;
    let mut column = inset + behind;
    let mut first = column <= hang || mark.starts_with("!!");
    if !first {
        // The words begin below a long name.
        write!(out, "\n{:hang$}", "")?;
        (column, first) = (hang, true);
    }
    for word in text.split(' ') {
        let wide = word.chars().count();
        if !first && column + 1 + wide > WIDTH {
            write!(out, "\n{:hang$}{word}", "")?;
            column = hang + wide;
            continue;
        }
        write!(out, "{}{word}", if first { "" } else { " " })?;
        column += wide + usize::from(!first);
        first = false;
    }
    writeln!(out)
}

/// Minutes, or hours with halves.
pub(crate) fn duration(time: Seconds) -> String {
    let minutes = time.0 / 60.0;
    if minutes < 120.0 {
        return format!("{:.0} min", (minutes / 5.0).ceil() * 5.0);
    }
    format!("{} h", (minutes / 30.0).round() / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn broken(text: &str, mark: &str) -> String {
        let mut out = Vec::new();
        paragraph(text, mark, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn paragraphs_hang_below_their_first_word() {
        let text = "word ".repeat(30);
        let lines = broken(text.trim(), "[ ] strip west 3  ");
        let mut lines = lines.lines();
        assert!(lines.next().unwrap().starts_with("    [ ] strip west 3  word word"));
        assert!(lines.next().unwrap().starts_with(&format!("{:22}word", "")));
        let long = broken("below", &format!("[ ] {}  ", "x".repeat(200)));
        assert_eq!(long.lines().nth(1), Some(format!("{:38}below", "").as_str()));
        assert!(broken(&text, "- ").lines().all(|line| line.chars().count() <= WIDTH));
    }

    #[test]
    fn durations() {
        assert_eq!(duration(Seconds(61.0)), "5 min");
        assert_eq!(duration(Seconds(3600.0)), "60 min");
        assert_eq!(duration(Seconds(9000.0)), "2.5 h");
    }
}
