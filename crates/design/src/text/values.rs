//! Reading one value: its kind, its unit, its range.

use std::ops::{Range, RangeInclusive};

use glowloom_units::{FromText, TextError};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::Written;
use super::reader::{Context, Section, list, shortened};
use crate::diagnostic::{code, nearest};

/// One value while it is being read. Each method takes it as one kind, or notes what is wrong and
/// gives `None`.
pub struct Value<'c, 't, 'd> {
    pub cx: &'c mut Context<'t>,
    pub value: &'d Spanned<DeValue<'d>>,
    /// Dotted path, for the places of keys.
    pub path: &'c str,
    /// The key that it stands behind, for messages.
    pub key: &'c str,
}

impl<'t, 'd> Value<'_, 't, 'd> {
    /// Where it stands.
    pub fn span(&self) -> Range<usize> {
        self.value.span()
    }

    /// The same value read once more, inside a reader that owns this one.
    fn again(&mut self) -> Value<'_, 't, 'd> {
        Value { cx: self.cx, value: self.value, path: self.path, key: self.key }
    }

    /// Notes a value of another kind than `wanted`.
    pub fn wrong_type(&mut self, wanted: &str) {
        let found = match self.value.get_ref() {
            DeValue::String(text) => format!("the text \"{}\"", shortened(text)),
            DeValue::Integer(n) => format!("the number {}", shortened(n.as_str())),
            DeValue::Float(n) => format!("the number {}", shortened(n.as_str())),
            DeValue::Boolean(b) => format!("`{b}`"),
            DeValue::Datetime(t) => format!("the date {t}"),
            DeValue::Array(items) => format!("a list of {}", items.len()),
            DeValue::Table(_) => "a table".into(),
        };
        let message = format!("`{}` is {found}", self.key);
        let remedy = format!("write {wanted}");
        self.cx.wrong(code::WRONG_TYPE, self.span(), message, format!("wanted: {wanted}"), remedy);
    }

    /// Notes a value of the right kind that is too large or too small.
    pub fn out_of_range(&mut self, wanted: &str) {
        let found = self.cx.text.get(self.span()).unwrap_or("this value");
        let message = format!("`{}` is {}", self.key, shortened(found));
        let remedy = format!("write {wanted}");
        self.cx.wrong(
            code::OUT_OF_RANGE,
            self.span(),
            message,
            format!("wanted: {wanted}"),
            remedy,
        );
    }

    /// A table with keys of its own.
    pub fn table(&mut self, wanted: &str) -> Option<&'d DeTable<'d>> {
        if let DeValue::Table(table) = self.value.get_ref() {
            return Some(table);
        }
        self.wrong_type(wanted);
        None
    }

    /// An inline table, read by `read`.
    pub fn inline<T>(
        mut self,
        wanted: &str,
        read: impl FnOnce(Section<'_, 't, 'd>) -> T,
    ) -> Option<T> {
        let table = self.table(wanted)?;
        let title = format!("`{}`", self.key);
        Some(read(Section::inline(self.cx, table, self.value.span(), self.path, &title)))
    }

    /// A whole number of any size that 64 bits hold.
    pub fn integer(mut self) -> Option<i64> {
        let DeValue::Integer(digits) = self.value.get_ref() else {
            self.wrong_type("a whole number");
            return None;
        };
        // `as_str` keeps the sign and leaves out the underscores.
        let read = i64::from_str_radix(digits.as_str(), digits.radix());
        if read.is_err() {
            self.out_of_range("a whole number that a computer can hold");
        }
        read.ok()
    }

    /// A whole number between two bounds, both included.
    pub fn count(mut self, range: RangeInclusive<u32>) -> Option<u32> {
        let wanted = format!("a whole number from {} to {}", range.start(), range.end());
        let DeValue::Integer(_) = self.value.get_ref() else {
            self.wrong_type(&wanted);
            return None;
        };
        let before = self.cx.wrong.len();
        let number = self.again().integer();
        self.cx.wrong.truncate(before);
        let inside = number.and_then(|n| u32::try_from(n).ok()).filter(|n| range.contains(n));
        if inside.is_none() {
            self.out_of_range(&wanted);
        }
        inside
    }

    /// A number between two bounds, both included.
    pub fn number(mut self, range: RangeInclusive<f64>) -> Option<f64> {
        let wanted = format!("a number from {} to {}", range.start(), range.end());
        let Some(number) = self.plain_number() else {
            self.wrong_type(&wanted);
            return None;
        };
        self.within(number, range, &wanted)
    }

    fn within(&mut self, number: f64, range: RangeInclusive<f64>, wanted: &str) -> Option<f64> {
        // Not-a-number lies in no range.
        if range.contains(&number) {
            return Some(number);
        }
        self.out_of_range(wanted);
        None
    }

    fn plain_number(&self) -> Option<f64> {
        match self.value.get_ref() {
            DeValue::Integer(n) if n.radix() == 10 => n.as_str().parse().ok(),
            DeValue::Float(n) => n.as_str().parse().ok(),
            _ => None,
        }
    }

    /// A quantity whose key names its unit: a plain number, or a text with a unit. Both bounds
    /// are in the quantity's own unit and included.
    pub fn quantity<Q: FromText + Copy>(
        mut self,
        own: impl Fn(f64) -> Q,
        number_of: impl Fn(Q) -> f64,
        range: RangeInclusive<f64>,
    ) -> Option<Q> {
        let unit = Q::UNITS.first().copied().unwrap_or("");
        let wanted = format!("from {} to {} {unit}", range.start(), range.end());
        if let Some(number) = self.plain_number() {
            return self.within(number, range, &wanted).map(own);
        }
        let quantity = self.again().unit_text::<Q>()?;
        self.within(number_of(quantity), range, &wanted).map(own)
    }

    /// A text with a unit, within bounds in the quantity's own unit.
    pub fn measured<Q: FromText + Copy>(
        mut self,
        number_of: impl Fn(Q) -> f64,
        range: RangeInclusive<f64>,
    ) -> Option<Q> {
        let quantity = self.again().unit_text::<Q>()?;
        let unit = Q::UNITS.first().copied().unwrap_or("");
        let wanted = format!("from \"{} {unit}\" to \"{} {unit}\"", range.start(), range.end());
        self.within(number_of(quantity), range, &wanted).map(|_| quantity)
    }

    /// A text with a unit, of any size.
    pub fn unit_text<Q: FromText>(mut self) -> Option<Q> {
        if let Some(number) = self.plain_number() {
            self.missing_unit::<Q>(&number.to_string());
            return None;
        }
        let DeValue::String(text) = self.value.get_ref() else {
            self.wrong_type(Q::WANTED);
            return None;
        };
        match Q::from_text(text) {
            Ok(quantity) => return Some(quantity),
            Err(TextError::MissingUnit) => self.missing_unit::<Q>(text.trim()),
            Err(TextError::WrongUnit(unit)) => self.wrong_unit::<Q>(text, &unit),
            Err(TextError::NotANumber) => self.wrong_type(Q::WANTED),
            Err(TextError::OutOfRange) => self.out_of_range(Q::WANTED),
        }
        None
    }

    fn missing_unit<Q: FromText>(&mut self, number: &str) {
        let units = list(Q::UNITS.iter().copied());
        let unit = Q::UNITS.first().copied().unwrap_or("");
        let message = format!("`{}` has no unit", self.key);
        let remedy = format!("write \"{} {unit}\", or another of: {units}", shortened(number));
        let wanted = format!("wanted: {}", Q::WANTED);
        self.cx.wrong(code::MISSING_UNIT, self.span(), message, wanted, remedy);
    }

    fn wrong_unit<Q: FromText>(&mut self, text: &str, unit: &str) {
        let units = list(Q::UNITS.iter().copied());
        let message = format!("`{}` is in \"{}\"", self.key, shortened(unit));
        let remedy = match nearest(unit, Q::UNITS.iter().copied()).filter(|near| near.len() > 1) {
            Some(near) => format!("write \"{}\"", shortened(&text.replace(unit, near))),
            None => format!("units that are understood: {units}"),
        };
        let wanted = format!("wanted: {}", Q::WANTED);
        self.cx.wrong(code::WRONG_UNIT, self.span(), message, wanted, remedy);
    }

    /// A text of one line that is not empty.
    pub fn text(mut self) -> Option<String> {
        let DeValue::String(text) = self.value.get_ref() else {
            self.wrong_type("a text in \"quotes\"");
            return None;
        };
        let trimmed = text.trim();
        if trimmed.is_empty() {
            let message = format!("`{}` is empty", self.key);
            let wanted = "wanted: a text";
            self.cx.wrong(
                code::EMPTY,
                self.span(),
                message,
                wanted,
                "write a text between the quotes",
            );
            return None;
        }
        if trimmed.chars().any(unprintable) || trimmed.chars().count() > 200 {
            self.out_of_range("a text of one line and at most 200 characters");
            return None;
        }
        Some(trimmed.to_owned())
    }

    /// One of a few words.
    pub fn choice<T: Copy>(mut self, choices: &[(&str, T)]) -> Option<T> {
        let words = || choices.iter().map(|choice| choice.0);
        let DeValue::String(text) = self.value.get_ref() else {
            self.wrong_type(&format!("one of \"{}\"", words().collect::<Vec<_>>().join("\", \"")));
            return None;
        };
        let found = choices.iter().find(|choice| choice.0 == text.as_ref());
        if found.is_none() {
            self.unknown_value(text, words());
        }
        found.map(|choice| choice.1)
    }

    /// Notes a word that is not among the known ones.
    pub fn unknown_value<'k>(&mut self, found: &str, known: impl Iterator<Item = &'k str> + Clone) {
        let near = nearest(found, known.clone());
        let all = list(known);
        let (wanted, remedy) = match near {
            Some(near) => {
                (format!("did you mean \"{near}\"?"), format!("write \"{near}\"; known: {all}"))
            }
            None => ("not a known value".to_owned(), format!("write one of: {all}")),
        };
        let message = format!("`{}` is \"{}\"", self.key, shortened(found));
        self.cx.wrong(code::UNKNOWN_VALUE, self.span(), message, wanted, remedy);
    }

    /// `true` or `false`.
    pub fn flag(mut self) -> Option<bool> {
        let flag = self.value.get_ref().as_bool();
        if flag.is_none() {
            self.wrong_type("`true` or `false`");
        }
        flag
    }

    /// Whether it is a text.
    pub fn is_text(&self) -> bool {
        self.value.get_ref().is_str()
    }

    /// Whether it is a list.
    pub fn is_list(&self) -> bool {
        self.value.get_ref().is_array()
    }

    /// Whether it is a whole number.
    pub fn is_integer(&self) -> bool {
        self.value.get_ref().is_integer()
    }

    /// A list of `length` values of one kind; `None` as soon as one is wrong.
    pub fn list<T>(
        mut self,
        length: RangeInclusive<usize>,
        read: impl Fn(Value<'_, 't, 'd>) -> Option<T>,
    ) -> Option<Vec<Written<T>>> {
        let wanted = if length.start() == length.end() {
            format!("a list of {}", length.start())
        } else {
            format!("a list of {} to {}", length.start(), length.end())
        };
        let DeValue::Array(items) = self.value.get_ref() else {
            self.wrong_type(&wanted);
            return None;
        };
        if !length.contains(&items.len()) {
            self.wrong_type(&wanted);
            return None;
        }
        let mut values = Vec::with_capacity(items.len());
        let mut all_right = true;
        for (i, item) in items.iter().enumerate() {
            let path = format!("{}.{i}", self.path);
            let value = Value { cx: self.cx, value: item, path: &path, key: self.key };
            match read(value) {
                Some(value) => values.push(Written { value, span: item.span() }),
                None => all_right = false,
            }
        }
        all_right.then_some(values)
    }

    /// Exactly two values of one kind.
    pub fn pair<T: Copy>(self, read: impl Fn(Value<'_, 't, 'd>) -> Option<T>) -> Option<(T, T)> {
        let both = self.list(2..=2, read)?;
        Some((both.first()?.value, both.get(1)?.value))
    }
}

/// Control characters, and marks that turn the direction of writing: a name with one would look like
/// another.
fn unprintable(c: char) -> bool {
    c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}
