//! The first screen: what this wall is, whether it is safe and sound, what is next.

use glowloom_plan::journal;
use maud::{Markup, html};

use super::{frame, notes};
use crate::desk::{Desk, Look, View};
use crate::scene::{self, Overlay, Side};

/// The page.
pub fn page(desk: &Desk, look: &Look) -> Markup {
    let title = frame::Title {
        key: "a",
        name: None,
        view: Some("FRONT"),
        act: Some(("/build#next", "Go on building")),
    };
    let body = match &look.view {
        Some(view) => drawn(desk, view),
        None => empty(),
    };
    frame::page(look, &desk.home().name(), &title, &body)
}

/// What stands where a drawing cannot be: the next step.
pub fn empty() -> Markup {
    html! {
        section .door {
            h1 { "No wall to draw yet" }
            p { "The wall file cannot be read as a wall. Mend it in the text: what is wrong stands under the words." }
            p { a .act href="/file" { "Open the wall file" } }
        }
    }
}

fn drawn(desk: &Desk, view: &View) -> Markup {
    let showing = desk.home().show().is_some();
    let overlay = if showing { Overlay::Picture } else { Overlay::Panels };
    html! {
        div .spread {
            (scene::figure(view, Side::Front, overlay, false))
            section .margin aria-label="Notes" {
                h1 dir="auto" { (view.wall.name) }
                p { (what(view)) }
                div .line { (notes::soundness(view)) }
                (next(desk, view))
                h2 { "Figures" }
                table .figures {
                    tbody {
                        @for (name, value) in view.key_figures() {
                            tr { th scope="row" { (name) } td { (value) } }
                        }
                    }
                }
                (notes::some(view))
            }
        }
    }
}

/// What the wall is, in a sentence.
fn what(view: &View) -> String {
    let (wall, geometry) = (&view.wall, &view.plan.geometry);
    let size = |m: glowloom_units::Metres| m.shown(wall.figures);
    let panels = match wall.panels.len() {
        1 => "one panel".to_owned(),
        n => format!("{n} panels"),
    };
    format!(
        "{} by {} pixels on {panels}, {} wide and {} high, seen from {}.",
        geometry.columns,
        geometry.rows,
        size(geometry.width_m),
        size(geometry.height_m),
        size(wall.seen_from),
    )
}

/// What is next by the journal, with the one useful action.
fn next(desk: &Desk, view: &View) -> Markup {
    let journal = match desk.journal() {
        Ok(journal) => journal,
        Err(trouble) => return html! { p { b { (trouble.found) } ". " (trouble.remedy) } },
    };
    let progress = journal::progress(&view.wall, &view.plan, &view.steps, &journal);
    let open = progress.next.first().and_then(|open| Some((open.step, open.tasks.first()?)));
    html! {
        div .next {
            @match open {
                None => p { b { "Next" } ": nothing is left; all of it is done." },
                Some((step, (task, left))) => {
                    p { b { "Next" } ": " (step.title) }
                    p .words { (task.words) @if *left > 1 { " (" (left) " left)" } }
                    p { a .act href="/build#next" { "Go on building" } }
                }
            }
        }
    }
}
