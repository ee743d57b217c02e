//! `glowloom book`

use std::process::ExitCode;

use glowloom_book::manifest::{Entry, Holds, contents, fingerprint};
use glowloom_book::parts::words;
use glowloom_book::{Choice, NoSuchSheet};
use glowloom_plan::Plan;
use glowloom_plan::steps::{Steps, counted};

use crate::arguments::Book;
use crate::failure::Failure;
use crate::opened::Opened;
use crate::{folders, opened, output};

pub fn run(arguments: &Book) -> Result<ExitCode, Failure> {
    let opened = opened::open(&arguments.wall)?;
    let plan = glowloom_plan::plan(&opened.wall);
    let sheet = glowloom_plan::meter::sheet(&opened.wall).ok();
    let steps = glowloom_plan::steps::steps(&opened.wall, &plan, sheet.as_ref());
    let book = glowloom_book::Book {
        wall: &opened.wall,
        file: &opened.bytes,
        plan: &plan,
        sheet: sheet.as_ref(),
        steps: &steps,
    };
    if arguments.sheet.is_some() || arguments.panel.is_some() {
        return some(arguments, &book);
    }
    let documents = glowloom_book::documents(&book);
    let contents =
        |entries: &[Entry]| contents(Holds::Book, &opened.wall.name, &opened.bytes, entries);
    let folder = output::shown(&arguments.output);
    if arguments.check {
        let differences = folders::differences(&arguments.output, &documents, contents)?;
        for difference in &differences {
            output::write(&format!("{difference}\n"))?;
        }
        let wall = output::shown(&opened.path);
        let word = if differences.is_empty() { "is" } else { "is not" };
        output::write(&format!("{folder} {word} the book of {wall} as it is now\n"))?;
        return Ok(ExitCode::from(u8::from(!differences.is_empty())));
    }
    folders::write_whole(&arguments.output, &documents, Holds::Book, contents)?;
    // The list of them is one more.
    let files = counted(documents.len() as u64 + 1, "file");
    let fingerprint = fingerprint(&opened.bytes);
    output::write(&format!(
        "Wrote {folder}: {files}, of wall file {fingerprint}.\nsheets: book.pdf to print, index.html to read, sheets/ \
         one by one\n{}{}",
        built(&opened, &steps),
        parts(&opened, &plan)
    ))?;
    let progress = super::done::beside(&opened, &plan, Some(&steps))?;
    if !progress.is_empty() {
        output::write(&format!("\n{progress}"))?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Writes the sheets that were asked for, and nothing else of the book.
fn some(arguments: &Book, book: &glowloom_book::Book<'_>) -> Result<ExitCode, Failure> {
    let choice = Choice { sheet: arguments.sheet.as_deref(), panel: arguments.panel.as_deref() };
    let found = glowloom_book::chosen(book, &choice);
    let documents = found.map_err(|wrong| none(arguments, &wrong))?;
    let contents = |entries: &[Entry]| contents(Holds::Sheets, &book.wall.name, book.file, entries);
    folders::write_whole(&arguments.output, &documents, Holds::Sheets, contents)?;
    let folder = output::shown(&arguments.output);
    // One PDF is beside the sheets.
    let sheets = counted((documents.len() as u64).saturating_sub(1), "sheet");
    output::write(&format!("Wrote {folder}: {sheets}, together in sheets.pdf.\n"))?;
    Ok(ExitCode::SUCCESS)
}

/// Most names that are told of what there is.
const MOST_TOLD: usize = 60;

fn none(arguments: &Book, wrong: &NoSuchSheet) -> Failure {
    let mut there: Vec<&str> = wrong.there_are.iter().map(String::as_str).take(MOST_TOLD).collect();
    if wrong.there_are.len() > MOST_TOLD {
        there.push("and more");
    }
    let there = there.join("; ");
    match (&arguments.panel, &arguments.sheet) {
        (Some(panel), Some(sheet)) => Failure::other(
            format!("no sheet \"{sheet}\" of panel \"{panel}\""),
            format!("give one of: {there}"),
        ),
        (Some(panel), None) => Failure::other(
            format!("no sheet of panel \"{panel}\""),
            format!("give one of: {there}"),
        ),
        (None, sheet) => {
            let sheet = sheet.as_deref().unwrap_or_default();
            Failure::other(format!("no sheet \"{sheet}\""), format!("give one of: {there}"))
        }
    }
}

/// How much there is to do by hand.
fn built(opened: &Opened, steps: &Steps) -> String {
    format!(
        "steps: {} for {}, about {:.0} h by hand; see steps.txt\n",
        counted(steps.steps().count() as u64, "step"),
        counted(opened.wall.panels.len() as u64, "panel"),
        steps.estimate.0 / 3600.0,
    )
}

/// What is printed, or why nothing is.
fn parts(opened: &Opened, plan: &Plan) -> String {
    let wall = output::shown(&opened.path);
    match (&plan.tiles, &opened.wall.baffle) {
        (Some(tiles), _) => {
            let strips: u64 = tiles.rim.iter().map(|kind| kind.per_wall).sum();
            let rim = match strips {
                0 => String::new(),
                strips => format!(" and {} of a rim", counted(strips, "strip")),
            };
            format!(
                "parts: {} of {}{rim}, {} of filament, {}; see parts/list.txt\n",
                counted(tiles.count, "tile"),
                counted(tiles.kinds.len() as u64, "kind"),
                tiles.filament_kg.shown(opened.wall.figures),
                words::days(tiles),
            )
        }
        (None, None) => "There are no parts to print: the wall has no [baffle].\n".into(),
        (None, Some(_)) => format!(
            "There are no parts to print: settings of [baffle] contradict each other. Next: glowloom \
             check {wall}\n"
        ),
    }
}
