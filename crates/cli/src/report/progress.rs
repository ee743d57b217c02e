//! How far a wall has come.

use std::path::Path;

use glowloom_plan::journal::Progress;
use glowloom_plan::journal::progress::Open;

use super::schedule::{Schedule, grouped, wrapped};
use crate::opened::Opened;
use crate::output::{self, QUIET, STRONG};

/// Most tasks that are listed of a step.
const MOST_TASKS: usize = 6;
/// Most facts that are listed.
const MOST_STALE: usize = 20;

/// The page of `glowloom done` with nothing to write.
pub fn page(opened: &Opened, path: &Path, progress: &Progress<'_>) -> String {
    let mut text = format!(
        "{STRONG}{}{STRONG:#}   {QUIET}{}{QUIET:#}\n\n",
        opened.wall.name,
        output::shown(path)
    );
    text.push_str(&table(opened, path, progress));
    text.push('\n');
    text.push_str(&format!("{STRONG}Next{STRONG:#}\n"));
    if progress.next.is_empty() {
        text.push_str("  nothing: all of it is done\n");
    }
    for open in &progress.next {
        text.push_str(&next_step(open));
    }
    text
}

fn next_step(open: &Open<'_>) -> String {
    let Open { step, tasks } = open;
    let mut text = format!("  {}\n", step.title);
    let wide = tasks.iter().take(MOST_TASKS).map(|(task, _)| task.what.to_string().chars().count());
    let wide = wide.max().unwrap_or(0).min(30);
    for (task, left) in tasks.iter().take(MOST_TASKS) {
        let what = task.what.to_string();
        let start = format!("    {what:wide$}  ");
        let indent = start.chars().count().min(40);
        let words = match task.count {
            1 => task.words.clone(),
            all => format!("{left} more, of {all}"),
        };
        let words = wrapped(&words, 96 - indent).join(&format!("\n{:indent$}", ""));
        text.push_str(&format!("{start}{QUIET}{words}{QUIET:#}\n"));
    }
    if tasks.len() > MOST_TASKS {
        text.push_str(&format!("    and {} more\n", tasks.len() - MOST_TASKS));
    }
    text
}

/// What is next, in a line.
pub fn next_line(progress: &Progress<'_>) -> String {
    match progress.next.first().and_then(|open| Some((open.step, open.tasks.first()?))) {
        None => "nothing is left: all of it is done\n".into(),
        Some((step, (task, _))) => format!("next: {} ({})\n", task.what, step.title),
    }
}

/// The short table, with what no longer holds below it.
pub fn table(opened: &Opened, path: &Path, progress: &Progress<'_>) -> String {
    let mut table = Schedule::new("Done");
    for row in &progress.rows {
        let rest = if row.done == row.all { "all of them" } else { "" };
        table.row(row.name, &grouped(row.done), &format!("of {}", grouped(row.all)), rest);
    }
    let hours = progress.left.0 / 3600.0;
    table.row(
        "left by hand",
        &format!("{hours:.1}"),
        "h",
        "an estimate (common practice, no source)",
    );
    if let Some(printing) = progress.printing {
        table.row("left to print", &format!("{:.1}", printing.hours.0), "h", "");
        table.quantity(
            "filament left",
            &printing.filament.shown(opened.wall.figures),
            "to be used",
        );
    }
    let mut text = table.text();
    if !progress.stale.is_empty() {
        let count = progress.stale.len();
        let (lines, hold) = if count == 1 { ("line", "holds") } else { ("lines", "hold") };
        text.push_str(&format!(
            "\n  {count} {lines} of {} no longer {hold}, since the wall file has changed:\n",
            output::shown(path)
        ));
        for stale in progress.stale.iter().take(MOST_STALE) {
            let line = format!("{}: {}", stale.what, stale.why);
            let mut lines = wrapped(&line, 92).into_iter();
            text.push_str(&format!("  - {}\n", lines.next().unwrap_or_default()));
            lines.for_each(|line| text.push_str(&format!("    {line}\n")));
        }
        if count > MOST_STALE {
            text.push_str(&format!("  and {} more\n", count - MOST_STALE));
        }
        text.push_str(
            "  They are kept and not counted: do it again and say so, or take them out with --undo.\n",
        );
    }
    text
}
