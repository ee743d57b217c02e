//! The name of a sender, for people.

use std::fmt;

/// Bytes of the field, the closing NUL included (E1.31-2018, Table 4-1).
const FIELD: usize = 64;

/// The name of a sender, for people: at most 63 bytes of UTF-8, then NUL to the end of the field.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct SourceName([u8; FIELD]);

impl SourceName {
    /// A name, cut to 63 bytes on a character boundary, and at the first NUL.
    #[must_use]
    pub fn new(text: &str) -> Self {
        Self::padded(text.split('\0').next().unwrap_or_default())
    }

    /// From the field of a packet, as far as it is UTF-8 and before its first NUL. A receiver shows
    /// the name and decides nothing by it, so a bad one is shortened, not refused.
    #[must_use]
    pub fn from_field(field: &[u8; FIELD]) -> Self {
        let end = field.iter().position(|&byte| byte == 0).unwrap_or(FIELD);
        let text = &field[..end];
        let valid = std::str::from_utf8(text).map_or_else(|error| error.valid_up_to(), str::len);
        Self::padded(std::str::from_utf8(&text[..valid]).unwrap_or_default())
    }

    fn padded(text: &str) -> Self {
        let mut end = text.len().min(FIELD - 1);
        while !text.is_char_boundary(end) {
            end -= 1;
        }
        let mut field = [0; FIELD];
        field[..end].copy_from_slice(&text.as_bytes()[..end]);
        Self(field)
    }

    /// The field as it stands in a packet.
    #[must_use]
    pub const fn as_field(&self) -> &[u8; FIELD] {
        &self.0
    }

    /// The name without its padding.
    #[must_use]
    pub fn as_str(&self) -> &str {
        let end = self.0.iter().position(|&byte| byte == 0).unwrap_or(FIELD);
        std::str::from_utf8(&self.0[..end]).unwrap_or_default()
    }
}

impl From<&str> for SourceName {
    fn from(text: &str) -> Self {
        Self::new(text)
    }
}

impl fmt::Display for SourceName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.as_str().fmt(f)
    }
}

impl fmt::Debug for SourceName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.as_str().fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn is_padded_with_nul() {
        let name = SourceName::new("Glowloom");
        assert_eq!(&name.as_field()[..8], b"Glowloom");
        assert_eq!(name.as_field()[8..], [0; 56]);
        assert_eq!(name.as_str(), "Glowloom");
    }

    #[test]
    fn is_cut_on_a_character_boundary() {
        let exact = "é".repeat(31) + "x";
        assert_eq!(exact.len(), 63);
        assert_eq!(SourceName::new(&exact).as_str(), exact);
        let cut = SourceName::new(&"é".repeat(32));
        assert_eq!(cut.as_str(), "é".repeat(31));
        assert_eq!(cut.as_field()[62..], [0, 0]);
        assert_eq!(SourceName::new("a\0b").as_str(), "a");
    }

    #[test]
    fn a_bad_field_keeps_its_good_beginning() {
        let mut field = [b'a'; 64];
        assert_eq!(SourceName::from_field(&field).as_str(), "a".repeat(63));
        field[3] = 0xff;
        assert_eq!(SourceName::from_field(&field).as_str(), "aaa");
        // The first half of a two-byte character, then NUL.
        field[..3].copy_from_slice(&[b'a', 0xc3, 0]);
        assert_eq!(SourceName::from_field(&field).as_str(), "a");
    }

    proptest! {
        #[test]
        fn any_text_fits_and_comes_back(text in "\\PC{0,80}") {
            let name = SourceName::new(&text);
            prop_assert!(text.starts_with(name.as_str()));
            prop_assert!(name.as_str().len() == text.len() || name.as_str().len() >= 60);
            prop_assert_eq!(name.as_field()[63], 0);
            prop_assert_eq!(SourceName::from_field(name.as_field()), name);
        }

        #[test]
        fn any_field_gives_a_name(bytes in prop::collection::vec(any::<u8>(), 64)) {
            let name = SourceName::from_field(bytes[..].try_into().unwrap());
            prop_assert!(bytes.starts_with(name.as_str().as_bytes()));
            prop_assert!(name.as_str().len() <= 63);
        }
    }
}
