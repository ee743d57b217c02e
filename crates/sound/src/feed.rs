//! Where samples come from.

use std::time::Duration;

use crate::analyser::Rate;

/// What yields the samples of a mono sound, as time goes on.
pub trait Feed: Send {
    /// The samples a second that it yields.
    fn rate(&self) -> Rate;

    /// Appends what has sounded since the last call, until `at` this long after it began. Appends little:
    /// what is older than a second or so may be left out. Never waits.
    fn feed(&mut self, at: Duration, into: &mut Vec<f32>) -> Fed;
}

/// What a call of [`Feed::feed`] did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fed {
    /// All is well, whether there were samples or not.
    Well,
    /// Nothing more comes, or nothing for now: why, in one line with no full stop.
    Silent(String),
}

/// Which samples of a sound that goes on for ever are due: told times, it counts samples.
#[derive(Clone, Copy, Debug)]
pub struct Due {
    rate: Rate,
    given: u64,
}

/// The most samples that are due at once, in parts of a second: 1/4 s. After a longer pause, what lies
/// before is left out.
const MOST_AT_ONCE: u32 = 4;

impl Due {
    /// At the beginning of a sound.
    #[must_use]
    pub fn new(rate: Rate) -> Self {
        Self { rate, given: 0 }
    }

    /// How many samples are to be passed over, and how many then given, until `at`.
    pub fn until(&mut self, at: Duration) -> (u64, usize) {
        let rate = u128::from(self.rate.get());
        let due = at.as_nanos() * rate / Duration::from_secs(1).as_nanos();
        let due = u64::try_from(due).unwrap_or(u64::MAX).max(self.given);
        let missing = due - self.given;
        let most = u64::from(self.rate.get() / MOST_AT_ONCE);
        self.given = due;
        let now = missing.min(most);
        (missing - now, now as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn samples_are_due_as_time_goes_on() {
        let mut due = Due::new(Rate::new(48_000).unwrap());
        assert_eq!(due.until(Duration::ZERO), (0, 0));
        assert_eq!(due.until(Duration::from_millis(10)), (0, 480));
        assert_eq!(due.until(Duration::from_millis(10)), (0, 0));
        assert_eq!(due.until(Duration::from_millis(5)), (0, 0), "time that goes back gives none");
        assert_eq!(due.until(Duration::from_millis(1010)), (36_000, 12_000));
        // Thirds of a sample are not lost.
        let mut due = Due::new(Rate::new(44_100).unwrap());
        let all: usize = (0..=3000).map(|n| due.until(Duration::from_millis(n)).1).sum();
        assert_eq!(all, 132_300);
    }
}
