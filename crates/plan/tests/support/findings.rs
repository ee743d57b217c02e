//! What the plan finds in a wall, and what a remedy says to write.
#![allow(dead_code, reason = "each test takes what it needs")]

use glowloom_plan::{Code, Finding, Kind, Plan, plan};

use super::{one as wall_of_one, read};

/// The panel of 16 strips of 36 pixels of the worked case: 3 feeds of 4 ft of 16 AWG.
pub fn sixteen(power: &str) -> String {
    wall_of_one(
        16,
        36,
        "ws2812b-30",
        "",
        &format!(
            "[power]\nfeeds = 3\nfeed_wire = {{ gauge = \"16 AWG\", length = \"4 ft\" }}\n{power}"
        ),
    )
}

pub fn planned(text: &str) -> Plan {
    plan(&read(text))
}

pub fn found(text: &str, code: Code) -> Option<Finding> {
    let mut all: Vec<_> =
        planned(text).findings.into_iter().filter(|found| found.code == code).collect();
    assert!(all.len() <= 1, "{all:#?}");
    all.pop()
}

pub fn one(text: &str, code: Code) -> Finding {
    found(text, code).unwrap_or_else(|| panic!("{:#?}", planned(text).findings))
}

/// Hazards and faults.
pub fn serious(text: &str) -> Vec<Code> {
    let all = planned(text).findings.into_iter();
    all.filter(|found| found.kind != Kind::Advice).map(|found| found.code).collect()
}

/// What a remedy says to write: from a key up to its end.
pub fn advised<'r>(remedy: &'r str, key: &str) -> &'r str {
    let from = remedy.find(&format!("{key} = ")).unwrap_or_else(|| panic!("{key} in {remedy}"));
    let text = &remedy[from..];
    let mut depth = 0;
    for (i, c) in text.char_indices() {
        match c {
            '{' | '[' => depth += 1,
            '}' | ']' => depth -= 1,
            ' ' | ';' if depth == 0 && i > key.len() + 3 => return text[..i].trim_end_matches(';'),
            _ => {}
        }
    }
    text.trim_end_matches('.')
}
