//! How lengths of time are spread, in room that is always the same.

use std::time::Duration;

/// Boxes to a doubling: a figure is told to within an eighth.
const PER_DOUBLING: u32 = 8;
/// From 1 us up; what is longer than 2^32 us, over an hour, falls into the last box.
const BOXES: usize = 33 * PER_DOUBLING as usize;

/// Counts lengths of time by size. Adding takes no memory.
#[derive(Clone, PartialEq, Eq)]
pub struct Spread {
    boxes: [u64; BOXES],
    count: u64,
    most: Duration,
}

impl Default for Spread {
    fn default() -> Self {
        Self { boxes: [0; BOXES], count: 0, most: Duration::ZERO }
    }
}

impl Spread {
    /// Counts one.
    pub fn add(&mut self, length: Duration) {
        let micros = u64::try_from(length.as_micros()).unwrap_or(u64::MAX);
        self.boxes[place(micros)] += 1;
        self.count += 1;
        self.most = self.most.max(length);
    }

    /// How many were counted.
    #[must_use]
    pub const fn count(&self) -> u64 {
        self.count
    }

    /// The longest.
    #[must_use]
    pub const fn most(&self) -> Duration {
        self.most
    }

    /// A length that this share of all, 0 to 1, does not pass: at most an eighth too long. Zero of none.
    #[must_use]
    pub fn share(&self, share: f64) -> Duration {
        #[expect(clippy::cast_precision_loss, reason = "counts are far below 2^53")]
        let wanted = share.clamp(0.0, 1.0) * self.count as f64;
        let mut passed = 0;
        for (place, count) in self.boxes.iter().enumerate() {
            passed += count;
            #[expect(clippy::cast_precision_loss, reason = "counts are far below 2^53")]
            if *count > 0 && passed as f64 >= wanted {
                return end_of(place).min(self.most);
            }
        }
        self.most
    }
}

/// The box of a length: the position of its highest bit, and the three bits after it.
fn place(micros: u64) -> usize {
    let micros = micros.max(1);
    let doubling = micros.ilog2();
    let eighth =
        if doubling >= 3 { micros >> (doubling - 3) } else { micros << (3 - doubling) } & 7;
    ((doubling * PER_DOUBLING) as usize + eighth as usize).min(BOXES - 1)
}

/// Where a box ends.
fn end_of(place: usize) -> Duration {
    let (doubling, eighth) = (place as u64 / 8, place as u64 % 8);
    // 2^doubling * (1 + (eighth + 1) / 8), rounded up.
    Duration::from_micros(((9 + eighth) << doubling).div_ceil(8))
}

impl std::fmt::Debug for Spread {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (half, most) = (self.share(0.5), self.share(0.99));
        write!(f, "Spread({} of {half:?}, 99 % below {most:?})", self.count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn shares_are_those_of_the_sorted_lengths() {
        let mut spread = Spread::default();
        assert_eq!(spread.share(0.99), Duration::ZERO);
        (1..=1000).for_each(|n| spread.add(Duration::from_micros(n)));
        let micros = |share| spread.share(share).as_micros();
        assert!((500..=563).contains(&micros(0.5)), "{spread:?}");
        assert!((990..=1000).contains(&micros(0.99)), "{spread:?}");
        assert_eq!((micros(1.0), micros(0.0)), (1000, 2));
        assert_eq!((spread.count(), spread.most()), (1000, Duration::from_micros(1000)));
        spread.add(Duration::from_secs(1 << 40));
        assert_eq!(spread.count(), 1001);
    }

    proptest! {
        #[test]
        fn a_length_is_told_to_within_an_eighth(micros in 1..1u64 << 32) {
            let end = u64::try_from(end_of(place(micros)).as_micros()).unwrap();
            prop_assert!(end >= micros && end <= micros + micros / 8 + 1, "{} {}", micros, end);
        }
    }
}
