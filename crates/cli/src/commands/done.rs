//! `glowloom done`

use std::process::ExitCode;

use glowloom_plan::Plan;
use glowloom_plan::journal::{self, Change, Journal, progress::find};
use glowloom_plan::meter::sheet;
use glowloom_plan::steps::{Amount, Steps, What, what};

use crate::arguments::Done;
use crate::diary;
use crate::failure::Failure;
use crate::opened::Opened;
use crate::{files, opened, output, report};

pub fn run(arguments: &Done) -> Result<ExitCode, Failure> {
    let opened = opened::open(&arguments.wall)?;
    let path = diary::path(&opened.path);
    let mut journal = diary::read(&path)?.unwrap_or_default();
    diary::tell_odd(&path, &journal);
    let plan = glowloom_plan::plan(&opened.wall);
    let steps = worked_out(&opened, &plan);
    if arguments.what.is_empty() {
        if arguments.undo {
            let wanted = "name what is to be undone, as `glowloom done` was given it";
            return Err(Failure::other("--undo wants to know what", wanted));
        }
        let progress = journal::progress(&opened.wall, &plan, &steps, &journal);
        output::write(&report::progress::page(&opened, &path, &progress))?;
        return Ok(ExitCode::SUCCESS);
    }
    let words = arguments.what.join(" ");
    let (what, amount) = what::read(&words).map_err(|not| Failure::other(not.found, not.wanted))?;
    if amount == Amount::More(0) {
        return Err(Failure::other("+0 is nothing", "give a number from 1 on"));
    }
    let change = if arguments.undo {
        journal.undo(&what, amount)
    } else {
        let task = find(&opened.wall, &steps, &what)
            .map_err(|unknown| Failure::other(unknown.found, unknown.there))?;
        journal.done(task, amount)
    };
    let said = said(&what, &change, amount)?;
    if matches!(change, Change::Written(_) | Change::TakenOut(_)) {
        files::write_whole(&path, &journal.text(), true)?;
    }
    output::write(&format!("{said}{}", after(&opened, &plan, &steps, &journal)))?;
    Ok(ExitCode::SUCCESS)
}

/// What happened, in a line.
fn said(what: &What, change: &Change, amount: Amount) -> Result<String, Failure> {
    let part = matches!(what, What::Part { .. });
    let counted = |count: u64| if part { format!("{what}: {count}") } else { what.to_string() };
    Ok(match change {
        Change::Written(count) => format!("done: {}\n", counted(*count)),
        Change::Already(count) => format!("{} is in the journal already\n", counted(*count)),
        Change::TakenOut(0) => format!("undone: {what}\n"),
        Change::TakenOut(count) => format!("undone; left: {}\n", counted(*count)),
        Change::HowMany => {
            let message = format!("`{what}` does not say how many");
            let remedy = format!("`{what} 12` for twelve in all, or `{what} +6` for six more");
            return Err(Failure::other(message, remedy));
        }
        Change::NotThere(0) => {
            return Err(Failure::other(
                format!("the journal does not have `{what}`"),
                "there is nothing to undo; glowloom done WALL shows what is done",
            ));
        }
        Change::NotThere(count) => {
            let given = match amount {
                Amount::More(more) => format!("fewer than {more}"),
                _ => "another number".to_owned(),
            };
            return Err(Failure::other(
                format!("the journal has {}: {given}", counted(*count)),
                format!("--undo {what} for all of them, or --undo {what} +2 to take two off"),
            ));
        }
    })
}

/// The line below: what is next.
fn after(opened: &Opened, plan: &Plan, steps: &Steps, journal: &Journal) -> String {
    let progress = journal::progress(&opened.wall, plan, steps, journal);
    report::progress::next_line(&progress)
}

/// How far a wall has come, for pages that show it besides; nothing where there is no journal. Steps
/// that nobody has worked out yet are worked out where there is one.
pub fn beside(opened: &Opened, plan: &Plan, steps: Option<&Steps>) -> Result<String, Failure> {
    let path = diary::path(&opened.path);
    let Some(journal) = diary::read(&path)? else { return Ok(String::new()) };
    diary::tell_odd(&path, &journal);
    let own = steps.is_none().then(|| worked_out(opened, plan));
    let Some(steps) = steps.or(own.as_ref()) else { return Ok(String::new()) };
    let progress = journal::progress(&opened.wall, plan, steps, &journal);
    Ok(report::progress::table(opened, &path, &progress))
}

fn worked_out(opened: &Opened, plan: &Plan) -> Steps {
    let sheet = sheet(&opened.wall).ok();
    glowloom_plan::steps::steps(&opened.wall, plan, sheet.as_ref())
}
