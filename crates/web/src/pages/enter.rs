//! The door: where a browser hands over its token.

use maud::{Markup, html};

use super::frame;

/// The token comes behind the `#` of the link, which no server sees, or is typed.
pub fn page() -> Markup {
    frame::plain(
        "Come in",
        Some("/assets/enter.js"),
        &html! {
            section .door {
                h1 { "This wall is kept" }
                p { "Open the link that the terminal shows, read its code with the phone, or type the token." }
                form #door {
                    label for="token" { "Token" }
                    input #token name="token" autocomplete="off" autocapitalize="none" spellcheck="false" required;
                    button type="submit" { "Come in" }
                }
                p #said role="status" {}
            }
        },
    )
}
