//! Which packet is newer, and how many are missing between.

/// Whether a packet numbered `new` is taken after one numbered `last`.
///
/// E1.31-2018, 6.7.2: with the difference `new - last` as a signed 8-bit number, a packet is thrown
/// away when -20 < difference <= 0. Anything further back counts as a sender that started anew.
#[must_use]
pub const fn sequence_accepts(last: u8, new: u8) -> bool {
    let difference = new.wrapping_sub(last).cast_signed();
    !(-20 < difference && difference <= 0)
}

/// What a packet's number says about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arrival {
    /// The first packet seen: nothing to compare with.
    First,
    /// Newer than the last one taken.
    Next {
        /// How many numbers were left out between the two, 0 to 126.
        missed: u8,
    },
    /// So far back that the sender must have started anew; what was missed is not known.
    Restarted,
    /// Late or repeated: to be thrown away.
    Discarded,
}

/// The numbers of one universe from one sender, or of one synchronization address.
///
/// A packet that is overtaken counts as missed when the newer one arrives, and is then
/// [`Arrival::Discarded`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sequence {
    last: Option<u8>,
}

impl Sequence {
    /// Takes note of a packet's number.
    pub fn step(&mut self, new: u8) -> Arrival {
        let Some(last) = self.last else {
            self.last = Some(new);
            return Arrival::First;
        };
        if !sequence_accepts(last, new) {
            return Arrival::Discarded;
        }
        self.last = Some(new);
        let ahead = new.wrapping_sub(last);
        if ahead < 128 { Arrival::Next { missed: ahead - 1 } } else { Arrival::Restarted }
    }

    /// The number of the last packet taken.
    #[must_use]
    pub const fn last(self) -> Option<u8> {
        self.last
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand from the rule of E1.31-2018, 6.7.2.
    const CASES: [(u8, u8, bool); 10] = [
        (10, 10, false),
        (10, 11, true),
        (10, 9, false),
        (10, 247, false),
        (10, 246, true),
        (255, 0, true),
        (0, 255, false),
        (0, 237, false),
        (0, 236, true),
        (100, 228, true),
    ];

    #[test]
    fn late_packets_are_thrown_away() {
        for (last, new, wanted) in CASES {
            assert_eq!(sequence_accepts(last, new), wanted, "{new} after {last}");
            let mut sequence = Sequence { last: Some(last) };
            let taken = sequence.step(new) != Arrival::Discarded;
            assert_eq!(taken, wanted, "{new} after {last}");
            assert_eq!(sequence.last(), Some(if wanted { new } else { last }));
        }
    }

    #[test]
    fn twenty_numbers_of_256_are_refused() {
        for last in 0..=u8::MAX {
            let refused = (0..=u8::MAX).filter(|&new| !sequence_accepts(last, new)).count();
            assert_eq!(refused, 20);
        }
    }

    #[test]
    fn what_is_missing_is_counted() {
        let mut sequence = Sequence::default();
        let arrivals = [253, 254, 1, 0, 1, 2, 129, 1].map(|new| sequence.step(new));
        let next = |missed| Arrival::Next { missed };
        let late = Arrival::Discarded;
        let restarted = Arrival::Restarted;
        let wanted = [Arrival::First, next(0), next(2), late, late, next(0), next(126), restarted];
        assert_eq!(arrivals, wanted);
    }
}
