//! Who sends.

use std::fmt;

/// The identity of a sender: a UUID that stays the same for all its packets (E1.31-2018, Table 4-1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Cid(pub [u8; 16]);

impl fmt::Display for Cid {
    /// As a UUID is written: 8, 4, 4, 4 and 12 hexadecimal digits.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, byte) in self.0.iter().enumerate() {
            let hyphen = if matches!(i, 4 | 6 | 8 | 10) { "-" } else { "" };
            write!(f, "{hyphen}{byte:02x}")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn is_written_as_a_uuid() {
        let cid = Cid(std::array::from_fn(|i| 0x10 + i as u8));
        assert_eq!(cid.to_string(), "10111213-1415-1617-1819-1a1b1c1d1e1f");
    }
}
