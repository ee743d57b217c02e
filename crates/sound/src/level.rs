//! Levels that rise and fall no faster than an eye can follow.

use glowloom_units::{Decibels, DecibelsPerSecond, Seconds};

/// What silence is held to be: no level is below this.
pub const QUIET: Decibels = Decibels(-120.0);

/// The level of a mean square, dB against a sine of full scale (whose mean square is 1/2).
#[must_use]
pub fn decibels(mean_square: f32) -> Decibels {
    Decibels(10.0 * (f64::from(mean_square) * 2.0).log10()).max(QUIET)
}

/// How fast a level may change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ballistics {
    /// When it gets louder.
    pub attack: DecibelsPerSecond,
    /// When it gets quieter.
    pub release: DecibelsPerSecond,
}

impl Default for Ballistics {
    /// Up within a frame or two; down at 34.7 dB/s, as a meter of time weighting F does: its time constant is
    /// 1/8 s (IEC 61672-1), which is 10 lg(e) / 0.125 s.
    fn default() -> Self {
        Self {
            attack: DecibelsPerSecond(1500.0),
            release: DecibelsPerSecond(10.0 * std::f64::consts::LOG10_E / 0.125),
        }
    }
}

/// A level that follows another one.
#[derive(Clone, Copy, Debug)]
pub struct Follower {
    level: Decibels,
    up: Decibels,
    down: Decibels,
}

impl Follower {
    /// One that is quiet, and is told a new level every `step`.
    #[must_use]
    pub fn new(ballistics: Ballistics, step: Seconds) -> Self {
        let most = |rate: DecibelsPerSecond| Decibels((rate.0 * step.0).max(0.0));
        Self { level: QUIET, up: most(ballistics.attack), down: most(ballistics.release) }
    }

    /// Goes a step nearer to a level. One that is not a number counts as quiet.
    pub fn follow(&mut self, to: Decibels) -> Decibels {
        let to = to.max(QUIET);
        self.level = to.max(self.level - self.down).min(self.level + self.up);
        self.level
    }

    /// Where it is.
    #[must_use]
    pub fn level(&self) -> Decibels {
        self.level
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sine_of_full_scale_is_0_db() {
        assert!(decibels(0.5).0.abs() < 1e-9);
        assert!((decibels(0.005).0 + 20.0).abs() < 1e-6);
        assert_eq!(decibels(0.0), QUIET);
    }

    #[test]
    fn it_rises_and_falls_at_its_rates() {
        let ballistics =
            Ballistics { attack: DecibelsPerSecond(100.0), release: DecibelsPerSecond(10.0) };
        let mut follower = Follower::new(ballistics, Seconds(0.1));
        assert_eq!(follower.follow(Decibels(0.0)), Decibels(-110.0));
        for _ in 0..11 {
            follower.follow(Decibels(0.0));
        }
        assert_eq!(follower.level(), Decibels(0.0), "never past what it follows");
        assert_eq!(follower.follow(Decibels(-50.0)), Decibels(-1.0));
        assert_eq!(follower.follow(Decibels(-1.5)), Decibels(-1.5));
        assert_eq!(follower.follow(Decibels(f64::NAN)), Decibels(-2.5));
    }

    /// Time weighting F falls by 34.7 dB/s when a tone stops (IEC 61672-1:2013, 5.8.3, wants at least 25;
    /// the clause and its figure from memory).
    #[test]
    fn the_usual_release_is_that_of_meters() {
        assert!((Ballistics::default().release.0 - 34.744).abs() < 0.001);
    }
}
