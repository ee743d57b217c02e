//! Building: what is said, what is done, what is made and bought.

use glowloom_plan::journal::{self, Journal};
use glowloom_plan::steps::{Step, Task};
use maud::{Markup, html};

use super::{frame, glance, notes};
use crate::desk::{Desk, Look, View};

/// The page.
pub fn page(desk: &Desk, look: &Look) -> Markup {
    let title =
        frame::Title { key: "b", name: None, view: None, act: Some(("#next", "To the next step")) };
    let body = match (&look.view, desk.journal()) {
        (Some(view), Ok(journal)) => drawn(view, &journal),
        (Some(_), Err(trouble)) => html! {
            section .door { h1 { (trouble.found) } p { (trouble.remedy) } }
        },
        (None, _) => glance::empty(),
    };
    frame::page(look, &desk.home().name(), &title, &body)
}

fn drawn(view: &View, journal: &Journal) -> Markup {
    let progress = journal::progress(&view.wall, &view.plan, &view.steps, journal);
    let next = progress.next.first().map(|open| open.step.id.as_str());
    html! {
        div .spread {
            section .steps #steps aria-label="Steps" {
                h1 { "Steps" }
                @for section in &view.steps.sections {
                    @let open = section.steps.iter().any(|step| Some(step.id.as_str()) == next);
                    details open[open] {
                        summary { (section.title) " " (tally(&section.steps, journal)) }
                        @for one in &section.steps { (step(one, journal, Some(one.id.as_str()) == next)) }
                    }
                }
            }
            section .margin aria-label="Findings, progress and files" {
                h2 { "Done" }
                table .figures { tbody {
                    @for row in &progress.rows {
                        tr { th scope="row" { (row.name) } td { (row.done) " of " (row.all) } }
                    }
                    tr { th scope="row" { "left by hand, an estimate" } td { (format!("{:.1} h", progress.left.0 / 3600.0)) } }
                    @if let Some(printing) = &progress.printing {
                        tr { th scope="row" { "left to print" } td { (format!("{:.1} h", printing.hours.0)) } }
                    }
                } }
                @if !progress.stale.is_empty() {
                    h2 { "No longer so" }
                    p { "The wall file has changed since these were done; they are not counted." }
                    ul { @for stale in &progress.stale { li { (stale.what) ": " (stale.why) } } }
                }
                h2 #findings { "Findings" }
                div .line { (notes::soundness(view)) }
                ol .notes { @for finding in &view.plan.findings { li { (notes::finding(view, finding)) } } }
                (buying(view))
                h2 { "The book" }
                p { a .act href="/book/book.pdf" download { "Book as PDF" } " " a href="/sheets" { "its sheets and files" } }
            }
        }
    }
}

fn done(task: &Task, journal: &Journal) -> u64 {
    let fact = journal.facts.get(&task.what);
    fact.filter(|fact| fact.built == task.built).map_or(0, |fact| fact.count.min(task.count))
}

fn tally(steps: &[Step], journal: &Journal) -> Markup {
    let tasks = || steps.iter().flat_map(|step| &step.tasks);
    let (all, ready) =
        (tasks().count(), tasks().filter(|task| done(task, journal) >= task.count).count());
    html! { @if all > 0 { span .quiet { (ready) " of " (all) } } }
}

fn step(step: &Step, journal: &Journal, next: bool) -> Markup {
    html! {
        article .step.now[next] id=[next.then_some("next")] {
            h2 { (step.title) @if next { " " span .quiet { "next" } } }
            @for caution in &step.cautions {
                p .caution { b { (caution.danger.word()) } " " (caution.text) }
            }
            @for line in &step.lines { p { (line) } }
            @if !step.tasks.is_empty() {
                ul .ticks {
                    @for task in &step.tasks { li { (tick(task, journal)) } }
                }
            }
            @for check in &step.checks { p .check { (check.words) } p .quiet { "If not: " (check.otherwise) } }
        }
    }
}

/// A tick box of the journal, with the words that `glowloom done` takes.
fn tick(task: &Task, journal: &Journal) -> Markup {
    let ready = done(task, journal);
    html! {
        label {
            input type="checkbox" data-done=(task.what) checked[ready >= task.count];
            span { (task.words)
                @if task.count > 1 { " " span .quiet { (ready) " of " (task.count) } }
                " " code { (task.what) }
            }
        }
    }
}

fn buying(view: &View) -> Markup {
    let cost = view.plan.cost.as_ref();
    html! {
        @if let Some(cost) = cost {
            h2 { "Cost" }
            table .figures {
                thead { tr { th scope="col" { "item" } th scope="col" { "quantity" } th scope="col" { (cost.currency) } } }
                tbody {
                    @for line in &cost.lines {
                        tr { th scope="row" { (line.item) } td { (format!("{:.1}", line.quantity).trim_end_matches(".0")) " " (line.unit) } td { (format!("{:.2}", line.total)) } }
                    }
                    tr { th scope="row" { "all" } td {} td { (format!("{:.2}", cost.total)) } }
                }
            }
            @if !cost.unpriced.is_empty() { p .quiet { "Without a price: " (cost.unpriced.join(", ")) "." } }
        }
    }
}
