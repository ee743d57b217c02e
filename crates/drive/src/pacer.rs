//! When to send: deadlines counted from the start of the show, never from the frame before.

use std::time::Duration;

use crate::DriveError;

/// How often something happens.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct FramesPerSecond(pub f64);

impl std::fmt::Display for FramesPerSecond {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:.1} frames/s", self.0)
    }
}

/// A rate to send at: 1 to 1,000 frames a second, in whole millionths of a frame a second.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rate {
    micro: u64,
}

/// Nanoseconds in a second, times millionths in one.
const SCALE: u128 = 1_000_000_000 * 1_000_000;

impl Rate {
    /// The lowest rate.
    pub const LOWEST: FramesPerSecond = FramesPerSecond(1.0);
    /// The highest rate.
    pub const HIGHEST: FramesPerSecond = FramesPerSecond(1000.0);

    /// A rate to send at.
    ///
    /// # Errors
    /// [`DriveError::Rate`] outside 1 to 1,000.
    pub fn new(rate: FramesPerSecond) -> Result<Self, DriveError> {
        if !(Self::LOWEST.0..=Self::HIGHEST.0).contains(&rate.0) {
            return Err(DriveError::Rate(rate));
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most 1e9")]
        Ok(Self { micro: (rate.0 * 1e6).round() as u64 })
    }

    /// The rate as a number.
    #[must_use]
    pub fn get(self) -> FramesPerSecond {
        #[expect(clippy::cast_precision_loss, reason = "at most 1e9")]
        FramesPerSecond(self.micro as f64 / 1e6)
    }

    /// From one frame to the next, to the nanosecond.
    #[must_use]
    pub fn period(self) -> Duration {
        self.time_of(1)
    }

    /// When a tick is due, counted from the start: the tick over the rate, rounded up to the next
    /// nanosecond. Every tick is counted anew from 0, so nothing adds up.
    #[must_use]
    pub fn time_of(self, tick: u64) -> Duration {
        from_nanos((u128::from(tick) * SCALE).div_ceil(u128::from(self.micro)))
    }

    /// The last tick that is due at this time after the start.
    #[must_use]
    pub fn tick_at(self, since_start: Duration) -> u64 {
        let ticks = since_start.as_nanos().saturating_mul(u128::from(self.micro)) / SCALE;
        u64::try_from(ticks).unwrap_or(u64::MAX)
    }
}

fn from_nanos(nanos: u128) -> Duration {
    let seconds = u64::try_from(nanos / 1_000_000_000).unwrap_or(u64::MAX);
    Duration::new(seconds, (nanos % 1_000_000_000) as u32)
}

/// A rate that may change while ticks are counted on: it holds from one tick on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tempo {
    rate: Rate,
    first: u64,
    from: Duration,
}

impl Tempo {
    /// One rate from the start.
    #[must_use]
    pub const fn new(rate: Rate) -> Self {
        Self { rate, first: 0, from: Duration::ZERO }
    }

    /// Another rate from this tick on, which stays where it is in time.
    #[must_use]
    pub fn changed(self, tick: u64, rate: Rate) -> Self {
        Self { rate, first: tick, from: self.time_of(tick) }
    }

    /// The rate.
    #[must_use]
    pub const fn rate(self) -> Rate {
        self.rate
    }

    /// When a tick is due; those before the rate's first are due with it.
    #[must_use]
    pub fn time_of(self, tick: u64) -> Duration {
        self.from.saturating_add(self.rate.time_of(tick.saturating_sub(self.first)))
    }

    /// The last tick that is due.
    fn tick_at(self, since_start: Duration) -> u64 {
        match since_start.checked_sub(self.from) {
            Some(since) => self.first.saturating_add(self.rate.tick_at(since)),
            None => self.first.saturating_sub(1),
        }
    }
}

/// What to do now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Nothing is due: ask again after this long.
    Wait(Duration),
    /// Send this tick's frame.
    Send {
        /// The tick, counted from 0.
        tick: u64,
        /// Ticks before it that went by unsent; they are not made up for.
        skipped: u64,
    },
}

/// Paces one show. Knows no clock: the time is a value.
///
/// Each tick is sent at most once, and after a stall only the latest one: missed ticks are skipped
/// and counted, never sent in a burst.
#[derive(Clone, Copy, Debug)]
pub struct Pacer {
    tempo: Tempo,
    next: u64,
}

impl Pacer {
    /// A pacer whose first tick is due at the start.
    #[must_use]
    pub const fn new(rate: Rate) -> Self {
        Self { tempo: Tempo::new(rate), next: 0 }
    }

    /// Another rate from the next tick on. Gives what holds now.
    pub fn change(&mut self, rate: Rate) -> Tempo {
        self.tempo = self.tempo.changed(self.next, rate);
        self.tempo
    }

    /// What to do at this time after the start. A clock that steps back only makes it wait.
    pub fn step(&mut self, since_start: Duration) -> Step {
        let due = self.tempo.tick_at(since_start);
        if due < self.next {
            return Step::Wait(self.tempo.time_of(self.next).saturating_sub(since_start));
        }
        let skipped = due - self.next;
        self.next = due.saturating_add(1);
        Step::Send { tick: due, skipped }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rate(rate: f64) -> Rate {
        Rate::new(FramesPerSecond(rate)).unwrap()
    }

    const NANO: Duration = Duration::from_nanos(1);

    #[test]
    fn rates_outside_one_to_a_thousand_are_refused() {
        for wrong in [0.0, 0.999, 1000.001, -30.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(Rate::new(FramesPerSecond(wrong)), Err(DriveError::Rate(_))));
        }
        assert_eq!(rate(59.94).get(), FramesPerSecond(59.94));
        assert_eq!(rate(1000.0).period(), Duration::from_millis(1));
        assert_eq!(rate(30.0).period(), Duration::from_nanos(33_333_334));
    }

    #[test]
    fn waits_until_the_tick_and_no_longer() {
        let mut pacer = Pacer::new(rate(4.0));
        let quarter = Duration::from_millis(250);
        assert_eq!(pacer.step(Duration::ZERO), Step::Send { tick: 0, skipped: 0 });
        assert_eq!(pacer.step(Duration::ZERO), Step::Wait(quarter));
        assert_eq!(pacer.step(quarter - NANO), Step::Wait(NANO));
        assert_eq!(pacer.step(quarter), Step::Send { tick: 1, skipped: 0 });
        // Late by a tenth of a second; the next one is on time all the same.
        assert_eq!(pacer.step(quarter * 2 + quarter / 5), Step::Send { tick: 2, skipped: 0 });
        assert_eq!(pacer.step(quarter * 2 + quarter / 5), Step::Wait(quarter * 4 / 5));
    }

    #[test]
    fn a_stall_is_skipped_and_counted() {
        let mut pacer = Pacer::new(rate(100.0));
        assert_eq!(pacer.step(Duration::ZERO), Step::Send { tick: 0, skipped: 0 });
        let late = Duration::from_millis(1234);
        assert_eq!(pacer.step(late), Step::Send { tick: 123, skipped: 122 });
        assert_eq!(pacer.step(late), Step::Wait(Duration::from_millis(6)));
    }

    #[test]
    fn a_clock_that_steps_back_repeats_nothing() {
        let mut pacer = Pacer::new(rate(10.0));
        assert_eq!(pacer.step(Duration::from_secs(9)), Step::Send { tick: 90, skipped: 90 });
        assert_eq!(pacer.step(Duration::from_secs(8)), Step::Wait(Duration::from_millis(1100)));
        let next = Duration::from_millis(9100);
        assert_eq!(pacer.step(next), Step::Send { tick: 91, skipped: 0 });
    }

    /// Sixty days at 59.94 frames a second: every deadline within a nanosecond of n / rate.
    #[test]
    fn weeks_do_not_drift() {
        let ticks: u64 = 60 * 86_400 * 5994 / 100;
        let rate = rate(59.94);
        assert_eq!(rate.time_of(ticks), Duration::from_secs(60 * 86_400));
        assert_eq!(rate.tick_at(Duration::from_secs(60 * 86_400)), ticks);
        assert_eq!(rate.tick_at(Duration::from_secs(60 * 86_400) - NANO), ticks - 1);
        let seconds = u128::from(u64::MAX) * 100 / 5994;
        assert_eq!(u128::from(rate.time_of(u64::MAX).as_secs()), seconds);
    }

    /// Worked by hand: ten a second, from the fifth tick on four a second, then twenty.
    #[test]
    fn another_rate_goes_on_from_the_next_tick() {
        let mut pacer = Pacer::new(rate(10.0));
        let millis = Duration::from_millis;
        assert_eq!(pacer.step(millis(410)), Step::Send { tick: 4, skipped: 4 });
        let tempo = pacer.change(rate(4.0));
        assert_eq!((tempo.time_of(5), tempo.time_of(6)), (millis(500), millis(750)));
        // A tick that was drawn before is not shown before its time.
        assert_eq!(tempo.time_of(3), millis(500));
        assert_eq!(pacer.step(millis(410)), Step::Wait(millis(90)));
        assert_eq!(pacer.step(millis(760)), Step::Send { tick: 6, skipped: 1 });
        pacer.change(rate(20.0));
        assert_eq!(pacer.step(millis(999)), Step::Wait(NANO * 1_000_000));
        assert_eq!(pacer.step(millis(1000)), Step::Send { tick: 7, skipped: 0 });
        assert_eq!(pacer.step(millis(1050)), Step::Send { tick: 8, skipped: 0 });
    }

    #[test]
    fn the_end_of_time_is_no_trap() {
        let mut pacer = Pacer::new(rate(1000.0));
        assert!(matches!(pacer.step(Duration::MAX), Step::Send { tick: u64::MAX, .. }));
        // The last tick again, rather than an overflow.
        assert!(matches!(pacer.step(Duration::MAX), Step::Send { tick: u64::MAX, skipped: 0 }));
    }

    proptest! {
        #[test]
        fn ticks_and_times_agree(micro in 1_000_000..=1_000_000_000u64, tick in 0..1u64 << 40) {
            let rate = Rate { micro };
            let time = rate.time_of(tick);
            prop_assert_eq!(rate.tick_at(time), tick);
            prop_assert!(tick == 0 || rate.tick_at(time - NANO) < tick);
        }

        /// Whatever the clock does, ticks rise, each is sent once, and sent plus skipped are all.
        #[test]
        fn ticks_only_rise(
            fps in 1.0..1000.0f64,
            times in prop::collection::vec(0..10_000_000_000u64, 1..200),
        ) {
            let rate = rate(fps);
            let mut pacer = Pacer::new(rate);
            let (mut last, mut counted) = (None, 0);
            for now in times.into_iter().map(Duration::from_nanos) {
                match pacer.step(now) {
                    Step::Wait(wait) => {
                        prop_assert!(wait > Duration::ZERO);
                        prop_assert_eq!(rate.tick_at(now + wait), last.map_or(0, |tick: u64| tick + 1));
                    }
                    Step::Send { tick, skipped } => {
                        prop_assert!(last.is_none_or(|last| tick > last));
                        prop_assert_eq!(tick, rate.tick_at(now));
                        counted += skipped + 1;
                        prop_assert_eq!(counted, tick + 1);
                        last = Some(tick);
                    }
                }
            }
        }
    }
}
