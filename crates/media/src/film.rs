//! Pictures that move, from a file, a stream or a device, as a source.
//!
//! ffmpeg sends them in their own size, up to a bound, as 8-bit sRGB; a thread averages each onto the wall in
//! linear light as it comes. So only pictures of the wall's size wait for their time, and drawing one copies it.

use std::collections::VecDeque;
use std::ffi::OsString;
use std::io::{self, Read};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use glowloom_show::{Averager, Drawn, Laying, Layout, LinearFrame, Raster, Source, SourceError};

use crate::cut::Cut;
use crate::ffmpeg::Ffmpeg;
use crate::input::{Input, Pace, hide_secrets};
use crate::nut::{MOST_FRAME, Reader};
use crate::supervisor::{Condition, Intake, Next, Supervised};

/// Pictures that wait for their time: enough for a disk or a network that falters, and not much memory.
const AHEAD: usize = 8;
/// Ticks are rounded up to nanoseconds; a picture is due as well if so little is wanting.
const SLACK: Duration = Duration::from_micros(1);
/// Who comes later than this is not caught up with: the rest goes on from there.
const LATE: Duration = Duration::from_millis(100);
/// After so long without a first picture, that is told.
const PATIENCE: Duration = Duration::from_secs(3);
/// The sides of pictures are brought down to these, or to [`EACH`] to a pixel of the wall where that is more, up
/// to [`LONGEST`].
const SIDES: (u32, u32) = (1920, 1080);
const EACH: u32 = 4;
const LONGEST: u32 = 4096;

/// How a film is shown.
#[derive(Clone, Debug)]
pub struct Showing {
    /// What is read.
    pub input: Input,
    /// From so long after its beginning on, where it has one.
    pub from: Duration,
    /// Whether a file begins again at its end.
    pub looped: bool,
    /// How its pictures are laid on the wall.
    pub laying: Laying,
    /// Columns and rows of the wall.
    pub wall: (u32, u32),
    /// How long one picture of the wall stays: more pictures than these are not looked at.
    pub tick: Duration,
}

/// Moving pictures that ffmpeg reads.
///
/// Where pictures come late, or not at all, the last one stays. A child that fails is started again, a file from
/// where it was. A file that ends is begun again or keeps its last picture.
#[derive(Debug)]
pub struct Film {
    waiting: Arc<Waiting>,
    supervised: Supervised,
    input: Input,
    pace: Pace,
    wall: (u32, u32),
    shown: LinearFrame,
    begun: bool,
    /// A time of the show, and the film's time then.
    together: Option<(Duration, Duration)>,
}

/// Pictures of the wall's size, on their way.
#[derive(Debug)]
struct Waiting {
    state: Mutex<Ready>,
    moved: Condvar,
}

#[derive(Debug)]
struct Ready {
    pictures: VecDeque<Picture>,
    free: Vec<LinearFrame>,
    closed: bool,
}

#[derive(Debug)]
struct Picture {
    at: Duration,
    frame: LinearFrame,
}

impl Film {
    /// Starts to read.
    ///
    /// # Errors
    /// Where no thread can be had. What is wrong with the film itself is told by [`Film::first`] and by
    /// [`Source::draw`].
    pub fn start(ffmpeg: &Ffmpeg, showing: &Showing) -> io::Result<Self> {
        let (columns, rows) = showing.wall;
        let frame = || LinearFrame::new(columns, rows);
        let waiting = Arc::new(Waiting {
            state: Mutex::new(Ready {
                pictures: VecDeque::with_capacity(AHEAD),
                // One is being made, one is handed over.
                free: std::iter::repeat_with(frame).take(AHEAD + 2).collect(),
                closed: false,
            }),
            moved: Condvar::new(),
        });
        let intake = Pictures {
            showing: showing.clone(),
            pace: showing.input.pace(),
            waiting: Arc::clone(&waiting),
            reader: Reader::default(),
            bytes: Vec::new(),
            averager: Averager::new(),
            place: Duration::ZERO,
            base: Duration::ZERO,
            read: Duration::ZERO,
            gap: showing.tick,
            kept: None,
            came: 0,
            ended: false,
        };
        let supervised = Supervised::start(ffmpeg, "film", intake)?;
        let (input, pace) = (showing.input.clone(), showing.input.pace());
        let wall = showing.wall;
        let shown = frame();
        Ok(Self { waiting, supervised, input, pace, wall, shown, begun: false, together: None })
    }

    /// Waits for the first picture, at most so long.
    ///
    /// # Errors
    /// What is wrong, if that is known before.
    pub fn first(&self, most: Duration) -> Result<(), String> {
        let condition = self.supervised.wait_for_first(most);
        match condition.trouble {
            Some(why) if condition.units == 0 => Err(self.told(&why)),
            _ => Ok(()),
        }
    }

    /// How it goes with the child.
    #[must_use]
    pub fn condition(&self) -> Condition {
        self.supervised.condition()
    }

    fn told(&self, why: &str) -> String {
        let why = hide_secrets(why, &self.input);
        format!("{}: {why}", self.input.shown())
    }

    /// Takes the picture that is due. Whether there is a new one, and whether others wait.
    fn take(&mut self, at: Duration) -> (bool, bool) {
        let mut ready = self.waiting.lock();
        let first = ready.pictures.front().map(|picture| picture.at);
        let Some(first) = first else { return (false, false) };
        let (began, film) = *self.together.get_or_insert((at, first));
        let due = film.saturating_add(at.saturating_sub(began)).saturating_add(SLACK);
        let mut taken = None;
        let is_due = |next: &Picture| self.pace == Pace::Newest || next.at <= due;
        while ready.pictures.front().is_some_and(is_due)
            && let Some(next) = ready.pictures.pop_front()
        {
            taken = Some(next.at);
            let before = std::mem::replace(&mut self.shown, next.frame);
            ready.free.push(before);
        }
        let more = !ready.pictures.is_empty();
        drop(ready);
        let Some(taken) = taken else { return (false, more) };
        self.waiting.moved.notify_all();
        if !more && due.saturating_sub(taken) > LATE {
            self.together = Some((at, taken));
        }
        self.begun = true;
        (true, more)
    }
}

impl Source for Film {
    /// A frame of another size than was told is left as it is.
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        if (into.columns(), into.rows()) != self.wall {
            return Ok(Drawn::Same);
        }
        // What has ended has handed all over before.
        let condition = self.supervised.condition();
        let (new, more) = self.take(at);
        let late = (!self.begun && at >= PATIENCE && condition.trouble.is_none())
            .then(|| "no picture has come yet".to_owned());
        let trouble = condition.trouble.or(late);
        let anew = self.begun && into.is_blank();
        if new || into.is_blank() || trouble.is_some() {
            into.values_mut().copy_from_slice(self.shown.values());
        }
        match trouble {
            Some(why) if !new && !more => {
                let stays = if self.begun { "; the last picture stays" } else { "" };
                Err(SourceError::Frames(format!("{}{stays}", self.told(&why))))
            }
            _ if new || anew => Ok(Drawn::New),
            _ if condition.over && !more => Ok(Drawn::Ended),
            _ => Ok(Drawn::Same),
        }
    }
}

impl Drop for Film {
    fn drop(&mut self) {
        // Before the child is ended: its thread may wait for somebody to look.
        self.waiting.lock().closed = true;
        self.waiting.moved.notify_all();
    }
}

impl Waiting {
    fn lock(&self) -> MutexGuard<'_, Ready> {
        // Every change is whole before anything can panic.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A frame to fill: the oldest that waits, where nobody is waited for. `None`: nobody looks any more.
    fn free(&self, pace: Pace) -> Option<LinearFrame> {
        let full = |ready: &mut Ready| {
            pace == Pace::Timed && ready.pictures.len() >= AHEAD && !ready.closed
        };
        let ready = self.moved.wait_while(self.lock(), full);
        let mut ready = ready.unwrap_or_else(PoisonError::into_inner);
        if ready.closed {
            return None;
        }
        if ready.pictures.len() >= AHEAD {
            return ready.pictures.pop_front().map(|picture| picture.frame);
        }
        ready.free.pop()
    }
}

/// From the child's output to pictures of the wall's size.
struct Pictures {
    showing: Showing,
    pace: Pace,
    waiting: Arc<Waiting>,
    reader: Reader,
    bytes: Vec<u8>,
    averager: Averager,
    /// Where in the file this child began, from where the film begins.
    place: Duration,
    /// The film's time then; it goes on and on where the file goes round.
    base: Duration,
    /// The film's time at the picture that was read last, and how long that one stays.
    read: Duration,
    gap: Duration,
    /// The time of the picture that was kept last.
    kept: Option<Duration>,
    /// Pictures of this child, and whether it has sent all.
    came: u64,
    ended: bool,
}

impl Intake for Pictures {
    fn begin(&mut self) -> Vec<OsString> {
        let next = self.read.saturating_add(self.gap);
        // A child that failed is followed by one that goes on from there. Where none has come, it may have
        // begun behind the end.
        self.place = match (self.came, self.ended) {
            (0, _) | (_, true) => Duration::ZERO,
            _ => self.place.saturating_add(next.saturating_sub(self.base)),
        };
        if self.kept.is_some() {
            self.base = next;
        }
        (self.came, self.ended) = (0, false);
        self.reader = Reader::default();
        let Showing { input, from, looped, wall, .. } = &self.showing;
        let mut arguments = input.arguments(from.saturating_add(self.place), *looped);
        let filters = filters(input.filter(), *wall);
        let rest = ["-map", "0:V:0", "-vf", &filters, "-c:v", "rawvideo", "-pix_fmt", "rgb24"];
        arguments.extend(rest.iter().chain(&["-f", "nut", "-"]).map(Into::into));
        arguments
    }

    fn read(&mut self, from: &mut dyn Read) -> Result<(), Cut> {
        let at = self.base.saturating_add(self.reader.next(from, &mut self.bytes)?);
        if at > self.read {
            self.gap = (at - self.read).min(Duration::from_secs(1));
        }
        self.read = at;
        self.came += 1;
        let (width, height) = self.reader.size().unwrap_or_default();
        let wanted = u64::from(width) * u64::from(height) * 3;
        if wanted != self.bytes.len() as u64 || wanted > MOST_FRAME {
            return Err(Cut::Broken(format!(
                "a picture of {} bytes, where {width} x {height} pixels have {wanted}",
                self.bytes.len()
            )));
        }
        Ok(())
    }

    fn hand_over(&mut self) -> bool {
        // More pictures than the wall shows would only have others wait.
        let least = self.showing.tick.mul_f64(0.6);
        if self.kept.is_some_and(|kept| self.read.saturating_sub(kept) < least)
            && self.pace == Pace::Timed
        {
            return !self.waiting.lock().closed;
        }
        let Some(mut frame) = self.waiting.free(self.pace) else { return false };
        let (width, height) = self.reader.size().unwrap_or_default();
        if let Some(raster) = Raster::new(width, height, Layout::Rgb, &self.bytes) {
            self.averager.draw(raster, self.showing.laying, &mut frame);
        }
        self.kept = Some(self.read);
        let mut ready = self.waiting.lock();
        ready.pictures.push_back(Picture { at: self.read, frame });
        !ready.closed
    }

    fn whole(&mut self) -> Next {
        self.ended = true;
        let input = &self.showing.input;
        match self.pace {
            Pace::Newest => Next::Failed("it has come to an end".into()),
            // One picture is no film: it stays.
            Pace::Timed if self.came == 1 || !self.showing.looped => Next::Over,
            Pace::Timed if input.is_file() || input.is_stream_of_the_network() => Next::Again,
            Pace::Timed => Next::Over,
        }
    }
}

/// Square pixels, no more of them than the average needs, and their colours as exact as ffmpeg makes them.
fn filters(first: Option<&str>, (columns, rows): (u32, u32)) -> String {
    let side = columns.max(rows).saturating_mul(EACH).min(LONGEST);
    let (width, height) = (SIDES.0.max(side), SIDES.1.max(side));
    let first = first.map(|first| format!("{first},")).unwrap_or_default();
    format!(
        "{first}scale=w='max(round(iw*sar),1)':h=ih,setsar=1,scale=w='min(iw,{width})':h='min(ih,{height})':\
         force_original_aspect_ratio=decrease:flags=area+accurate_rnd+full_chroma_int,format=rgb24"
    )
}
