//! Frames from any program through a pipe: bytes one after the other, red, green, blue of each pixel,
//! row by row from the top, one frame behind the other with nothing between.
//!
//! A thread of its own reads, as a read from a pipe waits; it fills a few frames that go round. A
//! program that writes faster than the frames are shown is held back by the pipe.

use std::collections::VecDeque;
use std::io::{ErrorKind, Read};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

use glowloom_show::{Drawn, LinearFrame, Source, SourceError, srgb};

use crate::{DriveError, Rate};

/// Frames that are read ahead.
const AHEAD: usize = 3;

/// Ticks are rounded up to nanoseconds; a frame is due as well if so little is wanting.
const SLACK: Duration = Duration::from_micros(1);

/// After so long without a first frame, that is told.
const PATIENCE: Duration = Duration::from_secs(2);

/// Frames of 8-bit sRGB from a pipe, shown at their own rate.
///
/// Where frames come late, or not at all, the last one stays; what comes after a pause is shown at
/// once, and paced from there on. Where the show is late, frames are passed over. What is left of a frame
/// at the end is not shown.
#[derive(Debug)]
pub struct Piped {
    pipe: Arc<Pipe>,
    rate: Rate,
    size: (u32, u32),
    /// The frame that is shown; black before the first.
    shown: Vec<u8>,
    begun: bool,
    /// When frames are counted from, and how many have been due since.
    counted: Option<(Duration, u64)>,
}

#[derive(Debug)]
struct Pipe {
    state: Mutex<State>,
    moved: Condvar,
}

#[derive(Debug)]
struct State {
    ready: VecDeque<Vec<u8>>,
    free: Vec<Vec<u8>>,
    /// Bytes of the frame that is being read.
    begun: usize,
    end: Option<End>,
    /// Nobody looks any more.
    closed: bool,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum End {
    Over,
    Failed(String),
}

impl Piped {
    /// Reads frames of `columns` x `rows` pixels, to be shown at `rate`.
    ///
    /// # Errors
    /// [`DriveError::Thread`] where no thread can be had.
    pub fn start(
        from: impl Read + Send + 'static,
        (columns, rows): (u32, u32),
        rate: Rate,
    ) -> Result<Self, DriveError> {
        let bytes = columns as usize * rows as usize * 3;
        let frame = || vec![0; bytes];
        let state = State {
            ready: VecDeque::with_capacity(AHEAD),
            free: std::iter::repeat_with(frame).take(AHEAD).collect(),
            begun: 0,
            end: None,
            closed: false,
        };
        let pipe = Arc::new(Pipe { state: Mutex::new(state), moved: Condvar::new() });
        let reading = Arc::clone(&pipe);
        thread::Builder::new()
            .name("reading".into())
            .spawn(move || reading.read(from))
            .map_err(DriveError::Thread)?;
        let shown = frame();
        Ok(Self { pipe, rate, size: (columns, rows), shown, begun: false, counted: None })
    }

    /// Takes the frame that is due, if there is one. `true` if there is.
    fn take(&mut self, at: Duration) -> bool {
        let (start, counted) = self.counted.unwrap_or((at, 0));
        let due = self.rate.tick_at(at.saturating_sub(start).saturating_add(SLACK)) + 1;
        let wanted = due.saturating_sub(counted);
        let mut state = self.pipe.lock();
        let mut taken = 0;
        while taken < wanted
            && let Some(next) = state.ready.pop_front()
        {
            let before = std::mem::replace(&mut self.shown, next);
            state.free.push(before);
            taken += 1;
        }
        drop(state);
        if taken == 0 {
            return false;
        }
        self.pipe.moved.notify_all();
        self.begun = true;
        // Frames that came late are not made up for.
        self.counted = Some(if taken < wanted { (at, 1) } else { (start, due) });
        true
    }

    /// What is wrong, if anything is.
    fn trouble(&self, at: Duration) -> Option<String> {
        let (columns, rows) = self.size;
        let state = self.pipe.lock();
        let whole = self.shown.len();
        let one = format_args!(
            "a frame of this wall has {whole}: {columns} x {rows} pixels of red, green, blue"
        );
        match (&state.end, self.begun || !state.ready.is_empty()) {
            (Some(End::Failed(why)), _) => {
                Some(format!("frames can be read no more: {why}; the last one stays"))
            }
            (Some(End::Over), false) => Some(format!(
                "the frames ended after {} bytes, before a whole one; {one}",
                state.begun
            )),
            (None, false) if at >= PATIENCE => {
                Some(format!("no whole frame has come yet, {} bytes so far; {one}", state.begun))
            }
            _ => None,
        }
    }
}

impl Source for Piped {
    /// A frame of another size than the wall's is left as it is.
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        if (into.columns(), into.rows()) != self.size {
            return Ok(Drawn::Same);
        }
        let new = self.take(at);
        let trouble = self.trouble(at);
        // With trouble as well: what is lent may hold the frame before.
        if new || into.is_blank() || trouble.is_some() {
            let table = srgb::linear_table();
            for (to, &code) in into.values_mut().iter_mut().zip(&self.shown) {
                *to = table[usize::from(code)];
            }
        }
        if let Some(why) = trouble {
            return Err(SourceError::Frames(why));
        }
        let state = self.pipe.lock();
        let over = state.end.is_some() && state.ready.is_empty();
        Ok(match (new, over) {
            (true, _) => Drawn::New,
            (false, true) => Drawn::Ended,
            (false, false) => Drawn::Same,
        })
    }
}

impl Drop for Piped {
    fn drop(&mut self) {
        self.pipe.lock().closed = true;
        self.pipe.moved.notify_all();
    }
}

impl Pipe {
    fn lock(&self) -> MutexGuard<'_, State> {
        // Every change of the state is whole before anything can panic.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Reads until the end, or until nobody looks any more.
    fn read(&self, mut from: impl Read) {
        while let Some(mut frame) = self.free() {
            let end = self.fill(&mut from, &mut frame);
            let mut state = self.lock();
            if let Some(end) = end {
                state.end = Some(end);
                return;
            }
            state.begun = 0;
            state.ready.push_back(frame);
        }
    }

    /// Waits for a frame to fill.
    fn free(&self) -> Option<Vec<u8>> {
        let state = self.lock();
        let full = |state: &mut State| state.free.is_empty() && !state.closed;
        let mut state = self.moved.wait_while(state, full).unwrap_or_else(PoisonError::into_inner);
        if state.closed { None } else { state.free.pop() }
    }

    /// Fills one frame; the end where it comes before.
    fn fill(&self, from: &mut impl Read, frame: &mut [u8]) -> Option<End> {
        let mut filled = 0;
        while filled < frame.len() {
            let Some(rest) = frame.get_mut(filled..) else { break };
            match from.read(rest) {
                Ok(0) => return Some(End::Over),
                Ok(more) => filled += more,
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) => return Some(End::Failed(error.to_string())),
            }
            self.lock().begun = filled;
        }
        None
    }
}

#[cfg(test)]
mod tests;
