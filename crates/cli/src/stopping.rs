//! When to end: Ctrl-C, a signal from the system, or the time given by `--for`; and when to read again.

use std::io::IsTerminal;
#[cfg(unix)]
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use glowloom_units::{FromText, Seconds, TextError};

use crate::failure::Failure;

#[cfg(not(unix))]
static ASKED: AtomicBool = AtomicBool::new(false);

/// Knows when to end, and when to read the wall file again.
pub struct Stop {
    at: Option<Instant>,
    #[cfg(unix)]
    hung_up: Arc<AtomicBool>,
    #[cfg(unix)]
    asked: Arc<AtomicBool>,
    /// Whether a hang-up is the wish to read again.
    again: bool,
    /// Whether there was a terminal when it began.
    terminal: bool,
}

impl Stop {
    /// Listens for Ctrl-C and the system's wish to end. A second Ctrl-C ends at once.
    pub fn new(after: Option<Duration>) -> Result<Self, Failure> {
        let stop = Self {
            // A time so long that the clock cannot hold it is no time at all.
            at: after.and_then(|after| Instant::now().checked_add(after)),
            #[cfg(unix)]
            hung_up: Arc::default(),
            #[cfg(unix)]
            asked: Arc::default(),
            again: false,
            terminal: has_terminal(),
        };
        stop.listen().map_err(|error| {
            Failure::other(format!("cannot listen for Ctrl-C: {error}"), "try again")
        })?;
        Ok(stop)
    }

    /// The same, and a hang-up (SIGHUP) is the wish to read the wall file again, unless the terminal is gone.
    pub fn or_again(after: Option<Duration>) -> Result<Self, Failure> {
        Ok(Self { again: true, ..Self::new(after)? })
    }

    #[cfg(unix)]
    fn listen(&self) -> std::io::Result<()> {
        use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
        use signal_hook::flag;
        for signal in [SIGINT, SIGTERM] {
            // First the second one, which finds the flag set by the first.
            flag::register_conditional_shutdown(signal, 128 + signal, Arc::clone(&self.asked))?;
            flag::register(signal, Arc::clone(&self.asked))?;
        }
        flag::register(SIGHUP, Arc::clone(&self.hung_up)).map(drop)
    }

    #[cfg(not(unix))]
    fn listen(&self) -> Result<(), ctrlc::Error> {
        ctrlc::set_handler(|| {
            if ASKED.swap(true, Ordering::SeqCst) {
                std::process::exit(130);
            }
        })
    }

    /// Whether the wall file is to be read again; each wish is told once.
    pub fn again(&self) -> bool {
        #[cfg(unix)]
        {
            self.again && !self.now() && self.hung_up.swap(false, Ordering::SeqCst)
        }
        #[cfg(not(unix))]
        false
    }

    /// Whether there is such a wish that nobody has asked for yet.
    fn wants_again(&self) -> bool {
        #[cfg(unix)]
        {
            self.again && self.hung_up.load(Ordering::SeqCst)
        }
        #[cfg(not(unix))]
        false
    }

    /// Whether a hang-up means the end.
    #[cfg(unix)]
    fn hung_up(&self) -> bool {
        let ends = !self.again || self.terminal && !has_terminal();
        ends && self.hung_up.load(Ordering::SeqCst)
    }

    /// Whether it is time to end.
    pub fn now(&self) -> bool {
        #[cfg(unix)]
        if self.asked.load(Ordering::SeqCst) || self.hung_up() {
            return true;
        }
        #[cfg(not(unix))]
        if ASKED.load(Ordering::SeqCst) {
            return true;
        }
        self.at.is_some_and(|at| Instant::now() >= at)
    }

    /// Waits for at most this long, less if it is time to end sooner.
    pub fn wait(&self, most: Duration) {
        let until = Instant::now() + most;
        let until = self.at.map_or(until, |at| at.min(until));
        // Short naps: a signal does not end a sleep.
        while !self.now() && !self.wants_again() {
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                return;
            }
            std::thread::sleep(left.min(Duration::from_millis(20)));
        }
    }
}

/// Whether somebody may be looking.
fn has_terminal() -> bool {
    std::io::stderr().is_terminal() || std::io::stdin().is_terminal()
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
