//! Notes of the margin: findings, errors, what is next.

use glowloom_plan::Kind;
use glowloom_plan::finding::Finding;
use maud::{Markup, html};

use crate::desk::{Look, Told, View};
use crate::remedies;

/// Most notes that stand beside a drawing.
const MOST: usize = 6;

/// The mark of a finding's kind: triangle, cross, circle.
pub fn mark(kind: Kind) -> Markup {
    let (class, path) = match kind {
        Kind::Hazard => ("hazard", "M8 1.5 15 14.5H1z M8 6v4 M8 11.8v.6"),
        Kind::Fault => ("fault", "M2.5 2.5l11 11 M13.5 2.5l-11 11"),
        Kind::Advice => ("advice", "M8 2a6 6 0 1 0 .01 0z M8 7v4 M8 4.6v.6"),
    };
    html! {
        svg class={ "sign " (class) } viewBox="0 0 16 16" aria-hidden="true" { path d=(path) {} }
    }
}

/// A finding as a note: its mark, its word, what was found, what to do.
pub fn finding(view: &View, finding: &Finding) -> Markup {
    let remedies = remedies::of(view, finding);
    html! {
        (mark(finding.kind))
        div {
            p { b { (finding.kind.word()) } ": " (finding.title) }
            p { (finding.detail) }
            p .remedy { (finding.remedy) }
            @for remedy in &remedies {
                p .actions {
                    button type="button" data-changes=(serde_json::to_string(&remedy.changes).unwrap_or_default()) {
                        (remedy.words) " …"
                    }
                }
            }
            p { a href={ "/file#line-" (finding.line) } { "line " (finding.line) } }
        }
    }
}

/// Whether a wall is safe and sound, in a line.
pub fn soundness(view: &View) -> Markup {
    let [hazards, faults, advice] =
        [Kind::Hazard, Kind::Fault, Kind::Advice].map(|kind| view.count(kind));
    let worst = if hazards > 0 {
        Kind::Hazard
    } else if faults > 0 {
        Kind::Fault
    } else {
        Kind::Advice
    };
    html! {
        (mark(worst))
        p {
            @if hazards + faults == 0 {
                b { "Safe and sound" } ": no hazard, no fault; "
            } @else {
                b { "Build nothing yet" } ": " (number(hazards, "hazard")) ", " (number(faults, "fault")) "; "
            }
            (number(advice, "piece")) " of advice."
        }
    }
}

fn number(count: usize, noun: &str) -> String {
    match count {
        0 => format!("no {noun}"),
        1 => format!("1 {noun}"),
        n => format!("{n} {noun}s"),
    }
}

/// The first few findings as numbered notes.
pub fn some(view: &View) -> Markup {
    let all = &view.plan.findings;
    html! {
        @if !all.is_empty() {
            ol .notes {
                @for one in all.iter().take(MOST) { li { (finding(view, one)) } }
            }
            @if all.len() > MOST {
                p { a href="/build" { "All " (all.len()) " notes" } }
            }
        }
    }
}

/// What stands in the way of the file as it is on the disk.
pub fn trouble(look: &Look) -> Markup {
    html! {
        @if let Some(trouble) = &look.trouble {
            section .stop aria-label="The file cannot be read" {
                (mark(Kind::Fault))
                div { p { b { (trouble.found) } } p { (trouble.remedy) } }
            }
        } @else if !look.wrong.is_empty() {
            section .stop aria-label="Errors of the wall file" {
                (mark(Kind::Fault))
                div {
                    p {
                        b { "The wall file has " (number(look.wrong.len(), "error")) }
                        @if look.view.is_some() { "; drawn is the last sound one." }
                    }
                    ol {
                        @for wrong in look.wrong.iter().take(5) {
                            @let told = Told::of(&look.text, wrong);
                            li { a href={ "/file#line-" (told.line) } { "line " (told.line) } ": " (told.message) ". " (told.remedy) }
                        }
                    }
                }
            }
        }
    }
}
