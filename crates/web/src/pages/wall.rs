//! The wall, front and back, with what lies over it, and its figures to be changed.

use maud::{Markup, html};
use serde::Deserialize;

use super::{frame, glance, notes};
use crate::desk::{Desk, Look, View};
use crate::figures::{FIGURES, Figure, Form, Group};
use crate::scene::{self, Overlay, Side};

/// What is asked to be shown.
#[derive(Deserialize)]
pub struct Asked {
    /// A word of [`Overlay`].
    show: Option<String>,
    /// `back`, or the front.
    side: Option<String>,
    /// A panel, from 0.
    panel: Option<usize>,
}

/// The page.
pub fn page(desk: &Desk, look: &Look, asked: &Asked) -> Markup {
    let side = if asked.side.as_deref() == Some("back") { Side::Back } else { Side::Front };
    let overlay = asked.show.as_deref().and_then(Overlay::of).unwrap_or(Overlay::Volts);
    let showing = desk.home().show().is_some();
    let title = frame::Title { key: "w", name: None, view: Some(side.words()), act: None };
    let body = match &look.view {
        Some(view) => drawn(view, side, overlay, asked.panel, showing),
        None => glance::empty(),
    };
    frame::page(look, &desk.home().name(), &title, &body)
}

fn drawn(view: &View, side: Side, overlay: Overlay, panel: Option<usize>, showing: bool) -> Markup {
    html! {
        h1 .hidden { "Wall" }
        (choices(side, overlay, showing))
        div .spread {
            (scene::figure(view, side, overlay, overlay != Overlay::Seen))
            section .margin aria-label="Figures and notes" {
                @if let Some(number) = panel.filter(|number| *number < view.wall.panels.len()) {
                    (of_panel(view, number, side, overlay))
                }
                (to_change(view))
                h2 { "Notes" }
                div .line { (notes::soundness(view)) }
                (notes::some(view))
            }
        }
    }
}

fn place(side: Side, overlay: Overlay) -> String {
    let side = if side == Side::Back { "&side=back" } else { "" };
    format!("/wall?show={}{side}", overlay.word())
}

/// What is shown, and which side: links, so that they work in any browser.
fn choices(side: Side, overlay: Overlay, showing: bool) -> Markup {
    html! {
        nav .choices aria-label="What is drawn" {
            @for (one, _, name) in Overlay::ALL {
                @if one != Overlay::Picture || showing {
                    a href=(place(side, one)) aria-current=[(one == overlay).then_some("true")] { (name) }
                }
            }
            span .gap {}
            @for (one, name) in [(Side::Front, "Front"), (Side::Back, "Back")] {
                a href=(place(one, overlay)) aria-current=[(one == side).then_some("true")] { (name) }
            }
        }
    }
}

/// What one panel is, its sheets and what is said of it.
fn of_panel(view: &View, number: usize, side: Side, overlay: Overlay) -> Markup {
    let panel = &view.wall.panels[number];
    let geometry = view.plan.geometry.panels.get(number);
    let power = view.plan.power.panels.get(number);
    let size = |m: glowloom_units::Metres| m.shown(view.wall.figures);
    html! {
        section .one aria-label={ "Panel " (panel.name) } {
            h2 dir="auto" { "Panel " (panel.name) " " a .quiet href=(place(side, overlay)) { "all panels" } }
            table .figures { tbody {
                tr { th scope="row" { "pixels" } td { (panel.columns) " × " (panel.rows) } }
                @if let Some(geometry) = geometry {
                    tr { th scope="row" { "size" } td { (size(geometry.width_m)) " × " (size(geometry.height_m)) } }
                    tr { th scope="row" { "strips" } td { (geometry.strips) " of " (geometry.strip_pixels) } }
                }
                tr { th scope="row" { "universes" } td { (panel.first_universe) " to " (panel.universes_end.saturating_sub(1)) } }
                @if let Some(power) = power {
                    tr { th scope="row" { "least volts" } td { (format!("{:.2} V", power.least_volts.0)) } }
                    tr { th scope="row" { "amps at full white" } td { (format!("{:.1} A", power.amps.0)) } }
                }
            } }
            p { "Sheets: "
                @for sheet in view.sheets().list().filter(|sheet| sheet.panels.contains(&panel.name)) {
                    a href={ "/sheets/" (sheet.number) } { (sheet.number) " " (sheet.name) } " "
                }
            }
            @for finding in view.plan.findings.iter().filter(|f| f.detail.contains(&panel.name) || f.title.contains(&panel.name)) {
                div .line { (notes::finding(view, finding)) }
            }
        }
    }
}

/// The figures that may be changed, as writing on the sheet.
fn to_change(view: &View) -> Markup {
    html! {
        h2 { "Figures" }
        p .quiet { "What is underlined can be changed here; the wall file is written at once, and can be undone." }
        table .figures.written {
            @for (group, name) in Group::ALL {
                tbody {
                    tr { th .group colspan="2" scope="rowgroup" { (name) } }
                    @for figure in FIGURES.iter().filter(|figure| figure.group == group) {
                        tr {
                            th scope="row" { label for={ "f-" (figure.key) } { (figure.name) } }
                            td { (field(view, figure)) }
                        }
                    }
                }
            }
        }
    }
}

fn field(view: &View, figure: &Figure) -> Markup {
    let now = (figure.now)(&view.wall);
    let id = format!("f-{}", figure.key);
    match figure.form {
        Form::Choice(words) => html! {
            select .write id=(id) data-figure=(figure.key) {
                @if !words.contains(&&*now) { option selected { (now) } }
                @for word in words { option selected[*word == now] { (word) } }
            }
        },
        form => html! {
            input .write id=(id) data-figure=(figure.key) value=(now) autocomplete="off" spellcheck="false"
                size=(now.chars().count().max(3))
                inputmode=[match form { Form::Whole => Some("numeric"), Form::Number => Some("decimal"), _ => None }];
        },
    }
}
