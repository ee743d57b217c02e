//! What the page is made of besides its words: styles and modules, in the program itself.

/// A file: its name, its type, its text.
pub type Asset = (&'static str, &'static str, &'static str);

const JS: &str = "text/javascript; charset=utf-8";

/// All of them.
pub const ASSETS: &[Asset] = &[
    ("page.css", "text/css; charset=utf-8", include_str!("../assets/page.css")),
    ("sheet.css", "text/css; charset=utf-8", include_str!("../assets/sheet.css")),
    ("icon.svg", "image/svg+xml", include_str!("../assets/icon.svg")),
    ("page.js", JS, include_str!("../assets/page.js")),
    ("enter.js", JS, include_str!("../assets/enter.js")),
    ("view.js", JS, include_str!("../assets/view.js")),
    ("paint.js", JS, include_str!("../assets/paint.js")),
    ("wall.js", JS, include_str!("../assets/wall.js")),
    ("change.js", JS, include_str!("../assets/change.js")),
    ("feeds.js", JS, include_str!("../assets/feeds.js")),
    ("live.js", JS, include_str!("../assets/live.js")),
    ("remedy.js", JS, include_str!("../assets/remedy.js")),
    ("begin.js", JS, include_str!("../assets/begin.js")),
    ("seen.js", JS, include_str!("../assets/seen.js")),
    ("build.js", JS, include_str!("../assets/build.js")),
    ("file.js", JS, include_str!("../assets/file.js")),
];

/// The one of that name.
pub fn find(name: &str) -> Option<&'static Asset> {
    ASSETS.iter().find(|asset| asset.0 == name)
}
