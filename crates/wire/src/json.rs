//! Just as much JSON as a receiver's status needs: the members of an object, without judging values that
//! nobody asks for. Bytes come from outside: nothing panics, and nesting has an end.

/// The deepest nesting that is read.
const DEEPEST: usize = 8;
/// The most members that are kept of one object.
const MOST: usize = 64;

/// The members of an object by name, each value as its text. `None`: this is no JSON object.
pub(crate) fn members(text: &str) -> Option<Vec<(String, &str)>> {
    let mut reader = Reader { text, at: 0 };
    let found = reader.object(0)?;
    reader.space();
    (reader.at == text.len()).then_some(found)
}

/// The value of a member.
pub(crate) fn value<'a>(members: &[(String, &'a str)], name: &str) -> Option<&'a str> {
    members.iter().find(|(known, _)| known == name).map(|(_, value)| *value)
}

/// A text value without its quotes and escapes.
pub(crate) fn unquoted(value: &str) -> Option<String> {
    let mut reader = Reader { text: value, at: 0 };
    let text = reader.string()?;
    (reader.at == value.len()).then_some(text)
}

/// Writes a text as JSON has it.
pub(crate) fn quote(text: &str, to: &mut impl std::fmt::Write) -> std::fmt::Result {
    to.write_char('"')?;
    for c in text.chars() {
        match c {
            '"' => to.write_str("\\\"")?,
            '\\' => to.write_str("\\\\")?,
            c if c < ' ' => write!(to, "\\u{:04x}", u32::from(c))?,
            c => to.write_char(c)?,
        }
    }
    to.write_char('"')
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Reader<'a> {
    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn space(&mut self) {
        while matches!(self.peek(), Some(b' ' | b'\t' | b'\n' | b'\r')) {
            self.at += 1;
        }
    }

    /// Takes this byte, with space before it.
    fn take(&mut self, byte: u8) -> Option<()> {
        self.space();
        (self.peek()? == byte).then(|| self.at += 1)
    }

    fn object(&mut self, depth: usize) -> Option<Vec<(String, &'a str)>> {
        let mut found = Vec::new();
        self.take(b'{')?;
        if self.take(b'}').is_some() {
            return Some(found);
        }
        loop {
            self.space();
            let name = self.string()?;
            self.take(b':')?;
            let value = self.value(depth + 1)?;
            if found.len() < MOST {
                found.push((name, value));
            }
            if self.take(b',').is_none() {
                return self.take(b'}').map(|()| found);
            }
        }
    }

    /// Passes by a value and gives its text.
    fn value(&mut self, depth: usize) -> Option<&'a str> {
        if depth > DEEPEST {
            return None;
        }
        self.space();
        let start = self.at;
        match self.peek()? {
            b'"' => self.string().map(drop)?,
            b'{' => self.object(depth).map(drop)?,
            b'[' => self.array(depth)?,
            _ => {
                let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"+-.".contains(&byte);
                while self.peek().is_some_and(plain) {
                    self.at += 1;
                }
            }
        }
        (self.at > start).then(|| &self.text[start..self.at])
    }

    fn array(&mut self, depth: usize) -> Option<()> {
        self.take(b'[')?;
        if self.take(b']').is_some() {
            return Some(());
        }
        loop {
            self.value(depth + 1)?;
            if self.take(b',').is_none() {
                return self.take(b']');
            }
        }
    }

    fn string(&mut self) -> Option<String> {
        (self.peek()? == b'"').then(|| self.at += 1)?;
        let mut text = String::new();
        let mut chars = self.text[self.at..].char_indices();
        while let Some((at, c)) = chars.next() {
            match c {
                '"' => {
                    self.at += at + 1;
                    return Some(text);
                }
                '\\' => text.push(match chars.next()?.1 {
                    'n' => '\n',
                    't' => '\t',
                    'r' => '\r',
                    'b' => '\u{8}',
                    'f' => '\u{c}',
                    'u' => {
                        let mut code = 0;
                        for _ in 0..4 {
                            code = code * 16 + chars.next()?.1.to_digit(16)?;
                        }
                        // Half of a pair stands for nothing by itself.
                        char::from_u32(code).unwrap_or(char::REPLACEMENT_CHARACTER)
                    }
                    c @ ('"' | '\\' | '/') => c,
                    _ => return None,
                }),
                c if c < ' ' => return None,
                c => text.push(c),
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn members_are_found_and_the_rest_is_passed_by() {
        let text =
            " { \"a\" : -1.5e3, \"b\":{\"c\":[1,{\"d\":null},[]]}, \"e\\u0041\":\"x \\\"y\\\\\" } ";
        let found = members(text).unwrap();
        assert_eq!(value(&found, "a"), Some("-1.5e3"));
        assert_eq!(value(&found, "b"), Some("{\"c\":[1,{\"d\":null},[]]}"));
        assert_eq!(unquoted(value(&found, "eA").unwrap()).unwrap(), "x \"y\\");
        assert_eq!(members("{}"), Some(vec![]));
    }

    #[test]
    fn what_is_no_object_is_refused() {
        for wrong in [
            "",
            "1",
            "[]",
            "{",
            "{\"a\"}",
            "{\"a\":}",
            "{\"a\":1,}",
            "{\"a\":1}x",
            "{\"a\":\"\n\"}",
            "{\"a\":\"\\q\"}",
            "{\"a\":\"\\u12\"}",
            "{a:1}",
        ] {
            assert_eq!(members(wrong), None, "{wrong}");
        }
        let deep = |n: usize| format!("{{\"a\":{}1{}}}", "[".repeat(n), "]".repeat(n));
        assert!(members(&deep(DEEPEST - 1)).is_some() && members(&deep(DEEPEST)).is_none());
    }

    proptest! {
        #[test]
        fn any_text_comes_back(text in any::<String>()) {
            let mut quoted = String::new();
            quote(&text, &mut quoted).unwrap();
            prop_assert_eq!(unquoted(&quoted), Some(text));
        }

        #[test]
        fn nothing_panics(text in "[\\[\\]{}\":,\\\\u0aé ]{0,40}") {
            let _ = members(&text);
        }
    }
}
