//! Walking the file's tables: known keys are taken, unknown ones are named.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::Written;
use super::values::Value;
use crate::diagnostic::{Code, Diagnostic, Lines, Place, code, nearest};

/// What a reading gathers.
pub struct Context<'t> {
    pub text: &'t str,
    pub lines: Lines,
    pub places: BTreeMap<String, Place>,
    pub wrong: Vec<Diagnostic>,
}

impl<'t> Context<'t> {
    pub fn new(text: &'t str) -> Self {
        Self { text, lines: Lines::of(text), places: BTreeMap::new(), wrong: Vec::new() }
    }

    /// Notes something wrong.
    pub fn wrong(
        &mut self,
        code: Code,
        span: Range<usize>,
        message: impl Into<String>,
        wanted: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        let (message, wanted, remedy) = (message.into(), wanted.into(), remedy.into());
        self.wrong.push(Diagnostic { code, span, message, wanted, remedy });
    }

    /// Notes what the TOML reader stumbled over.
    pub fn syntax(&mut self, error: &toml::de::Error) {
        let span = error.span().unwrap_or(0..0);
        let message = error.message().trim().replace('\n', "; ");
        if message.contains("duplicate key") {
            let word = self.text.get(span.clone()).unwrap_or("this").to_owned();
            self.wrong(
                code::SECOND_VALUE,
                span,
                format!("`{word}` is given a second time"),
                "one value for one thing",
                "keep one of the two and take the other out",
            );
        } else {
            self.wrong(
                code::NOT_TOML,
                span,
                format!("this is not TOML: {message}"),
                "could not be read",
                "write `key = value` lines under `[section]` heads; texts stand in \"quotes\"",
            );
        }
    }

    /// Notes where a key stands.
    fn place(&mut self, path: &str, byte: usize) {
        let place = self.lines.place(self.text, byte);
        self.places.entry(path.to_owned()).or_insert(place);
    }
}

/// One table of the file while it is being read.
pub struct Section<'c, 't, 'd> {
    cx: &'c mut Context<'t>,
    table: &'d DeTable<'d>,
    span: Range<usize>,
    /// Dotted path, empty for the file itself.
    path: String,
    /// As it stands in messages: `[power]`, `mains`.
    title: String,
}

impl<'c, 't, 'd> Section<'c, 't, 'd> {
    /// The whole file.
    pub fn file(cx: &'c mut Context<'t>, table: &'d Spanned<DeTable<'d>>) -> Self {
        let span = 0..0;
        Self { cx, table: table.get_ref(), span, path: String::new(), title: "a wall file".into() }
    }

    /// A table that stands as a value.
    pub fn inline(
        cx: &'c mut Context<'t>,
        table: &'d DeTable<'d>,
        span: Range<usize>,
        path: &str,
        title: &str,
    ) -> Self {
        Self { cx, table, span, path: path.into(), title: title.into() }
    }

    /// Where it stands: its head, or the whole inline table.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// Whether anything has been found wrong so far.
    pub fn told(&self) -> bool {
        !self.cx.wrong.is_empty()
    }

    /// Whether the key is there, right or wrong.
    pub fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    /// Takes the value of `key`, if it is there and right.
    pub fn take<T>(
        &mut self,
        key: &str,
        read: impl FnOnce(Value<'_, 't, 'd>) -> Option<T>,
    ) -> Option<Written<T>> {
        let (name, value) = self.table.get_key_value(key)?;
        let path = self.path_of(key);
        self.cx.place(&path, name.span().start);
        let span = value.span();
        let value = read(Value { cx: self.cx, value, path: &path, key })?;
        Some(Written { value, span })
    }

    /// Takes a section of the file.
    pub fn section<T>(
        &mut self,
        key: &str,
        read: impl FnOnce(Section<'_, 't, 'd>) -> T,
    ) -> Option<T> {
        let taken = self.take(key, |mut v| {
            let title = format!("[{}]", v.key);
            let table = v.table(&format!("a section: {title} on a line of its own, keys below"))?;
            let span = v.span();
            Some(read(Section { cx: v.cx, table, span, path: v.path.into(), title }))
        });
        taken.map(|written| written.value)
    }

    /// Takes the sections of a `[[list]]`: at most `most`, else the error `too_many` with its remedy.
    pub fn sections<T>(
        &mut self,
        key: &str,
        most: usize,
        too_many: Code,
        remedy: &str,
        read: impl Fn(Section<'_, 't, 'd>) -> T,
    ) -> Vec<T> {
        let title = format!("[[{}]]", self.path_of(key));
        let taken = self.take(key, |mut v| {
            let DeValue::Array(entries) = v.value.get_ref() else {
                v.wrong_type(&format!("{title} above each entry, with two brackets"));
                return None;
            };
            if entries.len() > most {
                v.cx.wrong(
                    too_many,
                    v.value.span(),
                    format!("{} entries of {title}", entries.len()),
                    format!("at most {most}"),
                    remedy,
                );
                return None;
            }
            let mut read_ones = Vec::with_capacity(entries.len());
            for (i, entry) in entries.iter().enumerate() {
                let path = format!("{}.{i}", v.path);
                let mut value = Value { cx: v.cx, value: entry, path: &path, key };
                let Some(table) = value.table("an entry with keys") else { continue };
                let span = value.span();
                value.cx.place(&path, span.start);
                let (path, title) = (path.clone(), title.clone());
                read_ones.push(read(Section { cx: value.cx, table, span, path, title }));
            }
            Some(read_ones)
        });
        taken.map_or_else(Vec::new, |written| written.value)
    }

    /// Keys of this table that are not among `known`, with their values: for tables whose keys
    /// are free.
    pub fn others(&mut self, known: &[&str]) -> Vec<(Written<String>, &'d Spanned<DeValue<'d>>)> {
        let unknown = self.table.iter().filter(|(key, _)| !known.contains(&key.get_ref().as_ref()));
        unknown
            .map(|(key, value)| {
                (Written { value: key.get_ref().to_string(), span: key.span() }, value)
            })
            .collect()
    }

    /// Reads a value that [`Self::others`] gave.
    pub fn read_other<T>(
        &mut self,
        key: &str,
        value: &'d Spanned<DeValue<'d>>,
        read: impl FnOnce(Value<'_, 't, 'd>) -> Option<T>,
    ) -> Option<T> {
        let path = self.path_of(key);
        read(Value { cx: self.cx, value, path: &path, key })
    }

    /// Names each key that is not among `known`.
    pub fn finish(mut self, known: &[&str]) {
        for (key, _) in self.others(known) {
            self.unknown(&key, known.iter().copied());
        }
    }

    /// Notes an unknown key, with the nearest known one.
    pub fn unknown<'k>(
        &mut self,
        key: &Written<String>,
        known: impl Iterator<Item = &'k str> + Clone,
    ) {
        let near = nearest(&key.value, known.clone());
        let remedy = match near {
            Some(near) => format!("write `{near}`, or take this line out"),
            None => format!("take it out; known here: {}", list(known)),
        };
        let wanted = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("not a key of {}", self.title),
        };
        let message = format!("unknown key `{}` in {}", shortened(&key.value), self.title);
        self.cx.wrong(code::UNKNOWN_KEY, key.span.clone(), message, wanted, remedy);
    }
}

/// `a, b, c` for messages.
pub fn list<'k>(items: impl Iterator<Item = &'k str>) -> String {
    items.collect::<Vec<_>>().join(", ")
}

/// What was found, cut to a length that a message can hold, with nothing in it that a terminal
/// would obey.
pub fn shortened(text: &str) -> String {
    let turns = |c: char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let shown = |c: char| if c.is_control() || turns(c) { '\u{fffd}' } else { c };
    if text.chars().count() <= 40 {
        return text.chars().map(shown).collect();
    }
    let start: String = text.chars().take(37).map(shown).collect();
    format!("{start}...")
}
