//! Sound that ffmpeg reads, to be drawn: what is live as it comes, a file as it would be heard.

use std::collections::VecDeque;
use std::io;
use std::num::{NonZeroU8, NonZeroU32};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use glowloom_sound::{Due, Fed, Feed, Rate};

use crate::ffmpeg::Ffmpeg;
use crate::input::{Input, Pace, hide_secrets};
use crate::samples::{SampleRate, Samples};
use crate::supervisor::Condition;

/// After so long without a sample, it is silent: what is drawn fades in place of standing still.
const SILENT: Duration = Duration::from_millis(100);

/// A sound, mono, at 48,000 samples a second.
///
/// A child that ends, hangs or cannot be started is followed by another, after pauses that grow; until then the
/// sound is silent, and why is told with it.
#[derive(Debug)]
pub struct Ears {
    samples: Samples,
    input: Input,
    live: bool,
    due: Due,
    /// What has come and is not due yet. What is live is due at once.
    waiting: VecDeque<f32>,
    taken: Vec<f32>,
    /// When samples came last.
    heard: Duration,
    lateness: Lateness,
}

/// How long samples of a live sound wait for the frame that shows them: counted, for as long as it is heard.
#[derive(Clone, Debug, Default)]
pub struct Lateness(Arc<Counts>);

#[derive(Debug, Default)]
struct Counts {
    frames: AtomicU64,
    samples: AtomicU64,
    most: AtomicU64,
    lost: AtomicU64,
}

impl Lateness {
    /// How many samples were waiting at a frame: the mean of frames that had any, and the most. `None`: there
    /// were none.
    #[must_use]
    pub fn waiting(&self) -> Option<(u64, u64)> {
        let frames = self.0.frames.load(Ordering::Relaxed);
        let mean = self.0.samples.load(Ordering::Relaxed).checked_div(frames)?;
        Some((mean, self.0.most.load(Ordering::Relaxed)))
    }

    /// Samples that were thrown away, for no frame had been drawn for a second.
    #[must_use]
    pub fn lost(&self) -> u64 {
        self.0.lost.load(Ordering::Relaxed)
    }

    fn count(&self, waiting: usize, lost: u64) {
        if waiting > 0 {
            self.0.frames.fetch_add(1, Ordering::Relaxed);
            self.0.samples.fetch_add(waiting as u64, Ordering::Relaxed);
            self.0.most.fetch_max(waiting as u64, Ordering::Relaxed);
        }
        self.0.lost.fetch_add(lost, Ordering::Relaxed);
    }
}

impl Ears {
    /// Begins to listen; a file goes round.
    ///
    /// # Errors
    /// Where no thread can be had.
    pub fn open(ffmpeg: &Ffmpeg, input: &Input) -> io::Result<Self> {
        let rate = NonZeroU32::new(Rate::USUAL.get()).unwrap_or(NonZeroU32::MIN);
        let samples = Samples::start(ffmpeg, input, SampleRate(rate), NonZeroU8::MIN, true)?;
        let a_second = Rate::USUAL.get() as usize;
        Ok(Self {
            samples,
            input: input.clone(),
            live: input.pace() == Pace::Newest,
            due: Due::new(Rate::USUAL),
            waiting: VecDeque::with_capacity(2 * a_second),
            taken: Vec::with_capacity(a_second),
            heard: Duration::ZERO,
            lateness: Lateness::default(),
        })
    }

    /// Waits for the first samples, for trouble or for the end, at most so long. How it goes then.
    #[must_use]
    pub fn first(&self, most: Duration) -> Condition {
        self.samples.first(most)
    }

    /// How it goes with the child.
    #[must_use]
    pub fn condition(&self) -> Condition {
        self.samples.condition()
    }

    /// How late it is, counted from now on.
    #[must_use]
    pub fn lateness(&self) -> Lateness {
        self.lateness.clone()
    }

    /// Takes what has come. The child of a file is left to wait while half a second is there.
    fn take(&mut self) {
        if !self.live && self.waiting.len() >= Rate::USUAL.get() as usize / 2 {
            return;
        }
        self.taken.clear();
        let lost = self.samples.take(&mut self.taken);
        if self.live {
            self.lateness.count(self.taken.len(), lost);
        }
        self.waiting.extend(&self.taken);
    }
}

impl Feed for Ears {
    fn rate(&self) -> Rate {
        Rate::USUAL
    }

    fn feed(&mut self, at: Duration, into: &mut Vec<f32>) -> Fed {
        self.take();
        let (_, due) = self.due.until(at);
        let now = if self.live { self.waiting.len() } else { due.min(self.waiting.len()) };
        into.extend(self.waiting.drain(..now));
        if now > 0 {
            self.heard = at;
        } else if at.saturating_sub(self.heard) >= SILENT {
            into.resize(into.len() + due, 0.0);
        }
        match self.samples.condition() {
            Condition { trouble: Some(why), .. } => {
                let why = hide_secrets(&why, &self.input);
                Fed::Silent(format!("{} is not heard: {why}", self.input.shown()))
            }
            Condition { over: true, .. } if self.waiting.is_empty() => {
                Fed::Silent(format!("{} has come to its end", self.input.shown()))
            }
            _ => Fed::Well,
        }
    }
}
