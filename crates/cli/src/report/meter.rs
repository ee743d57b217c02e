//! What `plan --meter` prints: where the tips go, what to expect there, and the bench test.

use glowloom_plan::meter::{At, BenchTest, Kind, Point, Sheet};
use glowloom_units::{Amps, Volts};

use super::schedule::{listed, wrapped};
use super::{percent, unit};
use crate::opened::Opened;
use crate::output::{QUIET, STRONG};

const WIDTH: usize = 92;

/// The whole page.
pub fn page(opened: &Opened, sheet: &Sheet) -> String {
    let path = crate::output::shown(&opened.path);
    let mut parts = vec![head(opened, sheet)];
    parts.extend(sheet.kinds.iter().map(kind));
    parts.push(readings(sheet, &path));
    parts.push(bench(&sheet.bench, &path));
    parts.join("\n")
}

fn head(opened: &Opened, sheet: &Sheet) -> String {
    let mut text = format!(
        "{STRONG}{}{STRONG:#}   where a meter goes   {QUIET}{}{QUIET:#}\n",
        opened.wall.name,
        crate::output::shown(&opened.path),
    );
    let strip = &sheet.strip;
    let [low, high] = strip.rail_ohms_per_metre;
    let from = if strip.measured {
        "as the readings in the file leave it open"
    } else {
        "as strips of one name differ (soft)"
    };
    let mut paragraphs = vec![format!(
        "The panel shows a white picture at the brightness that stands beside the figure; {} % is the \
         wall's ceiling. glowloom show {} white.png --brightness 1 shows it, with any picture that is white \
         all over. First the figure for the strip as the file has it, in brackets what a strip with \
         {} to {} and {} to {} a colour may show, {from}.",
        percent(sheet.ceiling),
        crate::output::shown(&opened.path),
        unit::ohms_per_metre(low),
        unit::ohms_per_metre(high),
        unit::milliamps(strip.channel_amps[0]),
        unit::milliamps(strip.channel_amps[1]),
    )];
    paragraphs.extend(sheet.notes.iter().cloned());
    paragraphs.push(
        "Measure with the mains terminals covered and a fuse in each feed; a tip that slips between plus \
         and minus welds. Volts: both tips on the pads or cut marks, red on plus. Amps: a clamp for direct \
         current round the plus wire; a meter in line changes what it measures."
            .into(),
    );
    for paragraph in paragraphs {
        for line in wrapped(&paragraph, WIDTH) {
            text.push_str(&format!("  {line}\n"));
        }
    }
    text
}

fn kind(kind: &Kind) -> String {
    let names = listed(kind.panels.iter().map(String::as_str));
    let edge = if kind.near_edge_front == kind.near_edge_back {
        format!("near edge at the {}", kind.near_edge_front)
    } else {
        format!(
            "near edge at the {} from the front, the {} from the back",
            kind.near_edge_front, kind.near_edge_back
        )
    };
    let mut text = format!("{STRONG}{names}{STRONG:#}   {QUIET}{edge}{QUIET:#}\n");
    if kind.points.is_empty() {
        text.push_str("  no feed reaches a pixel here: there is nothing to measure\n");
        return text;
    }
    text.push_str("     into the whole panel, its receiver left out\n");
    for at in &kind.amps {
        text.push_str(&format!("       {}\n", line(at.brightness, &amps(at), None)));
    }
    for (number, of) in kind.points.iter().enumerate() {
        text.push_str(&point(number + 1, of));
    }
    text
}

fn point(number: usize, point: &Point) -> String {
    let spot = &point.spot;
    let mut text = format!("  {number:>2} {STRONG}{}{STRONG:#}: {}\n", spot.words, point.why);
    text.push_str(&format!("       back   {}\n       front  {}\n", spot.back, spot.front));
    for (i, at) in point.volts.iter().enumerate() {
        text.push_str(&format!("       {}\n", line(at.brightness, &volts(at), point.amps.get(i))));
    }
    text
}

/// `60 %   4.71 V (4.62 to 4.86 V)   feed 3.02 A (1.43 to 3.31 A)`
fn line(brightness: f64, first: &str, feed: Option<&At<Amps>>) -> String {
    let share = format!("{} %", percent(brightness));
    let feed = feed.map(|feed| format!("feed {}", amps(feed))).unwrap_or_default();
    format!("{share:>6}   {first:32}{feed}").trim_end().to_owned()
}

fn volts(at: &At<Volts>) -> String {
    expected(unit::volts(at.expected), &unit::volts(at.least), &unit::volts(at.most))
}

fn amps(at: &At<Amps>) -> String {
    expected(at.expected.to_string(), &at.least.to_string(), &at.most.to_string())
}

fn expected(expected: String, least: &str, most: &str) -> String {
    let least = least.split(' ').next().unwrap_or("");
    format!("{expected:>7} ({least} to {most})")
}

fn readings(sheet: &Sheet, path: &str) -> String {
    let Some(entry) = &sheet.entry else { return String::new() };
    let mut text = format!("{STRONG}Write down what it shows{STRONG:#}\n");
    let told = format!(
        "Each reading is an entry at the end of {path}, such as this one for the first point; name a \
         pixel by pixel = in place of edge =. At least one current, and volts at ends far from a feed. \
         Then glowloom plan {path} --measured."
    );
    for line in wrapped(&told, WIDTH) {
        text.push_str(&format!("  {line}\n"));
    }
    text.push_str(&indented(entry));
    text
}

fn bench(test: &BenchTest, path: &str) -> String {
    let mut text = format!(
        "{STRONG}Bench test{STRONG:#}   {QUIET}one roll, before anything is built; its readings go into \
         {path}{QUIET:#}\n"
    );
    text.push_str(&format!(
        "       at the end {}\n       into it    {}\n",
        volts(&test.volts_at_end),
        amps(&test.amps)
    ));
    for (number, step) in (1..).zip(&test.steps) {
        for (i, line) in wrapped(step, WIDTH - 5).iter().enumerate() {
            let number = if i == 0 { format!("{number:>2}.") } else { "   ".into() };
            text.push_str(&format!(" {number} {line}\n"));
        }
    }
    text.push_str(&indented(&test.entry));
    text
}

fn indented(entry: &str) -> String {
    entry.lines().map(|line| format!("       {line}\n")).collect()
}
