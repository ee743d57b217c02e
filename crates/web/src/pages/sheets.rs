//! The book's sheets, alive: the list of them, and each.

use glowloom_book::drawn::Listed;
use maud::{Markup, PreEscaped, html};

use super::{frame, glance};
use crate::desk::{Desk, Look, View};

/// The list.
pub fn list(desk: &Desk, look: &Look) -> Markup {
    let title = frame::Title { key: "s", name: None, view: None, act: None };
    let body = match &look.view {
        Some(view) => listed(view),
        None => glance::empty(),
    };
    frame::page(look, &desk.home().name(), &title, &body)
}

fn listed(view: &View) -> Markup {
    let book = view.book();
    let documents = glowloom_book::documents(&book);
    html! {
        section .register {
            h1 { "Sheets of the book" }
            p { "Type a number and Enter to go to a sheet. " a .act href="/book/book.pdf" download { "All as PDF" } }
            ol .sheets {
                @for sheet in view.sheets().list() {
                    li { a href={ "/sheets/" (sheet.number) } { b { (sheet.number) } " " (sheet.name) } (said(&sheet)) }
                }
            }
            h2 { "Files" }
            p .quiet { "Each is made when it is asked for." }
            ul .files {
                @for document in documents.iter().filter(|document| !document.path().starts_with("sheets/")) {
                    li { a href={ "/book/" (document.path()) } download { (document.path()) } }
                }
            }
        }
    }
}

fn said(sheet: &Listed<'_>) -> Markup {
    html! {
        @if let Some(view) = sheet.view { " " span .quiet { (view) } }
    }
}

/// One of them; `None` where there is none of that number.
pub fn one(desk: &Desk, look: &Look, number: usize) -> Option<Markup> {
    let view = look.view.as_ref()?;
    let all: Vec<Listed<'_>> = view.sheets().list().collect();
    let at = all.iter().position(|sheet| sheet.number == number)?;
    let sheet = all.get(at)?;
    let mut drawing = Vec::new();
    view.sheets().part(&view.wall, number, &mut drawing).ok()?;
    let drawing = String::from_utf8(drawing).ok()?;
    let name = format!("{} {}", sheet.number, sheet.name);
    let title = frame::Title { key: "s", name: Some(&name), view: sheet.view, act: None };
    let beside = |offset: isize| at.checked_add_signed(offset).and_then(|i| all.get(i));
    let body = html! {
        section .one-sheet {
            h1 .hidden { (name) }
            p .choices {
                @if let Some(before) = beside(-1) { a rel="prev" href={ "/sheets/" (before.number) } { "← " (before.number) " " (before.name) } }
                span .gap {}
                @if let Some(after) = beside(1) { a rel="next" href={ "/sheets/" (after.number) } { (after.number) " " (after.name) " →" } }
            }
            div .roll.up[sheet.upright].day[sheet.daylight] tabindex="0" role="region" aria-label={ "Sheet " (name) } {
                (PreEscaped(drawing))
            }
            p { (sheet.description) }
            p { a href={ "/book/book.pdf" } download { "All sheets as PDF" } }
        }
    };
    Some(frame::page(look, &desk.home().name(), &title, &body))
}
