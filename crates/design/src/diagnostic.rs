//! Something wrong in a wall file, and how a person is told.

use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

/// The name of a kind of error: short lower-case words joined by hyphens; never changes once
/// released.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Code(&'static str);

impl Code {
    /// As it is printed.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        self.0
    }
}

impl std::fmt::Display for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self.0)
    }
}

/// Every code of a diagnostic.
pub mod code {
    use super::Code;

    macro_rules! codes {
        ($($name:ident = $text:literal, $meaning:literal;)*) => {
            $(#[doc = $meaning] pub const $name: Code = Code($text);)*
            /// Every code with its meaning, in the order of the manual.
            pub const ALL: &[(Code, &str)] = &[$(($name, $meaning)),*];
        };
    }

    codes! {
        NOT_UTF8 = "not-utf8", "The file is not UTF-8 text.";
        TOO_LARGE = "too-large", "The file is larger than any wall needs.";
        NOT_TOML = "not-toml", "The text cannot be read as TOML.";
        SECOND_VALUE = "second-value", "One thing is given two values.";
        UNKNOWN_KEY = "unknown-key", "A key or section that no wall file has.";
        MISSING_KEY = "missing-key", "A key or section that every wall file needs.";
        UNKNOWN_FORMAT = "unknown-format", "The file is of another format than this program reads.";
        WRONG_TYPE = "wrong-type", "A value of another kind: a text for a number, a list of another length.";
        MISSING_UNIT = "missing-unit", "A number that needs a unit.";
        WRONG_UNIT = "wrong-unit", "A unit of something else.";
        OUT_OF_RANGE = "out-of-range", "A value that is too small, too large, or not possible.";
        UNKNOWN_VALUE = "unknown-value", "A word that is not one of the choices.";
        EMPTY = "empty", "A text with nothing in it.";
        TOO_MANY_PIXELS = "too-many-pixels", "More pixels than a wall may have.";
        TOO_MANY_PANELS = "too-many-panels", "More panels than a wall may have.";
        REPEATED_NAME = "repeated-name", "Two panels of one name.";
        OUTSIDE_PICTURE = "outside-picture", "A panel that reaches outside the picture.";
        PANELS_OVERLAP = "panels-overlap", "Two panels on the same pixels.";
        TOO_MANY_READINGS = "too-many-readings", "More readings of a meter than are taken.";
        TOO_MANY_LINES = "too-many-lines", "More data lines than strips.";
        TOO_MANY_SUPPLIES = "too-many-supplies", "More supplies than strips.";
        TOO_MANY_FEEDS = "too-many-feeds", "More feeds than strips.";
        NO_SUCH_STRIP = "no-such-strip", "A feed or a reading on a strip that the panel does not have.";
        NO_SUCH_FEED = "no-such-feed", "A current read in a feed that the panel does not have.";
        MIXED_READING = "mixed-reading", "A reading of two places at once, or of a panel and the bench.";
        REPEATED_FEED = "repeated-feed", "Two feeds on one strip end.";
        WRONG_ADDRESS = "wrong-address", "An address that is neither a host name nor an address, with a port or without.";
        REPEATED_ADDRESS = "repeated-address", "Two panels at one address and port.";
        REPEATED_UNIVERSE = "repeated-universe", "Two panels on one universe, or a panel on the synchronization universe.";
        UNIVERSES_RUN_OUT = "universes-run-out", "More universes than the protocol can count.";
        WIRE_TWO_WAYS = "wire-two-ways", "A wire that gives its gauge and its resistance.";
        UNKNOWN_GAUGE = "unknown-gauge", "A wire size that no table holds.";
        WHITE_OUTSIDE = "white-outside", "A white that the strip's colours, or those of pictures, cannot mix.";
        ORDER_AND_BITS = "order-and-bits", "A colour order that does not fit the bits of a pixel.";
    }
}

/// Something wrong in a wall file: where, what was found, what to write instead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// What kind of thing is wrong.
    pub code: Code,
    /// Bytes of the wall file that it is about.
    pub span: Range<usize>,
    /// What was found, in one line with no full stop.
    pub message: String,
    /// What is wanted there: stands under the marked words.
    pub wanted: String,
    /// An edit that the reader can make; never empty.
    pub remedy: String,
}

/// A place in a wall file: both count from 1, columns in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Line of the file.
    pub line: usize,
    /// Character of the line.
    pub column: usize,
}

impl Place {
    /// The place of a byte of `text`; of its end where the byte lies beyond.
    #[must_use]
    pub fn of(text: &str, byte: usize) -> Self {
        Lines::of(text).place(text, byte)
    }
}

/// Where each line of a text starts: places of many bytes cost little.
#[derive(Clone, Debug)]
pub struct Lines(Vec<usize>);

impl Lines {
    /// Finds the lines of a text.
    #[must_use]
    pub fn of(text: &str) -> Self {
        let breaks = text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1);
        Self(std::iter::once(0).chain(breaks).collect())
    }

    /// The place of a byte of the same text.
    #[must_use]
    pub fn place(&self, text: &str, byte: usize) -> Place {
        let byte = byte.min(text.len());
        let line = self.0.partition_point(|start| *start <= byte);
        let start = self.0.get(line.saturating_sub(1)).copied().unwrap_or(0);
        let before = text.get(start..byte).unwrap_or("");
        Place { line, column: before.chars().count() + 1 }
    }
}

impl Diagnostic {
    /// The span, cut to what `text` holds and to whole characters.
    fn span_in(&self, text: &str) -> Range<usize> {
        let floor = |mut i: usize| {
            i = i.min(text.len());
            while !text.is_char_boundary(i) {
                i -= 1;
            }
            i
        };
        let start = floor(self.span.start);
        start..floor(self.span.end).max(start)
    }

    /// The one-line form, for logs and machines:
    /// `file:line:column: message [code]; remedy`.
    #[must_use]
    pub fn line(&self, file: &str, text: &str) -> String {
        let Place { line, column } = Place::of(text, self.span_in(text).start);
        format!("{file}:{line}:{column}: {} [{}]; {}", self.message, self.code, self.remedy)
    }

    /// The full form: the message with its code, the line with the words underlined and what is
    /// wanted there, and the remedy. `colour` adds terminal styles.
    #[must_use]
    pub fn render(&self, file: &str, text: &str, colour: bool) -> String {
        let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
        let (window, first_line, span) = self.window(text);
        let window = harmless(window);
        let snippet = Snippet::source(&*window)
            .path(file)
            .line_start(first_line)
            .annotation(AnnotationKind::Primary.span(span).label(&self.wanted));
        let title = Level::ERROR.primary_title(&self.message).id(self.code.as_str());
        let report: &[Group<'_>] =
            &[title.element(snippet).element(Level::HELP.message(&self.remedy))];
        renderer.render(report).clone()
    }

    /// The lines around the span: a renderer that is shown a whole file of megabytes for each of
    /// a thousand errors would never end.
    fn window<'t>(&self, text: &'t str) -> (&'t str, usize, Range<usize>) {
        let span = self.span_in(text);
        let start = text[..span.start].rfind('\n').map_or(0, |i| i + 1);
        // One line is underlined, also where a value goes on over several.
        let line_end = text[span.start..].find('\n').map_or(text.len(), |i| span.start + i);
        let end = span.end.min(line_end).max(span.start);
        let first_line = Place::of(text, span.start).line;
        (&text[start..line_end], first_line, span.start - start..end - start)
    }
}

/// The text without what a terminal would obey beyond the plain control characters that the renderer
/// masks itself: C1 controls, and marks that turn the direction of writing. Each is replaced by a
/// character of as many bytes.
fn harmless(text: &str) -> std::borrow::Cow<'_, str> {
    let obeyed = |c: char| matches!(c, '\u{80}'..='\u{9f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    if !text.contains(obeyed) {
        return text.into();
    }
    let mask = |c: char| match c {
        c if !obeyed(c) => c,
        c if c.len_utf8() == 2 => '\u{bf}',
        _ => '\u{fffd}',
    };
    text.chars().map(mask).collect::<String>().into()
}

/// The candidate that a person most likely meant by `found`: within a third of its letters, and at
/// least one slip.
#[must_use]
pub fn nearest<'c>(found: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    // No key is so long, and comparing a megabyte takes long.
    if found.len() > 100 {
        return None;
    }
    let found = found.to_lowercase();
    candidates
        .into_iter()
        .map(|candidate| {
            (strsim::damerau_levenshtein(&found, &candidate.to_lowercase()), candidate)
        })
        .filter(|(slips, candidate)| *slips <= (candidate.chars().count() / 3).max(1))
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_characters_from_one() {
        assert_eq!(Place::of("a\nbé = 1", 0), Place { line: 1, column: 1 });
        assert_eq!(Place::of("a\nbé = 1", 5), Place { line: 2, column: 3 });
        assert_eq!(Place::of("", 7), Place { line: 1, column: 1 });
    }

    #[test]
    fn the_words_are_underlined() {
        let text = "format = 1\n[wall]\ncolums = 60\n";
        let wrong = Diagnostic {
            code: code::UNKNOWN_KEY,
            span: 18..24,
            message: "unknown key `colums` in [wall]".into(),
            wanted: "not a key of [wall]".into(),
            remedy: "write `columns`".into(),
        };
        assert_eq!(
            wrong.render("wall.toml", text, false),
            "error[unknown-key]: unknown key `colums` in [wall]\n \
             --> wall.toml:3:1\n  |\n3 | colums = 60\n  | ^^^^^^ not a key of [wall]\n  |\n  \
             = help: write `columns`"
        );
        assert_eq!(
            wrong.line("wall.toml", text),
            "wall.toml:3:1: unknown key `colums` in [wall] [unknown-key]; write `columns`"
        );
    }

    #[test]
    fn a_terminal_gets_nothing_to_obey() {
        let text = "name = \"a\u{9b}31m\u{202e}b\"";
        let wrong = Diagnostic {
            code: code::OUT_OF_RANGE,
            span: 7..text.len(),
            message: "m".into(),
            wanted: "w".into(),
            remedy: "r".into(),
        };
        let shown = wrong.render("wall.toml", text, false);
        assert!(!shown.contains(['\u{9b}', '\u{202e}', '\u{1b}']), "{shown:?}");
        assert!(shown.contains(&"^".repeat(8)), "{shown}");
    }

    #[test]
    fn nearest_is_near() {
        assert_eq!(nearest("colums", ["columns", "rows"]), Some("columns"));
        assert_eq!(nearest("Verticle", ["vertical", "horizontal"]), Some("vertical"));
        assert_eq!(nearest("banana", ["vertical", "horizontal"]), None);
    }
}
