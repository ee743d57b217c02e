//! `glowloom status`

use std::path::Path;
use std::process::ExitCode;
use std::time::Duration;

use crate::arguments::Status;
use crate::failure::Failure;
use crate::metrics;
use crate::running::{self, Running};
use crate::stopping::Stop;
use crate::{opened, output, told};

/// How often a live report is written.
const LIVE: Duration = Duration::from_secs(1);

pub fn run(arguments: &Status) -> Result<ExitCode, Failure> {
    // A wall file that is not there, or wrong, is told as everywhere.
    let opened = opened::open(&arguments.wall)?;
    let name = &opened.wall.name;
    if !arguments.live {
        let running = fresh(&arguments.wall)?;
        let text = if arguments.json {
            json(running.as_ref())?
        } else if arguments.metrics {
            metrics::text(name, running.as_ref())
        } else {
            words(name, running.as_ref())
        };
        output::write(&text)?;
        return Ok(code(running.as_ref()));
    }
    let stop = Stop::new(arguments.end.after)?;
    let mut last = None;
    while !stop.now() {
        last = fresh(&arguments.wall)?;
        let home = if crate::screen::size().is_some() { "\x1b[H\x1b[2J" } else { "" };
        output::write(&format!("{home}{}", words(name, last.as_ref())))?;
        stop.wait(LIVE);
    }
    Ok(code(last.as_ref()))
}

fn fresh(wall: &Path) -> Result<Option<Running>, Failure> {
    Ok(running::read(wall)?.filter(Running::is_fresh))
}

fn code(running: Option<&Running>) -> ExitCode {
    if running.is_some_and(Running::is_well) { ExitCode::SUCCESS } else { ExitCode::from(1) }
}

fn json(running: Option<&Running>) -> Result<String, Failure> {
    let text = serde_json::to_string_pretty(&running).map_err(|error| {
        Failure::other(
            format!("the report cannot be written: {error}"),
            "this is a fault of the program; please report it",
        )
    })?;
    Ok(format!("{text}\n"))
}

fn words(name: &str, running: Option<&Running>) -> String {
    let Some(now) = running else { return format!("{name}: nothing plays on it\n") };
    let mut text =
        format!("{name}: playing for {}, {} frames sent", time(now.seconds), now.frames_sent);
    if let Some(rate) = now.frames_per_second {
        text.push_str(&format!(", {rate:.1} a second"));
    }
    for (count, what) in [
        (now.frames_skipped, "late and left out"),
        (now.frames_repeated, "sent twice"),
        (now.frames_dimmed, "dimmed"),
        (now.bytes_held, "bytes held to the ceiling"),
    ] {
        if count > 0 {
            text.push_str(&format!(", {count} {what}"));
        }
    }
    text.push('\n');
    if let (Some(apart), Some(doubt)) = (now.apart_ms, now.apart_doubt_ms) {
        text.push_str(&format!(
            "  panels show a frame within {apart:.1} ms of each other, by their answers (to {doubt:.1} ms)\n"
        ));
    }
    if let Some(share) = now.airtime_share {
        text.push_str(&format!(
            "  {:.0} % of the Wi-Fi channel's air time by the plan's model; half is the most to plan on\n",
            share * 100.0
        ));
    }
    if let Some(eased) = &now.eased {
        text.push_str(&format!("  {eased}\n"));
    }
    if let Some(error) = &now.source_error {
        text.push_str(&format!("  the source: {error}\n"));
    }
    let widest = now.panels.iter().map(|panel| panel.name.chars().count()).max().unwrap_or(0);
    for panel in &now.panels {
        let state = if panel.well { "well" } else { "FAILING" };
        let at = panel.at.as_deref().unwrap_or("-");
        text.push_str(&format!(
            "  {:widest$}  {state:7}  {at}  {} frames sent, {} dropped",
            panel.name, panel.frames_sent, panel.frames_dropped
        ));
        if let Some(received) = &panel.received {
            text.push_str(&format!(
                ", {} shown, {} packets lost, {} late",
                received.frames_shown, received.packets_lost, received.packets_late
            ));
        }
        text.push_str(&told::words(panel));
        match (&panel.error, panel.answers) {
            (Some(error), _) if !panel.well => text.push_str(&format!(": {error}")),
            (_, Some(false)) => text.push_str(": answers no more"),
            _ => {}
        }
        text.push('\n');
    }
    for neighbour in &now.neighbours {
        text.push_str(&format!("  {neighbour}\n"));
    }
    text
}

/// `4 s`, `3 min 5 s`, `2 h 7 min`.
fn time(seconds: f64) -> String {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "far below 2^64")]
    let whole = seconds.max(0.0) as u64;
    match (whole / 3600, whole / 60 % 60, whole % 60) {
        (0, 0, seconds) => format!("{seconds} s"),
        (0, minutes, seconds) => format!("{minutes} min {seconds} s"),
        (hours, minutes, _) => format!("{hours} h {minutes} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_short() {
        let all = [0.0, 59.9, 60.0, 185.0, 3600.0, 7_620.0, -1.0].map(time);
        let wanted = ["0 s", "59 s", "1 min 0 s", "3 min 5 s", "1 h 0 min", "2 h 7 min", "0 s"];
        assert_eq!(all, wanted);
    }
}
