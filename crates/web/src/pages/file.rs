//! The wall file as text, with what is wrong under the exact words.

use maud::{Markup, html};

use super::frame;
use crate::desk::{Desk, Look, Told};

/// The page.
pub fn page(desk: &Desk, look: &Look) -> Markup {
    let title = frame::Title { key: "f", name: None, view: None, act: None };
    let body = html! {
           div .spread.text {
               section .paper aria-label="Text" {
                   h1 .hidden { "Wall file" }
                   form #file data-mark=(look.mark) {
                       label .hidden for="text" { "Wall file" }
                       div .lines {
                           textarea #text name="text" spellcheck="false" autocapitalize="none" autocomplete="off"
    rows=(look.text.lines().count().clamp(12, 60)) { "\n" (look.text) }
                           div .under aria-hidden="true" {}
                       }
                   }
               }
               section .margin.stays aria-label="What is wrong and what follows" {
                   p .actions {
                       button .act type="submit" form="file" { "Save" }
                       button #check type="button" { "See what follows" }
                   }
                   h2 { "What the text says" }
                   div #verdict role="status" {
                       @if look.wrong.is_empty() { p { "No errors." } }
                       @else { (errors(&look.text, &look.wrong)) }
                   }
               }
           }
       };
    frame::page(look, &desk.home().name(), &title, &body)
}

fn errors(text: &str, wrong: &[glowloom_design::Diagnostic]) -> Markup {
    html! {
        ol .errors {
            @for wrong in wrong.iter().take(60) {
                @let told = Told::of(text, wrong);
                li data-line=(told.line) data-column=(told.column) data-length=(told.length) {
                    a href={ "#line-" (told.line) } { "line " (told.line) ", character " (told.column) }
                    ": " (told.message) ". " b { (told.wanted) } ". " (told.remedy)
                }
            }
        }
    }
}
