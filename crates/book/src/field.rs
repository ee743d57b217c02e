//! Texts as values of comma-separated lists.

use std::borrow::Cow;

/// A text as one value: in quotes, each inner quote doubled, where it holds a comma, a quote or a
/// line break (RFC 4180, 2.6 and 2.7, from memory).
pub fn field(text: &str) -> Cow<'_, str> {
    if text.contains([',', '"', '\n', '\r']) {
        Cow::Owned(format!("\"{}\"", text.replace('"', "\"\"")))
    } else {
        Cow::Borrowed(text)
    }
}

#[cfg(test)]
mod tests {
    use super::field;

    #[test]
    fn only_what_needs_quotes_has_them() {
        assert_eq!(field("west"), "west");
        assert_eq!(field("café à gauche"), "café à gauche");
        assert_eq!(field("left, low"), "\"left, low\"");
        assert_eq!(field("the \"big\" one"), "\"the \"\"big\"\" one\"");
    }
}
