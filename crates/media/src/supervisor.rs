//! A child that is started, watched, ended and started again, with pauses that grow.
//!
//! One thread of its own looks after the child, one reads what it sends, one what it complains of. A child
//! that sends nothing while it is waited for hangs, and is ended; one that waits for us does not hang.

use std::ffi::OsString;
use std::io::{self, BufReader, Read};
use std::process::ExitStatus;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use crate::child::{self, Running};
use crate::cut::Cut;
use crate::ffmpeg::Ffmpeg;
use crate::tail::{Tail, drain};

/// How often a child is looked at.
const LOOK: Duration = Duration::from_millis(100);
/// How long is waited for what ends by itself.
const MOMENT: Duration = Duration::from_secs(1);
/// What is read at once.
const CHUNK: usize = 64 << 10;

/// What is made of a child's output, a unit at a time: a picture, a stretch of sound.
pub trait Intake: Send + 'static {
    /// Another child begins: with these arguments, from where the one before came to, if that can be.
    fn begin(&mut self) -> Vec<OsString>;

    /// Reads one unit. This is what is not to take long.
    ///
    /// # Errors
    /// [`Cut`]: there is none.
    fn read(&mut self, from: &mut dyn Read) -> Result<(), Cut>;

    /// Hands the unit over; may wait for as long as nobody wants it. `false`: nobody ever will.
    fn hand_over(&mut self) -> bool;

    /// What to do when a child has sent all there is and ended well.
    fn whole(&mut self) -> Next;
}

/// What to do when a child has ended well.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Next {
    /// No more: it is over.
    Over,
    /// Begin again at once.
    Again,
    /// It should not have ended: told so, and begun again after a pause.
    Failed(String),
}

/// A child under watch. It ends when this is dropped.
#[derive(Debug)]
pub struct Supervised {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

/// How it goes with a child.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Condition {
    /// What is wrong, in one line with no full stop; nothing once a unit has come after it.
    pub trouble: Option<String>,
    /// There will be no more.
    pub over: bool,
    /// Children that were started.
    pub started: u64,
    /// Units that have been handed over.
    pub units: u64,
    /// The system's number of the child that runs.
    pub process: Option<u32>,
}

#[derive(Debug)]
struct Shared {
    state: Mutex<State>,
    moved: Condvar,
}

#[derive(Debug, Default)]
struct State {
    condition: Condition,
    closed: bool,
    /// The reading thread has come back.
    cut: bool,
    child: Option<Running>,
    /// Since when the unit that is being read has been waited for.
    reading: Option<Instant>,
}

impl Supervised {
    /// Starts a child and looks after it.
    ///
    /// # Errors
    /// Where no thread can be had. A program that is not there is told by [`Supervised::condition`].
    pub fn start(ffmpeg: &Ffmpeg, name: &str, intake: impl Intake) -> io::Result<Self> {
        let shared =
            Arc::new(Shared { state: Mutex::new(State::default()), moved: Condvar::new() });
        let (here, ffmpeg) = (Arc::clone(&shared), ffmpeg.clone());
        let thread = thread::Builder::new()
            .name(name.into())
            .spawn(move || here.look_after(&ffmpeg, Box::new(intake)))?;
        Ok(Self { shared, thread: Some(thread) })
    }

    /// How it goes.
    #[must_use]
    pub fn condition(&self) -> Condition {
        self.shared.lock().condition.clone()
    }

    /// Waits for the first unit, for trouble or for the end, at most so long. How it goes then.
    #[must_use]
    pub fn wait_for_first(&self, most: Duration) -> Condition {
        let state = self.shared.lock();
        let none = |state: &mut State| {
            let Condition { trouble, over, units, .. } = &state.condition;
            trouble.is_none() && !over && *units == 0
        };
        let waited = self.shared.moved.wait_timeout_while(state, most, none);
        let (state, _) = waited.unwrap_or_else(PoisonError::into_inner);
        state.condition.clone()
    }
}

impl Drop for Supervised {
    /// Ends the child at once. Its thread waits for it, so that no zombie stays.
    fn drop(&mut self) {
        let mut state = self.shared.lock();
        state.closed = true;
        if let Some(child) = &mut state.child {
            child.kill();
        }
        drop(state);
        self.shared.moved.notify_all();
        if let Some(thread) = self.thread.take() {
            let until = Instant::now() + Duration::from_millis(50);
            while !thread.is_finished() && Instant::now() < until {
                thread::sleep(Duration::from_millis(1));
            }
        }
    }
}

/// How one child went.
enum Went {
    /// It was ended because nobody looks any more.
    Closed,
    /// It sent all there is.
    Whole,
    Failed(String),
    /// Its output is held by something that cannot be ended.
    Stuck,
}

impl Shared {
    fn lock(&self) -> MutexGuard<'_, State> {
        // Every change of the state is whole before anything can panic.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Starts children, one after the other, until it is over.
    fn look_after(self: Arc<Self>, ffmpeg: &Ffmpeg, intake: Box<dyn Intake>) {
        let patience = ffmpeg.patience();
        let mut pause = patience.pause;
        let mut intake = Some(intake);
        while let Some(one) = intake.take() {
            let (began, before) = (Instant::now(), self.lock().condition.units);
            let (went, back) = self.one_child(ffmpeg, one);
            let (next, back) = match (went, back) {
                (Went::Whole, Some(mut back)) => {
                    let none = self.lock().condition.units == before;
                    let next =
                        if none { Next::Failed("it sent nothing".into()) } else { back.whole() };
                    (next, Some(back))
                }
                (Went::Failed(why), back) => (Next::Failed(why), back),
                (Went::Stuck, back) => {
                    self.tell("it cannot be ended, and is not started again");
                    (Next::Over, back)
                }
                (Went::Closed, _) | (Went::Whole, None) => return,
            };
            if began.elapsed() >= patience.well {
                pause = patience.pause;
            }
            match next {
                Next::Over => {
                    self.lock().condition.over = true;
                    self.moved.notify_all();
                    return;
                }
                Next::Again => {}
                Next::Failed(why) => {
                    self.tell(&why);
                    if self.closed_within(pause) {
                        return;
                    }
                    pause = (pause * 2).min(patience.longest_pause);
                }
            }
            intake = back;
        }
    }

    fn tell(&self, why: &str) {
        self.lock().condition.trouble = Some(why.into());
        self.moved.notify_all();
    }

    fn closed_within(&self, pause: Duration) -> bool {
        let waited = self.moved.wait_timeout_while(self.lock(), pause, |state| !state.closed);
        waited.unwrap_or_else(PoisonError::into_inner).0.closed
    }

    fn one_child(
        self: &Arc<Self>,
        ffmpeg: &Ffmpeg,
        mut intake: Box<dyn Intake>,
    ) -> (Went, Option<Box<dyn Intake>>) {
        let started = child::start(ffmpeg.program(), &intake.begin());
        let (running, pipes) = match started {
            Ok(started) => started,
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                return (Went::Failed(ffmpeg.missing()), Some(intake));
            }
            Err(error) => {
                let why = format!("{} cannot be started: {error}", ffmpeg.program().display());
                return (Went::Failed(why), Some(intake));
            }
        };
        let (Some(output), Some(errors)) = (pipes.output, pipes.errors) else {
            return (Went::Failed("a child without pipes".into()), Some(intake));
        };
        let mut state = self.lock();
        state.condition.started += 1;
        state.condition.process = Some(running.number());
        (state.child, state.cut, state.reading) = (Some(running), false, None);
        let closed = state.closed;
        drop(state);
        if closed {
            self.lock().child = None;
            return (Went::Closed, Some(intake));
        }
        let tail = Arc::new(Mutex::new(Tail::default()));
        let putting = Arc::clone(&tail);
        let complaints = thread::Builder::new().name("complaints".into()).spawn(move || {
            drain(errors, |bytes| {
                putting.lock().unwrap_or_else(PoisonError::into_inner).put(bytes);
            });
        });
        let here = Arc::clone(self);
        let reading = thread::Builder::new().name("reading".into()).spawn(move || {
            let cut = here.read(output, &mut *intake);
            here.lock().cut = true;
            here.moved.notify_all();
            (cut, intake)
        });
        let reading = match reading {
            Ok(reading) => reading,
            Err(error) => return (Went::Failed(format!("no thread: {error}")), None),
        };
        let hung = self.watch(ffmpeg.patience().silence);
        let status = self.end_child();
        // What the child has not closed it closes by ending.
        let until = Instant::now() + MOMENT;
        let done = |thread: &JoinHandle<_>| thread.is_finished() || Instant::now() >= until;
        while !done(&reading) {
            thread::sleep(Duration::from_millis(1));
        }
        if !reading.is_finished() {
            return (Went::Stuck, None);
        }
        let Ok((cut, intake)) = reading.join() else {
            return (Went::Failed("its output could not be read".into()), None);
        };
        if let Ok(complaints) = complaints {
            while !complaints.is_finished() && Instant::now() < until {
                thread::sleep(Duration::from_millis(1));
            }
        }
        if self.lock().closed {
            return (Went::Closed, Some(intake));
        }
        let told = tail.lock().unwrap_or_else(PoisonError::into_inner).told();
        (went(ffmpeg, hung, cut, status, &told), Some(intake))
    }

    /// Reads units until there are no more.
    fn read(&self, output: impl Read, intake: &mut dyn Intake) -> Cut {
        let mut output = BufReader::with_capacity(CHUNK, Watched { output, shared: self });
        loop {
            if let Err(cut) = intake.read(&mut output) {
                let mut state = self.lock();
                state.reading = None;
                // Before it finds that nobody reads any more, and ends for that reason.
                if let (Cut::Broken(_), Some(child)) = (&cut, &mut state.child) {
                    child.kill();
                }
                return cut;
            }
            self.lock().reading = None;
            if !intake.hand_over() {
                return Cut::End;
            }
            let mut state = self.lock();
            state.condition.units += 1;
            state.condition.trouble = None;
            if state.condition.units == 1 {
                drop(state);
                self.moved.notify_all();
            }
        }
    }

    /// Looks at a child until it has no more to say, or is to be ended. For how long it had been silent, if
    /// that was too long.
    fn watch(&self, silence: Duration) -> Option<Duration> {
        let mut state = self.lock();
        while !state.cut && !state.closed {
            let silent = state.reading.map(|since| since.elapsed());
            if silent.is_some_and(|silent| silent >= silence) {
                return silent;
            }
            let waited = self.moved.wait_timeout(state, LOOK.min(silence));
            state = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
        None
    }

    /// Waits a moment for a child that has said all, and ends it. How it ended, if by itself.
    fn end_child(&self) -> Option<ExitStatus> {
        let until = Instant::now() + MOMENT;
        loop {
            let mut state = self.lock();
            let (cut, closed) = (state.cut, state.closed);
            let Some(child) = &mut state.child else { return None };
            let ended = child.ended();
            if ended.is_some() || !cut || closed || Instant::now() >= until {
                child.kill();
                let running = state.child.take();
                state.condition.process = None;
                drop(state);
                // Waits for it.
                drop(running);
                return ended;
            }
            drop(state);
            thread::sleep(Duration::from_millis(2));
        }
    }
}

/// What a child's end means.
fn went(
    ffmpeg: &Ffmpeg,
    hung: Option<Duration>,
    cut: Cut,
    status: Option<ExitStatus>,
    told: &str,
) -> Went {
    let name = ffmpeg.program().file_name().unwrap_or_default().to_string_lossy();
    let said = if told.is_empty() { String::new() } else { format!(": {told}") };
    if let Some(hung) = hung {
        let seconds = hung.as_secs_f64();
        return Went::Failed(format!("{name} sent nothing for {seconds:.1} s and was ended{said}"));
    }
    match (cut, status) {
        (Cut::Broken(why), _) => {
            Went::Failed(format!("what {name} sends is not what was asked for: {why}{said}"))
        }
        (Cut::End, Some(status)) if status.success() => Went::Whole,
        // It failed first, and its output broke off because of that.
        (_, Some(status)) if !status.success() => {
            Went::Failed(format!("{name} {}{said}", child::told(status)))
        }
        (Cut::End, _) => Went::Failed(format!("{name} sends no more{said}")),
        (cut, _) => {
            Went::Failed(format!("what {name} sends is not what was asked for: {cut}{said}"))
        }
    }
}

/// Notes since when the unit that is being read has been waited for.
struct Watched<'a, R> {
    output: R,
    shared: &'a Shared,
}

impl<R: Read> Read for Watched<'_, R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.shared.lock().reading.get_or_insert_with(Instant::now);
        self.output.read(into)
    }
}
