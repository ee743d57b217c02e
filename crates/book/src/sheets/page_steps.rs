//! The assembly steps as running text of the page: a sheet of two columns is too small for a phone.

use std::io::{self, Write};

use glowloom_plan::steps::{Check, Step, Steps};

use crate::draw::text::plain;
use crate::steps::duration;
use crate::svg::escaped;

/// Writes the page's part, under the id `steps`.
///
/// # Errors
/// Those of the writer.
pub fn write(steps: &Steps, out: &mut dyn Write) -> io::Result<()> {
    writeln!(
        out,
        "<section class=\"text\" id=\"steps\">\n<div class=\"head\"><h2>Assembly steps as text</h2>\
         <p>about {} by hand, an estimate</p><p><a href=\"#\">all sheets</a></p></div>",
        duration(steps.estimate)
    )?;
    let mut number = 0;
    for section in &steps.sections {
        writeln!(out, "<h3 dir=\"auto\">{}</h3>", words(&section.title))?;
        for step in &section.steps {
            number += 1;
            one(step, number, out)?;
        }
    }
    out.write_all(b"</section>\n")
}

fn words(text: &str) -> String {
    escaped(&plain(text))
}

fn one(step: &Step, number: u32, out: &mut dyn Write) -> io::Result<()> {
    let time = if step.estimate.0 > 0.0 {
        format!(" <small>about {}</small>", duration(step.estimate))
    } else {
        String::new()
    };
    writeln!(
        out,
        "<h4 id=\"step{number}\" dir=\"auto\">{number}. {}{time}</h4>",
        words(&step.title)
    )?;
    for caution in &step.cautions {
        writeln!(
            out,
            "<p class=\"mind\"><b>&#9650; {}</b> {}</p>",
            caution.danger.word(),
            words(&caution.text)
        )?;
    }
    if !step.lines.is_empty() {
        out.write_all(b"<ul>\n")?;
        for line in &step.lines {
            writeln!(out, "<li>{}", words(line))?;
        }
        out.write_all(b"</ul>\n")?;
    }
    for check in &step.checks {
        read(check, out)?;
    }
    for task in &step.tasks {
        writeln!(
            out,
            "<p class=\"tick\" dir=\"auto\"><span aria-hidden=\"true\">&#9633;</span> <b>{}</b> {}</p>",
            words(&task.what.to_string()),
            words(&task.words)
        )?;
    }
    Ok(())
}

fn read(check: &Check, out: &mut dyn Write) -> io::Result<()> {
    let reading = match check.reading {
        Some(reading) => format!(": <b>{}</b>", words(&reading.to_string())),
        None => String::new(),
    };
    writeln!(
        out,
        "<p class=\"tick\"><span aria-hidden=\"true\">&#9675;</span> {}{reading}<br>\
         <small>Otherwise: {}</small></p>",
        words(&check.words),
        words(&check.otherwise)
    )
}
