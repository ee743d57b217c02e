//! Sound, from a file, a stream or a device, as samples.

use std::collections::VecDeque;
use std::ffi::OsString;
use std::io::{self, Read};
use std::num::{NonZeroU8, NonZeroU32};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use crate::cut::Cut;
use crate::ffmpeg::Ffmpeg;
use crate::input::{Input, Pace};
use crate::supervisor::{Condition, Intake, Next, Supervised};

/// Samples a second, of each channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SampleRate(pub NonZeroU32);

/// How many chunks a second come, and for how many of them there is room.
const CHUNKS: u32 = 100;
const ROOM: usize = 100;

/// Sound that ffmpeg reads: 32-bit floats, -1 to 1, channels in turn, at a rate and in as many channels as are
/// wanted, whatever it has.
///
/// At most a second of it waits. Of what is live the oldest is then lost, and counted; a file waits.
#[derive(Debug)]
pub struct Samples {
    waiting: Arc<Waiting>,
    supervised: Supervised,
}

#[derive(Debug)]
struct Waiting {
    state: Mutex<Ready>,
    moved: Condvar,
}

#[derive(Debug)]
struct Ready {
    samples: VecDeque<f32>,
    lost: u64,
    closed: bool,
}

impl Samples {
    /// Starts to read; a file goes round if `looped`.
    ///
    /// # Errors
    /// Where no thread can be had.
    pub fn start(
        ffmpeg: &Ffmpeg,
        input: &Input,
        rate: SampleRate,
        channels: NonZeroU8,
        looped: bool,
    ) -> io::Result<Self> {
        let chunk = (rate.0.get() / CHUNKS).max(1) as usize * usize::from(channels.get());
        let room = chunk * ROOM;
        let waiting = Arc::new(Waiting {
            state: Mutex::new(Ready {
                samples: VecDeque::with_capacity(room),
                lost: 0,
                closed: false,
            }),
            moved: Condvar::new(),
        });
        let intake = Chunks {
            input: input.clone(),
            rate,
            channels,
            looped,
            waiting: Arc::clone(&waiting),
            bytes: vec![0; chunk * 4],
            filled: 0,
            room,
        };
        let supervised = Supervised::start(ffmpeg, "sound", intake)?;
        Ok(Self { waiting, supervised })
    }

    /// Puts all that has come since the last call behind what is in `into`. How many samples have been lost
    /// before them.
    pub fn take(&self, into: &mut Vec<f32>) -> u64 {
        let mut ready = self.waiting.lock();
        into.extend(ready.samples.drain(..));
        let lost = std::mem::take(&mut ready.lost);
        drop(ready);
        self.waiting.moved.notify_all();
        lost
    }

    /// How it goes with the child.
    #[must_use]
    pub fn condition(&self) -> Condition {
        self.supervised.condition()
    }

    /// Waits for the first samples, for trouble or for the end, at most so long. How it goes then.
    #[must_use]
    pub fn first(&self, most: Duration) -> Condition {
        self.supervised.wait_for_first(most)
    }
}

impl Drop for Samples {
    fn drop(&mut self) {
        self.waiting.lock().closed = true;
        self.waiting.moved.notify_all();
    }
}

impl Waiting {
    fn lock(&self) -> MutexGuard<'_, Ready> {
        // Every change is whole before anything can panic.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

struct Chunks {
    input: Input,
    rate: SampleRate,
    channels: NonZeroU8,
    looped: bool,
    waiting: Arc<Waiting>,
    bytes: Vec<u8>,
    filled: usize,
    /// Samples that may wait.
    room: usize,
}

impl Intake for Chunks {
    fn begin(&mut self) -> Vec<OsString> {
        let mut arguments = self.input.arguments(Duration::ZERO, self.looped);
        let (channels, rate) = (self.channels.to_string(), self.rate.0.to_string());
        let rest = ["-map", "0:a:0", "-ac", &channels, "-ar", &rate];
        let raw = ["-c:a", "pcm_f32le", "-f", "f32le", "-flush_packets", "1", "-"];
        arguments.extend(rest.iter().chain(&raw).map(Into::into));
        arguments
    }

    fn read(&mut self, from: &mut dyn Read) -> Result<(), Cut> {
        self.filled = 0;
        while let Some(rest) = self.bytes.get_mut(self.filled..).filter(|rest| !rest.is_empty()) {
            match from.read(rest) {
                Ok(0) if self.filled < 4 => return Err(Cut::End),
                Ok(0) => break,
                Ok(more) => self.filled += more,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error.into()),
            }
        }
        Ok(())
    }

    fn hand_over(&mut self) -> bool {
        let (samples, _) = self.bytes.get(..self.filled).unwrap_or_default().as_chunks::<4>();
        let mut ready = self.waiting.lock();
        if self.input.pace() == Pace::Timed {
            let full = |ready: &mut Ready| {
                ready.samples.len() + samples.len() > self.room && !ready.closed
            };
            let waited = self.waiting.moved.wait_while(ready, full);
            ready = waited.unwrap_or_else(PoisonError::into_inner);
        }
        let over = (ready.samples.len() + samples.len()).saturating_sub(self.room);
        ready.samples.drain(..over);
        ready.lost += over as u64;
        ready.samples.extend(samples.iter().map(|bytes| f32::from_le_bytes(*bytes)));
        !ready.closed
    }

    fn whole(&mut self) -> Next {
        match self.input.pace() {
            Pace::Newest => Next::Failed("it has come to an end".into()),
            Pace::Timed if self.looped => Next::Again,
            Pace::Timed => Next::Over,
        }
    }
}
