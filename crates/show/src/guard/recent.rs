//! How many changes there have been lately.

use std::time::Duration;

/// Three flashes are six changes; one more of them may still lie in the same second when its pair
/// does not.
const KEPT: usize = 7;

const SECOND: Duration = Duration::from_secs(1);

/// How much short of a second the fourth rise (or fall) may come after the first: what a steady
/// three flashes a second need when frames are sent by a real clock.
const JITTER: Duration = Duration::from_millis(1);

/// The times of the last changes, each the opposite of the one before it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Recent {
    /// Oldest first; only the last `count` hold.
    times: [Duration; KEPT],
    count: usize,
}

impl Recent {
    /// Whether one more change may be shown `now`. The fourth rise, or fall, comes a second after
    /// the first, so that there are three of each in any second; and no eighth change, which would
    /// complete a fourth pair, lies within a second of the first.
    pub(super) fn allow(&self, now: Duration) -> bool {
        let since = |changes_ago: usize| {
            (self.count >= changes_ago).then(|| now.saturating_sub(self.times[KEPT - changes_ago]))
        };
        since(6).is_none_or(|gap| gap >= SECOND - JITTER) && since(7).is_none_or(|gap| gap > SECOND)
    }

    /// A change has been shown.
    pub(super) fn add(&mut self, now: Duration) {
        self.times.rotate_left(1);
        self.times[KEPT - 1] = now;
        self.count = (self.count + 1).min(KEPT);
    }

    /// The last change has gone on: what counts is when it ends.
    pub(super) fn extend(&mut self, now: Duration) {
        if self.count > 0 {
            self.times[KEPT - 1] = now;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after(changes: &[u64]) -> Recent {
        let mut recent = Recent::default();
        for &ms in changes {
            recent.add(Duration::from_millis(ms));
        }
        recent
    }

    #[test]
    fn the_fourth_rise_waits_for_a_second() {
        let recent = after(&[0, 10, 20, 30, 40, 50]);
        assert!(!recent.allow(Duration::from_millis(998)));
        assert!(recent.allow(Duration::from_millis(999)));
        assert!(after(&[0, 10, 20, 30, 40]).allow(Duration::from_millis(50)));
    }

    #[test]
    fn the_fourth_pair_is_never_within_a_second() {
        let recent = after(&[0, 1, 2, 3, 4, 5, 999]);
        assert!(!recent.allow(Duration::from_millis(1000)));
        assert!(recent.allow(Duration::from_millis(1001)));
    }

    #[test]
    fn a_change_counts_from_its_end() {
        let mut recent = Recent::default();
        recent.extend(Duration::from_secs(9));
        recent.add(Duration::from_millis(0));
        recent.extend(Duration::from_millis(500));
        for ms in [510, 520, 530, 540, 550] {
            recent.add(Duration::from_millis(ms));
        }
        assert!(!recent.allow(Duration::from_millis(1498)));
        assert!(recent.allow(Duration::from_millis(1499)));
    }
}
