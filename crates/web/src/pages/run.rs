//! Running: what the panels show now, brightness, a text, how it goes.

use maud::{Markup, html};

use super::{day, frame, glance};
use crate::desk::{Desk, Look, View};
use crate::home::State;
use crate::scene::{self, Overlay, Side};

/// The page.
pub fn page(desk: &Desk, look: &Look) -> Markup {
    let title = frame::Title { key: "r", name: None, view: Some("FRONT"), act: None };
    let body = match &look.view {
        Some(view) => drawn(view, desk.home().show().map(|show| show.state()).as_ref()),
        None => glance::empty(),
    };
    frame::page(look, &desk.home().name(), &title, &body)
}

fn drawn(view: &View, state: Option<&State>) -> Markup {
    let overlay = if state.is_some() { Overlay::Picture } else { Overlay::Panels };
    html! {
        h1 .hidden { "Run" }
        div .spread {
            (scene::figure(view, Side::Front, overlay, true))
            section .margin aria-label="The show" {
                @match state {
                    Some(state) => (playing(state)),
                    None => {
                        h2 { "Nothing is shown" }
                        p { "This page was opened without a show. End it in the terminal and start it as" }
                        p { code { "glowloom serve --play " (look_name(view)) } }
                    }
                }
                (day::day(view))
            }
        }
    }
}

fn look_name(view: &View) -> String {
    format!(
        "{}.toml",
        view.wall.name.to_lowercase().replace(|c: char| !c.is_ascii_alphanumeric(), "-")
    )
}

fn playing(state: &State) -> Markup {
    html! {
        form #text-form .now {
            label for="say" { "Text on the wall" }
            div .row {
                input #say name="text" maxlength="500" autocomplete="off" value=(state.text) enterkeyhint="send";
                button .act type="submit" { "Show" }
                button #plain type="button" { "Take off" }
            }
        }
        p .row {
            label for="brightness" { "Brightness, of the ceiling" }
            input #brightness type="range" min="0" max="100" step="1" value=(percent(state.brightness));
            output #bright for="brightness" { (percent(state.brightness)) " %" }
        }
        h2 { "How it goes" }
        p #how role="status" aria-live="off" { (state.line) }
        ul #words { @for words in &state.words { li { (words) } } }
        table .figures #panels {
            thead { tr { th scope="col" { "panel" } th scope="col" { "is" } } }
            tbody {
                @for panel in &state.panels {
                    tr { th scope="row" { (panel.name) } td { (panel.words) } }
                }
            }
        }
    }
}

fn percent(share: f32) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "0 to 100")]
    let percent = (share * 100.0).round() as i32;
    percent
}
