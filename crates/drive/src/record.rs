//! What is sent, handed to somebody who keeps it: on a thread of its own, so that a slow disk delays no frame.

use std::collections::VecDeque;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use crate::DriveError;

/// Frames that may wait for the disk: half a second at 60 a second.
const ROOM: usize = 32;

/// Keeps a frame: the time since the first one, and the bytes. An error, in one line with no full stop, ends it.
pub type Keep = Box<dyn FnMut(Duration, &[u8]) -> Result<(), String> + Send>;

/// Hands over what is sent. Never waits, and takes no memory: where too many frames wait, one is left out and counted.
#[derive(Clone, Debug)]
pub struct Recorder {
    shared: Arc<Shared>,
}

/// The recording of a show; ends, with all that waits kept, by [`Recording::end`] or when it is dropped.
#[derive(Debug)]
pub struct Recording {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

/// How a recording goes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RecordingHealth {
    /// Frames that were kept.
    pub kept: u64,
    /// Frames that were left out, for the disk was too slow or there was an error.
    pub left_out: u64,
    /// Why no more are kept.
    pub error: Option<String>,
}

#[derive(Debug)]
struct Shared {
    state: Mutex<State>,
    moved: Condvar,
}

#[derive(Debug)]
struct State {
    waiting: VecDeque<(Duration, Vec<u8>)>,
    free: Vec<Vec<u8>>,
    /// When the first frame was sent.
    first: Option<Duration>,
    health: RecordingHealth,
    ended: bool,
}

impl Recording {
    /// Begins to keep frames of this many bytes.
    ///
    /// # Errors
    /// [`DriveError::Thread`] where no thread can be had.
    pub fn start(frame_bytes: usize, mut keep: Keep) -> Result<Self, DriveError> {
        let state = State {
            waiting: VecDeque::with_capacity(ROOM),
            free: std::iter::repeat_with(|| vec![0; frame_bytes]).take(ROOM).collect(),
            first: None,
            health: RecordingHealth::default(),
            ended: false,
        };
        let shared = Arc::new(Shared { state: Mutex::new(state), moved: Condvar::new() });
        let here = Arc::clone(&shared);
        let thread = thread::Builder::new()
            .name("recording".into())
            .spawn(move || here.keep_all(&mut keep))
            .map_err(DriveError::Thread)?;
        Ok(Self { shared, thread: Some(thread) })
    }

    /// What hands frames over to it.
    #[must_use]
    pub fn recorder(&self) -> Recorder {
        Recorder { shared: Arc::clone(&self.shared) }
    }

    /// How it goes.
    #[must_use]
    pub fn health(&self) -> RecordingHealth {
        self.shared.lock().health.clone()
    }

    /// Keeps what waits, and ends. How it went.
    pub fn end(mut self) -> RecordingHealth {
        self.close();
        self.health()
    }

    fn close(&mut self) {
        self.shared.lock().ended = true;
        self.shared.moved.notify_all();
        if let Some(thread) = self.thread.take() {
            // A panic there has been reported by its thread.
            let _ = thread.join();
        }
    }
}

impl Drop for Recording {
    fn drop(&mut self) {
        self.close();
    }
}

impl Recorder {
    /// A frame has been sent at this time of the show.
    pub fn sent(&self, at: Duration, bytes: &[u8]) {
        let mut state = self.shared.lock();
        if state.ended || state.health.error.is_some() {
            state.health.left_out += 1;
            return;
        }
        let fits = state.free.last().is_some_and(|frame| frame.len() == bytes.len());
        let Some(mut frame) = state.free.pop_if(|_| fits) else {
            state.health.left_out += 1;
            return;
        };
        let first = *state.first.get_or_insert(at);
        frame.copy_from_slice(bytes);
        state.waiting.push_back((at.saturating_sub(first), frame));
        drop(state);
        self.shared.moved.notify_all();
    }
}

impl Shared {
    fn lock(&self) -> MutexGuard<'_, State> {
        // Every change of the state is whole before anything can panic.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn keep_all(&self, keep: &mut Keep) {
        loop {
            let none = |state: &mut State| state.waiting.is_empty() && !state.ended;
            let state = self.moved.wait_while(self.lock(), none);
            let mut state = state.unwrap_or_else(PoisonError::into_inner);
            let Some((at, frame)) = state.waiting.pop_front() else { return };
            drop(state);
            let kept = keep(at, &frame);
            let mut state = self.lock();
            state.free.push(frame);
            match kept {
                Ok(()) => state.health.kept += 1,
                Err(why) => {
                    state.health.left_out += 1 + state.waiting.len() as u64;
                    state.health.error = Some(why);
                    return;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc;

    fn ms(ms: u64) -> Duration {
        Duration::from_millis(ms)
    }

    #[test]
    fn frames_are_kept_in_turn_with_times_from_the_first() {
        let (to, kept) = mpsc::channel();
        let keep = Box::new(move |at, bytes: &[u8]| {
            to.send((at, bytes.to_vec())).map_err(|error| error.to_string())
        });
        let recording = Recording::start(2, keep).unwrap();
        let recorder = recording.recorder();
        for n in 0..20u8 {
            recorder.sent(ms(500 + u64::from(n) * 20), &[n, n]);
        }
        let health = recording.end();
        assert_eq!(health, RecordingHealth { kept: 20, left_out: 0, error: None });
        let kept: Vec<_> = kept.iter().collect();
        let wanted: Vec<_> = (0..20u8).map(|n| (ms(u64::from(n) * 20), vec![n, n])).collect();
        assert_eq!(kept, wanted);
        recorder.sent(ms(9000), &[1, 1]);
    }

    /// A disk that takes nothing for a while delays nobody: what has no room is left out and counted.
    #[test]
    fn a_slow_disk_leaves_frames_out() {
        let (go, wait) = mpsc::channel::<()>();
        let (begun, begins) = mpsc::channel();
        let keep = Box::new(move |_, _: &[u8]| {
            let _ = begun.send(());
            wait.recv().map_err(|_| "nobody lets it go on".to_owned())
        });
        let recording = Recording::start(1, keep).unwrap();
        let recorder = recording.recorder();
        recorder.sent(ms(0), &[0]);
        begins.recv().unwrap();
        (1..100).for_each(|n| recorder.sent(ms(n), &[1]));
        // One is being kept, and the others wait.
        assert_eq!(recording.health().left_out, 100 - ROOM as u64);
        (0..ROOM).for_each(|_| go.send(()).unwrap());
        let health = recording.end();
        assert_eq!((health.kept, health.error), (ROOM as u64, None));
    }

    #[test]
    fn an_error_ends_it_and_is_told() {
        let mut room = 3;
        let keep = Box::new(move |_, _: &[u8]| {
            room -= 1;
            if room < 0 { Err("no space left on device".to_owned()) } else { Ok(()) }
        });
        let recording = Recording::start(1, keep).unwrap();
        let recorder = recording.recorder();
        (0..10).for_each(|n| recorder.sent(ms(n), &[1]));
        let health = recording.end();
        assert_eq!((health.kept, health.left_out), (3, 7));
        assert_eq!(health.error.as_deref(), Some("no space left on device"));
    }
}
