//! When to end: Ctrl-C, a signal from the system, or the time given by `--for`.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use glowloom_units::{FromText, Seconds, TextError};

use crate::failure::Failure;

static ASKED: AtomicBool = AtomicBool::new(false);

/// Knows when to end.
pub struct Stop {
    at: Option<Instant>,
}

impl Stop {
    /// Listens for Ctrl-C and the system's wish to end. A second Ctrl-C ends at once.
    pub fn new(after: Option<Duration>) -> Result<Self, Failure> {
        let listening = ctrlc::set_handler(|| {
            if ASKED.swap(true, Ordering::SeqCst) {
                std::process::exit(130);
            }
        });
        listening.map_err(|error| {
            Failure::other(format!("cannot listen for Ctrl-C: {error}"), "try again")
        })?;
        // A time so long that the clock cannot hold it is no time at all.
        Ok(Self { at: after.and_then(|after| Instant::now().checked_add(after)) })
    }

    /// Whether it is time to end.
    pub fn now(&self) -> bool {
        ASKED.load(Ordering::SeqCst) || self.at.is_some_and(|at| Instant::now() >= at)
    }

    /// Waits for at most this long, less if it is time to end sooner.
    pub fn wait(&self, most: Duration) {
        let until = Instant::now() + most;
        let until = self.at.map_or(until, |at| at.min(until));
        // Short naps: a signal does not end a sleep.
        while !self.now() {
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                return;
            }
            std::thread::sleep(left.min(Duration::from_millis(20)));
        }
    }
}

/// Reads the time of `--for`: `5s`, `90 s`, `10min`, `1h`; a plain number counts seconds.
pub fn duration(text: &str) -> Result<Duration, String> {
    let seconds = match Seconds::from_text(text) {
        Ok(Seconds(seconds)) => Some(seconds),
        Err(TextError::MissingUnit) => text.trim().parse().ok(),
        Err(_) => None,
    };
    seconds
        .and_then(|seconds| Duration::try_from_secs_f64(seconds).ok())
        .ok_or_else(|| "wanted: a time, such as 5s, 10min or 1h".into())
}

/// Reads the time that one source plays: as [`duration`], and not nothing.
pub fn length(text: &str) -> Result<Duration, String> {
    duration(text).and_then(|length| match length {
        Duration::ZERO => Err("wanted: a time above nothing".into()),
        length => Ok(length),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_as_people_write_them() {
        assert_eq!(duration("5s"), Ok(Duration::from_secs(5)));
        assert_eq!(duration("90"), Ok(Duration::from_secs(90)));
        assert_eq!(duration("1.5 min"), Ok(Duration::from_secs(90)));
        assert_eq!(duration("250ms"), Ok(Duration::from_millis(250)));
        for wrong in ["", "soon", "-5s", "5 m", "1e300h", "nan"] {
            assert!(duration(wrong).is_err(), "{wrong}");
        }
    }
}
