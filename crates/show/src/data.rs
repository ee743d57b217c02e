//! Words made of data: a text with places in it that are filled from a JSON document.
//!
//! A place is a JSON pointer (RFC 6901) in braces, such as `{/now/temperature}`; `{1:/now/temperature}` is
//! that number with one digit behind the point. Two braces stand for one.

use std::fmt;

use serde_json::Value;

/// The most letters that a text of data has; what is beyond is left out.
const MOST_LETTERS: usize = 500;

/// The most digits behind the point.
const MOST_DIGITS: usize = 9;

/// A text with places to fill.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Template(Vec<Piece>);

#[derive(Clone, Debug, PartialEq, Eq)]
enum Piece {
    Words(String),
    Place { pointer: Pointer, digits: Option<usize> },
}

/// A place in a JSON document (RFC 6901).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pointer(String);

/// Why data cannot be shown; each says what to do, in one line with no full stop.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum DataError {
    /// This is no pointer.
    Pointer(String),
    /// A brace that opens or closes nothing.
    Brace,
    /// Digits behind the point that are no number up to nine.
    Digits(String),
    /// A template without a place.
    NoPlace,
    /// The data are no JSON: why.
    NotJson(String),
    /// There is nothing at this place.
    Nothing(String),
    /// There is something else than a text, a number, true or false at this place.
    NotWords(String),
}

impl fmt::Display for DataError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Pointer(found) => write!(
                f,
                "{found:?} is no JSON pointer; write the names on the way to a value, each after a slash, such as \
                 /now/temperature"
            ),
            Self::Brace => f.write_str(
                "a brace stands alone; write a place as {/now/temperature}, and two braces for one that is read",
            ),
            Self::Digits(found) => {
                write!(f, "{found:?} is no number of digits; write such as {{1:/now/temperature}}, up to 9")
            }
            Self::NoPlace => f.write_str("the text has no place for data; write one as {/now/temperature}"),
            Self::NotJson(why) => write!(f, "the data are no JSON: {why}"),
            Self::Nothing(place) => write!(f, "the data have nothing at {place}"),
            Self::NotWords(place) => {
                write!(f, "what the data have at {place} is no text and no number")
            }
        }
    }
}

impl std::error::Error for DataError {}

impl Pointer {
    /// Reads a pointer: nothing, or names each after a slash, `~1` for a slash within one and `~0` for `~`.
    ///
    /// # Errors
    /// [`DataError::Pointer`].
    pub fn new(text: &str) -> Result<Self, DataError> {
        let escaped = text.split('~').skip(1).all(|rest| rest.starts_with(['0', '1']));
        if !(text.is_empty() || text.starts_with('/')) || !escaped {
            return Err(DataError::Pointer(text.chars().take(60).collect()));
        }
        Ok(Self(text.to_owned()))
    }

    /// The words at this place of a JSON document.
    ///
    /// # Errors
    /// [`DataError`] where the bytes are no JSON, or have nothing there that could be read.
    pub fn words(&self, json: &[u8]) -> Result<String, DataError> {
        self.of(&parsed(json)?, None)
    }

    fn of(&self, document: &Value, digits: Option<usize>) -> Result<String, DataError> {
        match (document.pointer(&self.0), digits) {
            (Some(Value::String(text)), _) => Ok(text.clone()),
            (Some(Value::Number(number)), Some(digits)) => Ok(number
                .as_f64()
                .map_or_else(|| number.to_string(), |number| rounded(number, digits))),
            (Some(Value::Number(number)), None) => Ok(number.to_string()),
            (Some(Value::Bool(is)), _) => Ok(is.to_string()),
            (None | Some(Value::Null), _) => Err(DataError::Nothing(self.told())),
            (Some(Value::Array(_) | Value::Object(_)), _) => Err(DataError::NotWords(self.told())),
        }
    }

    fn told(&self) -> String {
        if self.0.is_empty() { "their root".into() } else { self.0.chars().take(60).collect() }
    }
}

/// So many digits behind the point; what rounds to nothing has no sign.
fn rounded(number: f64, digits: usize) -> String {
    let text = format!("{number:.digits$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        _ => text,
    }
}

fn parsed(json: &[u8]) -> Result<Value, DataError> {
    serde_json::from_slice(json).map_err(|error| DataError::NotJson(error.to_string()))
}

impl Template {
    /// Reads a text with places.
    ///
    /// # Errors
    /// [`DataError`] where a brace stands alone, a pointer is none, or there is no place at all.
    pub fn new(text: &str) -> Result<Self, DataError> {
        let (mut pieces, mut words, mut rest) = (Vec::new(), String::new(), text);
        while let Some(at) = rest.find(['{', '}']) {
            let (before, from) = rest.split_at_checked(at).ok_or(DataError::Brace)?;
            words.push_str(before);
            if let Some(after) = from.strip_prefix("{{").or_else(|| from.strip_prefix("}}")) {
                words.push_str(from.get(..1).unwrap_or_default());
                rest = after;
                continue;
            }
            let inner = from.strip_prefix('{').and_then(|inner| inner.split_once('}'));
            let (place, after) = inner.ok_or(DataError::Brace)?;
            pieces.extend([Piece::Words(std::mem::take(&mut words)), Self::place(place)?]);
            rest = after;
        }
        if pieces.is_empty() {
            return Err(DataError::NoPlace);
        }
        words.push_str(rest);
        pieces.push(Piece::Words(words));
        Ok(Self(pieces))
    }

    fn place(text: &str) -> Result<Piece, DataError> {
        // A pointer begins with a slash: what stands before a colon ahead of it are digits.
        let (digits, pointer) = match text.split_once(':') {
            Some((digits, pointer)) if !digits.contains('/') => {
                let number = digits.parse().ok().filter(|digits| *digits <= MOST_DIGITS);
                (
                    Some(
                        number
                            .ok_or_else(|| DataError::Digits(digits.chars().take(20).collect()))?,
                    ),
                    pointer,
                )
            }
            _ => (None, text),
        };
        Ok(Piece::Place { pointer: Pointer::new(pointer)?, digits })
    }

    /// The text with every place filled from a JSON document. Line ends and other controls of the data come
    /// as spaces.
    ///
    /// # Errors
    /// [`DataError`] where the bytes are no JSON, or have nothing at a place that could be read.
    pub fn filled(&self, json: &[u8]) -> Result<String, DataError> {
        let document = parsed(json)?;
        let mut text = String::new();
        for piece in &self.0 {
            match piece {
                Piece::Words(words) => text.push_str(words),
                Piece::Place { pointer, digits } => {
                    let plain = |c: char| if c.is_control() { ' ' } else { c };
                    let words = pointer.of(&document, *digits)?;
                    text.extend(words.chars().take(MOST_LETTERS).map(plain));
                }
            }
        }
        Ok(text.chars().take(MOST_LETTERS).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filled(template: &str, json: &str) -> Result<String, DataError> {
        Template::new(template)?.filled(json.as_bytes())
    }

    /// The document and the pointers of RFC 6901, section 5, those that lead to a number or a text.
    #[test]
    fn the_examples_of_the_standard() {
        let document = r#"{ "foo": ["bar", "baz"], "": 0, "a/b": 1, "c%d": 2, "e^f": 3, "g|h": 4, "i\\j": 5,
            "k\"l": 6, " ": 7, "m~n": 8 }"#;
        for (pointer, value) in [
            ("/foo/0", "bar"),
            ("/", "0"),
            ("/a~1b", "1"),
            ("/c%d", "2"),
            ("/e^f", "3"),
            ("/g|h", "4"),
            ("/i\\j", "5"),
            ("/k\"l", "6"),
            ("/ ", "7"),
            ("/m~0n", "8"),
        ] {
            let words = Pointer::new(pointer).unwrap().words(document.as_bytes());
            assert_eq!(words.as_deref(), Ok(value), "{pointer}");
        }
        assert_eq!(Pointer::new("").unwrap().words(b"\"all\"").unwrap(), "all");
        for wrong in ["foo", "/a~2", "/a~", "~"] {
            assert!(matches!(Pointer::new(wrong), Err(DataError::Pointer(_))), "{wrong}");
        }
    }

    #[test]
    fn places_are_filled() {
        let json = r#"{"now": {"temperature": 17.25, "sky": "fog\nand rain", "dry": false, "none": null},
            "tides": [3.999, -0.04], "dc:title": "x"}"#;
        for (template, wanted) in [
            ("{/now/temperature} °C", "17.25 °C"),
            ("{0:/now/temperature}°, {/now/sky}", "17°, fog and rain"),
            ("{1:/tides/0} m / {1:/tides/1} m", "4.0 m / 0.0 m"),
            ("{{{/now/dry}}}", "{false}"),
            ("{/dc:title}{2:/now/sky}", "xfog and rain"),
        ] {
            assert_eq!(filled(template, json).as_deref(), Ok(wanted), "{template}");
        }
        for (template, wanted) in [
            ("{/now/wind}", DataError::Nothing("/now/wind".into())),
            ("{/now/none}", DataError::Nothing("/now/none".into())),
            ("{/tides/9}", DataError::Nothing("/tides/9".into())),
            ("{/now}", DataError::NotWords("/now".into())),
            ("{}", DataError::NotWords("their root".into())),
        ] {
            assert_eq!(filled(template, json), Err(wanted), "{template}");
        }
    }

    #[test]
    fn templates_that_are_none() {
        for (template, wanted) in [
            ("{/a", DataError::Brace),
            ("a } b {/c}", DataError::Brace),
            ("{a}", DataError::Pointer("a".into())),
            ("{x:/a}", DataError::Digits("x".into())),
            ("{10:/a}", DataError::Digits("10".into())),
            ("hello", DataError::NoPlace),
            ("", DataError::NoPlace),
            ("{{}}", DataError::NoPlace),
        ] {
            assert_eq!(Template::new(template), Err(wanted), "{template}");
        }
    }

    #[test]
    fn data_that_are_none() {
        for json in ["", "{", "[1,]", "\u{feff}{}", "{\"a\": 1} x", "<html>"] {
            assert!(matches!(filled("{/a}", json), Err(DataError::NotJson(_))), "{json}");
        }
        // Deep in itself, which could use up the stack.
        let deep = "[".repeat(1_000_000);
        assert!(matches!(filled("{/a}", &deep), Err(DataError::NotJson(_))));
        assert!(matches!(
            Template::new("{/a}").unwrap().filled(b"\"\xff\""),
            Err(DataError::NotJson(_))
        ));
        let long = format!("{{\"a\": \"{}\"}}", "x".repeat(100_000));
        assert_eq!(filled("{/a}{/a}", &long).unwrap().len(), MOST_LETTERS);
    }
}
