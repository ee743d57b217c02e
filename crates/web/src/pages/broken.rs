//! What is shown in the place of a sheet that there is not.

use maud::{Markup, html};

use super::frame;

/// What was found and what to do, each a sentence.
pub fn page(found: &str, remedy: &str) -> Markup {
    frame::plain(
        "No sheet",
        None,
        &html! {
            section .door {
                h1 { (found) }
                p { (remedy) }
                p { a href="/" { "To the first sheet" } }
            }
        },
    )
}
