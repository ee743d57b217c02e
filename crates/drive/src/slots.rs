//! When within a frame which packets leave, where the air is slow: a burst would fill the access point's
//! queue, and what does not fit there is lost.

use std::time::Duration;

/// Packets of one panel that leave together.
pub(crate) const TOGETHER: usize = 4;

/// A wait shorter than this is not worth a system call (our own choice).
const LEAST: Duration = Duration::from_micros(200);

/// Slots of a frame, each for some packets of one panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Slots {
    /// Over how long they are spread.
    over: Duration,
    count: u32,
}

impl Slots {
    /// For panels of so many packets.
    pub fn new(over: Duration, packets: impl Iterator<Item = usize>) -> Self {
        let count: usize = packets.map(|packets| packets.div_ceil(TOGETHER).max(1)).sum();
        Self { over, count: u32::try_from(count.max(1)).unwrap_or(u32::MAX) }
    }

    /// How long to wait before a slot, counted from 0, so long after the frame began.
    pub fn wait(self, slot: u32, since: Duration) -> Option<Duration> {
        let due = self.over * slot.min(self.count) / self.count;
        due.checked_sub(since).filter(|wait| *wait >= LEAST)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: 1 + 3 + 1 slots over 10 ms.
    #[test]
    fn slots_are_even_and_late_ones_do_not_wait() {
        let millis = Duration::from_millis;
        let slots = Slots::new(millis(10), [4, 9, 0].into_iter());
        assert_eq!(slots.count, 5);
        let waits = [0, 1, 2, 4].map(|slot| slots.wait(slot, millis(1)));
        assert_eq!(waits, [None, Some(millis(1)), Some(millis(3)), Some(millis(7))]);
        assert_eq!(slots.wait(3, millis(6)), None);
        assert_eq!(slots.wait(3, Duration::from_micros(5900)), None);
        assert_eq!(slots.wait(99, Duration::ZERO), Some(millis(10)));
        assert_eq!(Slots::new(millis(10), std::iter::empty()).wait(0, Duration::ZERO), None);
    }
}
