//! Findings, serious first, each with its place and its remedy.

use std::path::Path;

use glowloom_plan::{Finding, Kind};

use super::schedule::wrapped;
use crate::output::{ADVICE, FAULT, HAZARD, QUIET, STRONG};

const WIDTH: usize = 92;

/// All of them with a line that sums up.
pub fn all(path: &Path, findings: &[Finding]) -> String {
    let mut text = format!("{STRONG}Findings{STRONG:#}\n");
    for finding in findings {
        text.push_str(&one(path, finding));
    }
    text.push_str(&format!("  {}\n", summary(findings)));
    text
}

/// The mark of a kind: shape, word and colour say the same.
fn mark(kind: Kind) -> String {
    match kind {
        Kind::Hazard => format!("{HAZARD}▲ hazard{HAZARD:#}"),
        Kind::Fault => format!("{FAULT}✕ fault{FAULT:#} "),
        Kind::Advice => format!("{ADVICE}○ advice{ADVICE:#}"),
    }
}

fn one(path: &Path, finding: &Finding) -> String {
    let place = format!(
        "{}:{}:{} [{}]",
        crate::output::shown(path),
        finding.line,
        finding.column,
        finding.code.key()
    );
    let mut text = format!("  {}", mark(finding.kind));
    let title = wrapped(&finding.title, WIDTH - 12);
    for (i, line) in title.iter().enumerate() {
        let indent = if i == 0 { "  " } else { "            " };
        text.push_str(&format!("{indent}{STRONG}{line}{STRONG:#}"));
        // The place stands behind the title, or below it where that has no room.
        if i + 1 == title.len() {
            let fits = 12 + line.chars().count() + 2 + place.chars().count() <= WIDTH;
            let gap = if fits { "  " } else { "\n            " };
            text.push_str(&format!("{gap}{QUIET}{place}{QUIET:#}"));
        }
        text.push('\n');
    }
    for line in wrapped(&finding.detail, WIDTH - 12) {
        text.push_str(&format!("            {line}\n"));
    }
    for (i, line) in wrapped(&finding.remedy, WIDTH - 15).iter().enumerate() {
        let arrow = if i == 0 { "-> " } else { "   " };
        text.push_str(&format!("            {arrow}{line}\n"));
    }
    text
}

fn summary(findings: &[Finding]) -> String {
    let count = |kind: Kind| findings.iter().filter(|finding| finding.kind == kind).count();
    let words = |n: usize, one: &str, many: &str| match n {
        0 => format!("no {}", one.strip_prefix("piece of ").unwrap_or(one)),
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    };
    format!(
        "{}, {}, {}",
        words(count(Kind::Hazard), "hazard", "hazards"),
        words(count(Kind::Fault), "fault", "faults"),
        words(count(Kind::Advice), "piece of advice", "pieces of advice"),
    )
}
