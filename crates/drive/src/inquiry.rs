//! Asking receivers how they are, once a second each, and what they answered.
//!
//! A thread of its own asks and hears, so that sending never waits for an answer, nor takes memory for
//! one. `docs/protocols.md` has the question and the answer.

use std::io::ErrorKind;
use std::net::{Ipv4Addr, Ipv6Addr, SocketAddr, UdpSocket};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use glowloom_wire::status::{QUESTION, Status};

use crate::DriveError;
use crate::asking::whose;
use crate::health::{Answering, Watch};

/// How often each receiver is asked.
pub(crate) const EVERY: Duration = Duration::from_secs(1);
/// A receiver that has answered is missed after this long without: three questions.
const MISSED: Duration = Duration::from_millis(3500);
/// How long an answer is waited for before other things are looked at.
const NAP: Duration = Duration::from_millis(20);
/// Answers that are read at one time.
const MOST: usize = 256;

/// What a receiver said of itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Its words.
    pub status: Status,
    /// How long ago.
    pub ago: Duration,
    /// From the question to the answer.
    pub round_trip: Duration,
}

/// The last that was heard of one receiver. Knows no clock: times are values.
#[derive(Debug, Default)]
pub(crate) struct Heard {
    asked: Option<Duration>,
    last: Option<(Status, Duration, Duration)>,
}

impl Heard {
    /// A question left.
    fn ask(&mut self, now: Duration) {
        self.asked = Some(now);
    }

    /// An answer came. One that nobody asked for is not believed.
    fn answer(&mut self, now: Duration, status: Status) -> bool {
        let Some(asked) = self.asked.take() else { return false };
        self.last = Some((status, now, now.saturating_sub(asked)));
        true
    }

    /// What is known, as long as it is not too old.
    pub fn told(&self, now: Duration) -> Option<Told> {
        let (status, at, round_trip) = self.last.as_ref()?;
        let ago = now.saturating_sub(*at);
        (ago < MISSED).then(|| Told { status: status.clone(), ago, round_trip: *round_trip })
    }

    pub fn answering(&self, now: Duration) -> Answering {
        match &self.last {
            None if self.asked.is_none() => Answering::Unasked,
            None => Answering::NotYet,
            Some((_, at, _)) if now.saturating_sub(*at) < MISSED => Answering::Yes,
            Some(_) => Answering::Stopped,
        }
    }
}

/// Asks until it is dropped.
#[derive(Debug)]
pub(crate) struct Inquiry {
    closing: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Inquiry {
    /// Begins to ask all receivers of a sender. `judge` is told once a second, after the answers are in.
    ///
    /// # Errors
    /// [`DriveError::Thread`].
    pub fn start(
        watch: Arc<Watch>,
        mut judge: impl FnMut(Duration, &Watch) + Send + 'static,
    ) -> Result<Self, DriveError> {
        let closing = Arc::new(AtomicBool::new(false));
        let flag = Arc::clone(&closing);
        let work = move || {
            let mut asker = Asker::default();
            let mut judged = Duration::ZERO;
            while !flag.load(Ordering::Relaxed) {
                let now = watch.start.elapsed();
                asker.step(now, &watch);
                if now.saturating_sub(judged) >= EVERY {
                    judged = now;
                    judge(now, &watch);
                }
            }
        };
        let spawned = thread::Builder::new().name("asking".into()).spawn(work);
        Ok(Self { closing, thread: Some(spawned.map_err(DriveError::Thread)?) })
    }
}

impl Drop for Inquiry {
    fn drop(&mut self) {
        self.closing.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            // A panic there has been reported by its thread.
            let _ = thread.join();
        }
    }
}

/// The sockets to ask by, opened when there is somebody to ask.
#[derive(Debug, Default)]
struct Asker {
    four: Option<UdpSocket>,
    six: Option<UdpSocket>,
    /// When each panel is asked next.
    due: Vec<Duration>,
}

impl Asker {
    /// Asks who is due, and hears answers for a moment.
    fn step(&mut self, now: Duration, watch: &Watch) {
        let count = watch.links.len();
        if self.due.len() != count {
            // Spread over the second, so that the air has no burst of them.
            let nth = |n: usize| EVERY * u32::try_from(n).unwrap_or(0) / count.max(1) as u32;
            self.due = (0..count).map(nth).collect();
        }
        for (link, due) in watch.links.iter().zip(&mut self.due) {
            if now < *due {
                continue;
            }
            *due = now + EVERY;
            let Some(to) = link.counts.address() else { continue };
            let socket = match to {
                SocketAddr::V4(_) => &mut self.four,
                SocketAddr::V6(_) => &mut self.six,
            };
            if socket.is_none() {
                *socket = open(to);
            }
            // Out of reach shows with its data; a socket that cannot be opened is tried again.
            let Some(open) = socket else { continue };
            link.counts.heard().ask(watch.start.elapsed());
            let _ = open.send_to(&QUESTION, to);
        }
        if self.four.is_none() && self.six.is_none() {
            thread::sleep(NAP);
        }
        for socket in [&self.four, &self.six].into_iter().flatten() {
            hear(socket, watch);
        }
    }
}

/// A socket that waits for a moment only.
fn open(to: SocketAddr) -> Option<UdpSocket> {
    let any: SocketAddr = match to {
        SocketAddr::V4(_) => (Ipv4Addr::UNSPECIFIED, 0).into(),
        SocketAddr::V6(_) => (Ipv6Addr::UNSPECIFIED, 0).into(),
    };
    let socket = UdpSocket::bind(any).ok()?;
    socket.set_read_timeout(Some(NAP)).ok()?;
    Some(socket)
}

/// Reads answers until none comes for a moment.
fn hear(socket: &UdpSocket, watch: &Watch) {
    let began = Instant::now();
    let mut buffer = [0; 1500];
    for _ in 0..MOST {
        let (size, from) = match socket.recv_from(&mut buffer) {
            Ok(heard) => heard,
            Err(error) if error.kind() == ErrorKind::ConnectionRefused => continue,
            Err(error) if matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => {
                return;
            }
            // Whatever it is, it must not make this loop spin.
            Err(_) => return thread::sleep(NAP),
        };
        let now = watch.start.elapsed();
        let Ok(status) = Status::parse(&buffer[..size]) else { continue };
        let addresses = watch.links.iter().map(|link| link.counts.address());
        if let Some(index) = whose(from, addresses) {
            watch.links[index].counts.heard().answer(now, status);
        }
        // Answers that come without an end do not keep the next questions waiting.
        if began.elapsed() > 5 * NAP {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_are_believed_if_asked_for_and_for_so_long() {
        let mut heard = Heard::default();
        let millis = Duration::from_millis;
        let status = Status { shown: Some(7), ..Status::default() };
        assert!(!heard.answer(millis(5), status.clone()));
        assert_eq!((heard.told(millis(5)), heard.answering(millis(5))), (None, Answering::Unasked));
        heard.ask(millis(10));
        assert_eq!(heard.answering(millis(10)), Answering::NotYet);
        assert!(heard.answer(millis(13), status.clone()));
        let told = heard.told(millis(1013)).unwrap();
        assert_eq!((told.ago, told.round_trip), (millis(1000), millis(3)));
        assert_eq!(told.status, status);
        // A second answer to one question.
        assert!(!heard.answer(millis(14), status));
        assert_eq!(heard.answering(millis(3512)), Answering::Yes);
        assert_eq!(heard.answering(millis(3513)), Answering::Stopped);
        assert_eq!(heard.told(millis(3513)), None);
    }
}
