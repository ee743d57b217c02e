//! Which sender wins where two send the same universe.

use super::Error;

/// Which sender wins where two send the same universe: 0 to 200, 100 unless set (Table 4-1, as two
/// implementations' documents give it).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Priority(u8);

impl Priority {
    /// The highest priority.
    pub const HIGHEST: Self = Self(200);

    /// A priority by its number.
    ///
    /// # Errors
    /// [`Error::Priority`] above 200.
    pub const fn new(number: u8) -> Result<Self, Error> {
        if number <= Self::HIGHEST.0 { Ok(Self(number)) } else { Err(Error::Priority(number)) }
    }

    /// Its number, 0 to 200.
    #[must_use]
    pub const fn get(self) -> u8 {
        self.0
    }
}

impl Default for Priority {
    fn default() -> Self {
        Self(100)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn priorities_end_at_200() {
        for number in 0..=u8::MAX {
            let wanted = if number > 200 { Err(Error::Priority(number)) } else { Ok(number) };
            assert_eq!(Priority::new(number).map(Priority::get), wanted);
        }
        assert_eq!(Priority::default().get(), 100);
    }
}
