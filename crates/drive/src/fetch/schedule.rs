//! When to fetch again.

use std::time::Duration;

/// The first wait after a failure, and the longest.
const SOON: Duration = Duration::from_secs(5);
const LONGEST: Duration = Duration::from_secs(15 * 60);

/// How long to wait after each fetch.
#[derive(Debug)]
pub(super) struct Schedule {
    every: Duration,
    failures: u32,
}

impl Schedule {
    pub(super) fn new(every: Duration) -> Self {
        Self { every, failures: 0 }
    }

    /// The wait after a fetch that went well or not: after failures 5 s, and each time twice as long, up to a
    /// quarter of an hour.
    pub(super) fn after(&mut self, well: bool) -> Duration {
        if well {
            self.failures = 0;
            return self.every;
        }
        let wait = SOON.saturating_mul(1 << self.failures.min(20)).min(LONGEST);
        self.failures = self.failures.saturating_add(1);
        wait
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_fails_is_asked_less_and_less_often() {
        let mut schedule = Schedule::new(Duration::from_secs(60));
        let mut after = |well| schedule.after(well).as_secs();
        assert_eq!(after(true), 60);
        let waits: Vec<u64> = (0..10).map(|_| after(false)).collect();
        assert_eq!(waits, [5, 10, 20, 40, 80, 160, 320, 640, 900, 900]);
        for _ in 0..100 {
            assert_eq!(after(false), 900);
        }
        assert_eq!([after(true), after(false)], [60, 5]);
    }
}
