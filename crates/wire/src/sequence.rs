//! Packet numbers that leave out 0, as Art-Net and DDP count.

/// A packet number, 1 to `LAST` and then 1 again; 0 where a sender does not count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sequence<const LAST: u8>(u8);

impl<const LAST: u8> Sequence<LAST> {
    /// The sender does not count: a receiver takes every packet.
    pub const UNUSED: Self = Self(0);
    /// The first number.
    pub const FIRST: Self = Self(1);

    /// A number from outside; `None` above the last.
    #[must_use]
    pub const fn new(number: u8) -> Option<Self> {
        if number <= LAST { Some(Self(number)) } else { None }
    }

    /// The number, 0 to `LAST`.
    #[must_use]
    pub const fn get(self) -> u8 {
        self.0
    }

    /// The next number; the first one after the last, and after [`Self::UNUSED`].
    #[must_use]
    pub const fn next(self) -> Self {
        if self.0 < LAST { Self(self.0 + 1) } else { Self::FIRST }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counting_never_comes_by_zero() {
        let mut number = Sequence::<15>::UNUSED;
        let counted: Vec<u8> = (0..31)
            .map(|_| {
                number = number.next();
                number.get()
            })
            .collect();
        let once: Vec<u8> = (1..=15).collect();
        assert_eq!(counted, [once.clone(), once, vec![1]].concat());
        assert_eq!(Sequence::<255>::new(255).map(Sequence::next), Some(Sequence::FIRST));
        assert_eq!(Sequence::<15>::new(16), None);
    }
}
