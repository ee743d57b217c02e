//! The frame rate lowered before frames are lost in numbers, and raised again slowly, by what receivers
//! answer. Knows no clock: times are values.
//!
//! The steps and their times are our own choice: down fast, for a link that is full loses more than what
//! is too much; up slowly, for each trial that fails is seen.

use std::time::Duration;

use glowloom_wire::status::Status;

/// Of its packets, what a panel may lose or get too late before that counts as trouble.
const TOLERATED: f64 = 0.01;
/// Fewer packets than this tell nothing.
const LEAST: u64 = 2;
/// An answer that takes longer stood in a queue: the link is about to lose packets.
const QUEUED: Duration = Duration::from_millis(250);
/// Seconds of trouble in a row that count.
const IN_A_ROW: u32 = 2;
/// One step down.
const DOWN: f64 = 0.8;
/// One step up, of the rate that is wanted.
const UP: f64 = 0.05;
/// The lowest share of the rate that is wanted. Below, one panel with bad reception would spoil the picture of
/// all for little.
pub(crate) const LOWEST: f64 = 0.5;
/// How long after a step down the next may come: the link empties first.
const SETTLES: Duration = Duration::from_secs(3);
/// How long all must be well before a step up, at first and at most.
const PATIENCE: (Duration, Duration) = (Duration::from_secs(15), Duration::from_secs(240));
/// Trouble so soon after a step up means that it was too much.
const TRIAL: Duration = Duration::from_secs(20);

/// Why the rate was lowered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Strain {
    /// A panel loses this share of its packets, or gets them too late.
    Loses(f64),
    /// Answers of a panel take this long.
    Queues(Duration),
}

/// The rate is lower than wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Eased {
    /// Of the rate that is wanted, above 0 and below 1.
    pub share: f64,
    /// The place of the panel that was the reason last.
    pub panel: usize,
    /// What was wrong with it.
    pub strain: Strain,
}

/// What a panel had counted when it answered last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Counted {
    up: u64,
    shown: u64,
    missed: u64,
    lost: u64,
}

impl Counted {
    /// `None` where a receiver does not count.
    pub fn of(status: &Status) -> Option<Self> {
        let (lost, late) = (status.lost?, status.late.unwrap_or(0));
        let missed = lost.saturating_add(late);
        Some(Self { up: status.up?, shown: status.shown?, missed, lost })
    }
}

/// One panel at one moment.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Look {
    /// What it had counted; `None`: it has not answered lately.
    pub counted: Option<Counted>,
    /// From the question to the answer.
    pub round_trip: Duration,
    /// Packets of a frame.
    pub packets: usize,
}

/// Decides about the rate, once a second.
#[derive(Debug)]
pub(crate) struct Easing {
    share: f64,
    reason: Option<(usize, Strain)>,
    before: Vec<Option<Counted>>,
    troubled: u32,
    well_since: Duration,
    lowered: Option<Duration>,
    raised: Option<Duration>,
    patience: Duration,
}

impl Easing {
    pub fn new(panels: usize) -> Self {
        Self {
            share: 1.0,
            reason: None,
            before: vec![None; panels],
            troubled: 0,
            well_since: Duration::ZERO,
            lowered: None,
            raised: None,
            patience: PATIENCE.0,
        }
    }

    /// What is in force.
    pub fn eased(&self) -> Option<Eased> {
        let (panel, strain) = self.reason?;
        (self.share < 1.0).then_some(Eased { share: self.share, panel, strain })
    }

    /// Looks at all panels; `true` where the rate changes.
    pub fn step(&mut self, now: Duration, panels: impl Iterator<Item = Look>) -> bool {
        let mut worst: Option<(usize, Strain)> = None;
        for (place, look) in panels.enumerate() {
            let Some(before) = self.before.get_mut(place) else { continue };
            let strain = strain(*before, &look);
            *before = look.counted.or(*before);
            if let Some(strain) = strain
                && worst.is_none_or(|(_, worst)| strain.is_worse(worst))
            {
                worst = Some((place, strain));
            }
        }
        match worst {
            Some(worst) => self.troubled(now, worst),
            None => self.well(now),
        }
    }

    fn troubled(&mut self, now: Duration, worst: (usize, Strain)) -> bool {
        self.troubled += 1;
        self.well_since = now;
        let settling = self.lowered.is_some_and(|at| now.saturating_sub(at) < SETTLES);
        if self.troubled < IN_A_ROW || settling || self.share <= LOWEST {
            return false;
        }
        if self.raised.is_some_and(|at| now.saturating_sub(at) < TRIAL) {
            self.patience = (self.patience * 2).min(PATIENCE.1);
        }
        self.troubled = 0;
        self.reason = Some(worst);
        self.lowered = Some(now);
        self.share = (self.share * DOWN).max(LOWEST);
        true
    }

    fn well(&mut self, now: Duration) -> bool {
        self.troubled = 0;
        if self.share >= 1.0 || now.saturating_sub(self.well_since) < self.patience {
            return false;
        }
        self.well_since = now;
        self.raised = Some(now);
        self.share += UP;
        // What is left of a sum of twentieths.
        if self.share > 1.0 - UP / 2.0 {
            (self.share, self.patience) = (1.0, PATIENCE.0);
        }
        true
    }
}

impl Strain {
    fn is_worse(self, other: Self) -> bool {
        match (self, other) {
            (Self::Loses(a), Self::Loses(b)) => a > b,
            (Self::Queues(a), Self::Queues(b)) => a > b,
            (Self::Loses(_), Self::Queues(_)) => true,
            (Self::Queues(_), Self::Loses(_)) => false,
        }
    }
}

/// What is wrong with a panel since it was looked at before.
fn strain(before: Option<Counted>, look: &Look) -> Option<Strain> {
    let now = look.counted?;
    // One that started anew, or has not answered again, tells nothing of the time between.
    let before = before.filter(|before| {
        now != *before
            && now.up >= before.up
            && now.shown >= before.shown
            && now.lost >= before.lost
    })?;
    let missed = now.missed.saturating_sub(before.missed);
    let came = (now.shown - before.shown).saturating_mul(look.packets as u64);
    #[expect(clippy::cast_precision_loss, reason = "a second has few packets")]
    let share = missed as f64 / came.saturating_add(missed).max(1) as f64;
    if missed >= LEAST && share > TOLERATED {
        return Some(Strain::Loses(share));
    }
    (look.round_trip > QUEUED).then_some(Strain::Queues(look.round_trip))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Two panels of four packets at 30 frames a second.
    struct Bench {
        easing: Easing,
        second: u64,
        counted: [Counted; 2],
        round_trip: Duration,
    }

    impl Bench {
        fn new() -> Self {
            let counted = Counted { up: 0, shown: 0, missed: 0, lost: 0 };
            Self {
                easing: Easing::new(2),
                second: 0,
                counted: [counted; 2],
                round_trip: Duration::ZERO,
            }
        }

        /// A second in which the second panel loses so many packets.
        fn second(&mut self, lost: u64) -> f64 {
            self.second += 1;
            for (counted, lost) in self.counted.iter_mut().zip([0, lost]) {
                counted.up += 1;
                counted.shown += 30;
                counted.lost += lost;
                counted.missed += lost;
            }
            let looks = self.counted.map(|counted| Look {
                counted: Some(counted),
                round_trip: self.round_trip,
                packets: 4,
            });
            self.easing.step(Duration::from_secs(self.second), looks.into_iter());
            self.easing.share
        }

        fn seconds(&mut self, lost: impl IntoIterator<Item = u64>) -> Vec<f64> {
            lost.into_iter().map(|lost| (self.second(lost) * 100.0).round() / 100.0).collect()
        }
    }

    #[test]
    fn loss_that_lasts_lowers_the_rate_to_half_at_most() {
        let mut bench = Bench::new();
        // One lost packet, or one bad second, is nothing.
        assert_eq!(bench.seconds([1, 1, 1, 9, 0, 9, 0]), [1.0; 7]);
        assert_eq!(bench.seconds([9; 4]), [1.0, 0.8, 0.8, 0.8]);
        let eased = bench.easing.eased().unwrap();
        assert_eq!((eased.panel, eased.strain), (1, Strain::Loses(9.0 / 129.0)));
        assert_eq!(bench.seconds([9; 10])[9], 0.5);
    }

    #[test]
    fn a_queue_lowers_it_before_anything_is_lost() {
        let mut bench = Bench::new();
        bench.second(0);
        bench.round_trip = QUEUED + Duration::from_millis(1);
        assert_eq!(bench.seconds([0, 0]), [1.0, 0.8]);
        assert!(matches!(bench.easing.eased().unwrap().strain, Strain::Queues(_)));
    }

    #[test]
    fn it_is_raised_slowly_and_a_trial_that_fails_makes_patient() {
        let mut bench = Bench::new();
        assert_eq!(bench.seconds([9, 9, 9]), [1.0, 1.0, 0.8]);
        let shares = bench.seconds([0; 15]);
        assert_eq!((shares[13], shares[14]), (0.8, 0.85));
        // Too much: down again, and now it waits for twice as long.
        assert_eq!(bench.seconds([9, 9]), [0.85, 0.68]);
        let shares = bench.seconds([0; 30]);
        assert_eq!((shares[28], shares[29]), (0.68, 0.73));
        // In the end all is as it was.
        bench.seconds([0; 300]);
        assert_eq!((bench.easing.share, bench.easing.eased()), (1.0, None));
        assert_eq!(bench.easing.patience, PATIENCE.0);
    }

    #[test]
    fn one_that_is_silent_or_started_anew_tells_nothing() {
        let mut easing = Easing::new(1);
        let look = |up, shown, lost| Look {
            counted: Some(Counted { up, shown, missed: lost, lost }),
            round_trip: Duration::from_millis(1),
            packets: 4,
        };
        let silent = Look { counted: None, ..look(0, 0, 0) };
        let looks =
            [look(9, 300, 0), silent, silent, look(0, 5, 50), look(0, 5, 50), look(0, 5, 50)];
        for (second, look) in looks.into_iter().enumerate() {
            assert!(!easing.step(Duration::from_secs(second as u64), std::iter::once(look)));
        }
    }

    proptest! {
        #[test]
        fn the_share_stays_within_its_ends(lost in prop::collection::vec(0..50u64, 1..600)) {
            let mut bench = Bench::new();
            for lost in lost {
                let share = bench.second(lost);
                prop_assert!((LOWEST..=1.0).contains(&share));
                prop_assert_eq!(bench.easing.eased().is_some(), share < 1.0);
            }
        }
    }
}
