//! What every screen has: the title block as the page's head, the way around, the line that tells.

use maud::{DOCTYPE, Markup, html};

use super::notes;
use crate::desk::Look;

/// The live sheets: their key, their place, their name.
pub const SHEETS: &[(&str, &str, &str)] = &[
    ("a", "/", "At a glance"),
    ("w", "/wall", "Wall"),
    ("f", "/file", "Wall file"),
    ("b", "/build", "Build"),
    ("r", "/run", "Run"),
    ("s", "/sheets", "Sheets"),
];

/// What a title block says.
pub struct Title<'t> {
    /// The sheet's key of [`SHEETS`].
    pub key: &'t str,
    /// What it is called, if not as its key has it.
    pub name: Option<&'t str>,
    /// The side that it shows, and the like.
    pub view: Option<&'t str>,
    /// The one useful action, for a thumb: where it leads, what it does.
    pub act: Option<(&'t str, &'t str)>,
}

/// A whole page.
pub fn page(look: &Look, file: &str, title: &Title<'_>, body: &Markup) -> Markup {
    let known = SHEETS.iter().find(|sheet| sheet.0 == title.key);
    let name = title.name.or(known.map(|sheet| sheet.2)).unwrap_or("");
    let wall = look.view.as_ref().map_or(file, |view| view.wall.name.as_str());
    let place = known.map_or("", |sheet| sheet.1);
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            (head(&format!("{name} · {wall}")))
            body data-mark=(look.mark) {
                a .skip href="#sheet" { "To the drawing" }
                header .title {
                    div .cell.wide {
                        span .label { "Wall" }
                        strong dir="auto" { (wall) }
                    }
                    div .cell {
                        span .label { "Sheet" }
                        strong { (name) }
                    }
                    @if let Some(view) = title.view {
                        div .cell { span .label { "View" } strong { (view) } }
                    }
                    div .cell.file {
                        span .label { "File" }
                        span dir="auto" { (file) " " span .mark { (look.mark.get(..8).unwrap_or("")) } }
                    }
                    nav .cell.wide aria-label="Sheets" {
                        @for (key, to, name) in SHEETS {
                            a href=(to) aria-keyshortcuts=(key) aria-current=[(*to == place).then_some("page")] {
                                kbd { (key.to_uppercase()) } " " (name)
                            }
                        }
                    }
                }
                main #sheet tabindex="-1" {
                    (notes::trouble(look))
                    (body)
                }
                dialog #proposal aria-labelledby="proposal-name" {
                    h2 #proposal-name { "What it changes" }
                    div .what {}
                    p .actions {
                        button .act type="button" value="write" { "Write it" }
                        button type="button" value="leave" { "Leave it" }
                    }
                }
                footer .told {
                    p role="status" {}
                    @if let Some((to, what)) = title.act { a .act.thumb href=(to) { (what) } }
                    div {
                        button #undo type="button" disabled[!look.back] aria-keyshortcuts="Control+Z" { "Undo" }
                        button #redo type="button" disabled[!look.forward] aria-keyshortcuts="Control+Shift+Z" { "Redo" }
                    }
                }
            }
        }
    }
}

/// A page that is no sheet of the wall: refusals, the door.
pub fn plain(name: &str, script: Option<&str>, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width,initial-scale=1";
                title { (name) }
                link rel="stylesheet" href="/assets/page.css";
                @if let Some(script) = script { script type="module" src=(script) {} }
            }
            body .plain {
                header .title { div .cell.wide { span .label { "Sheet" } strong { (name) } } }
                main #sheet { (body) }
            }
        }
    }
}

fn head(title: &str) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width,initial-scale=1";
            meta name="color-scheme" content="light dark";
            title { (title) }
            link rel="icon" href="/assets/icon.svg" type="image/svg+xml";
            link rel="stylesheet" href="/assets/page.css";
            link rel="stylesheet" href="/assets/sheet.css";
            script type="module" src="/assets/page.js" {}
        }
    }
}
