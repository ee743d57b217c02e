//! How far apart panels show their frames, by what their receivers answer.
//!
//! Each tells how long ago it showed its last frame. Answers come at different times and so are of different
//! frames; what can be compared is the place within a frame's period.

use std::time::Duration;

use crate::Told;

/// A receiver that has shown nothing for longer tells nothing of now.
const FRESH: Duration = Duration::from_secs(1);

/// How far apart panels show their frames.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InStep {
    /// From the first to the last panel.
    pub apart: Duration,
    /// By how much that may be wrong: half of the longest time from a question to its answer.
    pub doubt: Duration,
    /// How many panels told.
    pub panels: usize,
}

impl InStep {
    /// By these answers, at one frame in each `period`. `None` below two panels that tell.
    #[must_use]
    pub fn of<'a>(told: impl Iterator<Item = &'a Told>, period: Duration) -> Option<Self> {
        if period.is_zero() {
            return None;
        }
        let mut doubt = Duration::ZERO;
        let mut places: Vec<u128> = told
            .filter_map(|told| {
                let shown = Duration::from_micros(told.status.ago?);
                let way = told.round_trip / 2;
                (shown < FRESH).then(|| {
                    doubt = doubt.max(way);
                    (told.ago + way + shown).as_nanos() % period.as_nanos()
                })
            })
            .collect();
        places.sort_unstable();
        let (first, last) = (places.first().copied()?, places.last().copied()?);
        if places.len() < 2 {
            return None;
        }
        // On a circle: all but the widest gap.
        let between = places.windows(2).map(|pair| pair[1] - pair[0]);
        let widest = between.chain([first + period.as_nanos() - last]).max()?;
        let apart = u64::try_from(period.as_nanos() - widest).ok()?;
        Some(Self { apart: Duration::from_nanos(apart), doubt, panels: places.len() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_wire::status::Status;

    fn told(ago_ms: u64, round_trip_ms: u64, shown_us: u64) -> Told {
        Told {
            status: Status { ago: Some(shown_us), ..Status::default() },
            ago: Duration::from_millis(ago_ms),
            round_trip: Duration::from_millis(round_trip_ms),
        }
    }

    /// Worked by hand, at 20 ms to a frame: shown 333, 672 and 819.5 ms ago, which is 13, 12 and 19.5 ms into
    /// a frame.
    #[test]
    fn places_within_a_frame_are_compared() {
        let all = [told(320, 2, 12_000), told(660, 4, 10_000), told(810, 1, 9_000)];
        let period = Duration::from_millis(20);
        let step = InStep::of(all.iter(), period).unwrap();
        assert_eq!(step.apart, Duration::from_micros(7500));
        assert_eq!((step.doubt, step.panels), (Duration::from_millis(2), 3));
        // Across the end of a frame: 19.5 and 1 ms into it.
        let all = [told(810, 1, 9_000), told(100, 0, 1_000)];
        assert_eq!(InStep::of(all.iter(), period).unwrap().apart, Duration::from_micros(1500));
    }

    #[test]
    fn one_alone_or_a_dark_one_tells_nothing() {
        let period = Duration::from_millis(20);
        let dark = told(1, 0, 2_000_000);
        assert_eq!(InStep::of([told(1, 0, 5)].iter(), period), None);
        assert_eq!(InStep::of([told(1, 0, 5), dark].iter(), period), None);
        let silent = Told { status: Status::default(), ..told(1, 0, 5) };
        assert_eq!(InStep::of([told(1, 0, 5), silent].iter(), period), None);
        assert_eq!(InStep::of([told(1, 0, 5), told(1, 0, 5)].iter(), Duration::ZERO), None);
    }
}
