//! The names and reports in a reply: NUL-terminated text in a field of fixed size.

/// Text of at most `SIZE - 1` bytes, the rest of the field filled with NUL.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Text<const SIZE: usize>([u8; SIZE]);

impl<const SIZE: usize> Text<SIZE> {
    /// As much of the text as fits, cut between two characters, and at a NUL within it.
    #[must_use]
    pub fn new(text: &str) -> Self {
        let mut field = [0; SIZE];
        let whole = text.split('\0').next().unwrap_or_default();
        let fits = |end: &usize| *end < SIZE && whole.is_char_boundary(*end);
        let end = (0..=whole.len().min(SIZE)).rev().find(fits).unwrap_or(0);
        field[..end].copy_from_slice(&whole.as_bytes()[..end]);
        Self(field)
    }

    /// From a field as received: up to its first NUL, and no further than it is text.
    #[must_use]
    pub fn from_field(field: &[u8]) -> Self {
        let end = field.iter().position(|&byte| byte == 0).unwrap_or(field.len());
        let sound = match std::str::from_utf8(&field[..end]) {
            Ok(text) => text,
            Err(error) => std::str::from_utf8(&field[..error.valid_up_to()]).unwrap_or_default(),
        };
        Self::new(sound)
    }

    /// The text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        let end = self.0.iter().position(|&byte| byte == 0).unwrap_or(SIZE);
        std::str::from_utf8(&self.0[..end]).unwrap_or_default()
    }

    /// The whole field.
    #[must_use]
    pub const fn field(&self) -> &[u8; SIZE] {
        &self.0
    }
}

impl<const SIZE: usize> std::fmt::Debug for Text<SIZE> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.as_str().fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_cut_between_characters_and_ends_with_nul() {
        assert_eq!(Text::<4>::new("west").as_str(), "wes");
        assert_eq!(Text::<4>::new("we\u{df}t").as_str(), "we");
        assert_eq!(Text::<5>::new("we\u{df}t").as_str(), "we\u{df}");
        assert_eq!(Text::<6>::new("a\0b").field(), b"a\0\0\0\0\0");
        assert_eq!(Text::<1>::new("a").as_str(), "");
    }

    #[test]
    fn what_is_no_text_is_left_out() {
        assert_eq!(Text::<6>::from_field(b"ab\xff\xffcd").as_str(), "ab");
        assert_eq!(Text::<6>::from_field(b"ab\0cd\0").as_str(), "ab");
        assert_eq!(Text::<4>::from_field(b"abcd").as_str(), "abc");
    }
}
