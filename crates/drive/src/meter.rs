//! How often frames really leave.

use std::time::Duration;

use crate::FramesPerSecond;

/// The shortest time to judge by.
const WINDOW: Duration = Duration::from_secs(1);

/// Counts frames and gives their rate about once a second. Knows no clock: the time is a value.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Meter {
    since: Option<Duration>,
    frames: u32,
}

impl Meter {
    pub const fn new() -> Self {
        Self { since: None, frames: 0 }
    }

    /// Counts a frame that left at `now`.
    pub fn count(&mut self, now: Duration) -> Option<FramesPerSecond> {
        let Some(since) = self.since else {
            self.since = Some(now);
            return None;
        };
        self.frames += 1;
        let time = now.saturating_sub(since);
        if time < WINDOW {
            return None;
        }
        let rate = FramesPerSecond(f64::from(self.frames) / time.as_secs_f64());
        *self = Self { since: Some(now), frames: 0 };
        Some(rate)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rate_is_frames_over_time() {
        let mut meter = Meter::new();
        let rates: Vec<_> =
            (0..=50).filter_map(|nth| meter.count(Duration::from_millis(40 * nth))).collect();
        assert_eq!(rates, [FramesPerSecond(25.0); 2]);
        // After a stall of four seconds: one frame in four seconds.
        assert_eq!(meter.count(Duration::from_secs(6)), Some(FramesPerSecond(0.25)));
    }
}
