//! What `plan --measured` prints: the strip as it was measured, each reading beside it, and what that
//! changes.

use glowloom_plan::meter::{KeyFigures, Measured};

use super::schedule::wrapped;
use super::{percent, unit};
use crate::opened::Opened;
use crate::output::{FAULT, QUIET, STRONG};

const WIDTH: usize = 92;

/// The whole page.
pub fn page(opened: &Opened, measured: &Measured) -> String {
    [
        head(opened, measured),
        readings(measured),
        odd(measured),
        lines(measured),
        change(&measured.before, &measured.after),
    ]
    .into_iter()
    .filter(|part| !part.is_empty())
    .collect::<Vec<_>>()
    .join("\n")
}

fn head(opened: &Opened, measured: &Measured) -> String {
    let Measured { rail_ohms_per_metre: rail, channel_amps: channel, .. } = measured;
    let mut text = format!(
        "{STRONG}{}{STRONG:#}   what the meter says   {QUIET}{}{QUIET:#}\n",
        opened.wall.name,
        crate::output::shown(&opened.path),
    );
    let mut row = |name: &str, found: String, least: String, most: String, before: String| {
        let least = least.split(' ').next().unwrap_or("").to_owned();
        text.push_str(&format!(
            "  {name:22} {found:>12}   {QUIET}{least} to {most} in 95 of 100 cases{QUIET:#}\n  {:35}   \
             {QUIET}the file has {before}{QUIET:#}\n",
            ""
        ));
    };
    row(
        "rail, one way",
        unit::ohms_per_metre(rail.found),
        unit::ohms_per_metre(rail.least),
        unit::ohms_per_metre(rail.most),
        unit::ohms_per_metre(rail.before),
    );
    row(
        "one colour, full on",
        unit::milliamps(channel.found),
        unit::milliamps(channel.least),
        unit::milliamps(channel.most),
        unit::milliamps(channel.before),
    );
    text.push_str(&format!(
        "  {:22} {:>12.2}   {QUIET}times their errors is what readings are off; 1 is well{QUIET:#}\n",
        "misfit", measured.misfit
    ));
    paragraph(
        &mut text,
        "The band holds if wires, connections and idle current are as the file has them.",
    );
    text
}

fn readings(measured: &Measured) -> String {
    let place = |text: &str| text.chars().count();
    let wide = measured.readings.iter().map(|reading| place(&reading.place)).max().unwrap_or(0);
    let wide = wide.clamp(5, 44);
    let mut text = format!(
        "{STRONG}Readings{STRONG:#}\n  {QUIET}line  {:wide$}  showing          read     fitted  \
         difference   may be off{QUIET:#}\n",
        "place"
    );
    for (i, reading) in measured.readings.iter().enumerate() {
        let showing = format!("{} {} %", reading.showing, percent(reading.brightness));
        let odd = measured.odd.as_ref().is_some_and(|odd| odd.reading == i);
        let mark = if odd { format!("  {FAULT}unlike the others{FAULT:#}") } else { String::new() };
        text.push_str(&format!(
            "  {:>4}  {:wide$}  {showing:11} {:>9}  {:>9}   {:>9}    {:>9}{mark}\n",
            reading.line,
            reading.place,
            unit::shown(reading.read),
            unit::shown(reading.fitted),
            signed(&unit::shown(reading.difference)),
            unit::shown(reading.error),
        ));
    }
    text
}

/// With its sign, as a difference is written.
fn signed(text: &str) -> String {
    if text.starts_with('-') { text.to_owned() } else { format!("+{text}") }
}

fn odd(measured: &Measured) -> String {
    let mut text = String::new();
    if let Some(odd) = &measured.odd {
        let reading = &measured.readings[odd.reading];
        text.push_str(&format!(
            "{FAULT}Unlike the others{FAULT:#}   {STRONG}{}{STRONG:#}\n",
            reading.place
        ));
        paragraph(&mut text, &format!("-> {}.", odd.remedy));
        if let Some(without) = &odd.without {
            paragraph(
                &mut text,
                &format!(
                    "Without it: {}, {} a colour, misfit {:.2}.",
                    unit::ohms_per_metre(without.rail_ohms_per_metre),
                    unit::milliamps(without.channel_amps),
                    without.misfit
                ),
            );
        }
    }
    for note in &measured.notes {
        paragraph(&mut text, note);
    }
    text
}

fn lines(measured: &Measured) -> String {
    let mut text =
        format!("{STRONG}Put into [strip]{STRONG:#}   {QUIET}in place of what is there{QUIET:#}\n");
    for line in &measured.strip {
        text.push_str(&format!("       {line}\n"));
    }
    text
}

fn change(before: &KeyFigures, after: &KeyFigures) -> String {
    let mut text = format!(
        "{STRONG}What that changes{STRONG:#}   {QUIET}full white at the ceiling{QUIET:#}\n"
    );
    let mut row = |name: &str, before: String, after: String, remark: &str| {
        let figures = format!("  {name:18} {before:>8} -> {after:8}");
        if remark.is_empty() {
            text.push_str(&format!("{}\n", figures.trim_end()));
        } else {
            text.push_str(&format!("{figures}  {QUIET}{remark}{QUIET:#}\n"));
        }
    };
    row("all strips", before.amps.to_string(), after.amps.to_string(), "");
    let least = format!("at the lowest pixel, on {}", after.least_volts_panel);
    row("least volts", unit::volts(before.least_volts), unit::volts(after.least_volts), &least);
    let share = |share: f64| format!("{} %", percent(share));
    let (safe, binding) = (share(before.highest_safe_brightness), after.binding.key());
    let set_by = match binding {
        "none" => "no limit is broken at full white".to_owned(),
        by => format!("set by {}", by.replace('_', " ")),
    };
    row("safe brightness", safe, share(after.highest_safe_brightness), &set_by);
    text
}

fn paragraph(text: &mut String, told: &str) {
    for line in wrapped(told, WIDTH) {
        text.push_str(&format!("  {line}\n"));
    }
}
