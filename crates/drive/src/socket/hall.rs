//! What is said over a WebSocket, and who may: without a socket and without a clock.
//!
//! The first guest that sends a frame has the wall, until it goes or has been silent for a while; then whoever
//! sends next. Keys that other guests press are passed on to it.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{self, Receiver, Sender};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use crate::FramesPerSecond;

/// Of these messages.
const FORMAT: u32 = 1;

/// Guests at one time.
const MOST_GUESTS: usize = 16;

/// Who has the wall and sends nothing for so long loses it to the next who sends.
pub(crate) const SILENCE: Duration = Duration::from_secs(3);

/// Messages that a guest may send in a second.
const MOST_A_SECOND: u32 = 250;

/// The longest text, bytes, and messages that wait for a guest that does not take them.
const LONGEST_TEXT: usize = 100;
const MOST_WAITING: u64 = 100;

/// Where frames are sent to, and those who send.
#[derive(Debug)]
pub struct Hall {
    size: (u32, u32),
    rate: FramesPerSecond,
    state: Mutex<State>,
}

#[derive(Debug)]
struct State {
    frame: Vec<u8>,
    version: u64,
    /// Who has the wall, and when its last frame came.
    sender: Option<(u64, Instant)>,
    guests: Vec<Seat>,
    next: u64,
}

#[derive(Debug)]
struct Seat {
    number: u64,
    outbox: Sender<String>,
    waiting: Arc<AtomicU64>,
}

/// One who is connected. Leaves when it is dropped.
#[derive(Debug)]
pub struct Guest {
    hall: Arc<Hall>,
    number: u64,
    inbox: Receiver<String>,
    waiting: Arc<AtomicU64>,
    /// Whether it has been told that it has the wall.
    has_wall: Option<bool>,
    second: Option<(Instant, u32)>,
}

/// A message of a guest.
#[derive(Clone, Copy, Debug)]
pub enum Said<'a> {
    /// A frame: red, green, blue of each pixel, row by row, 8-bit sRGB.
    Frame(&'a [u8]),
    /// A line of words.
    Text(&'a str),
}

/// Why a guest has to go: one line with no full stop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong(pub String);

impl Hall {
    /// For a wall of `columns` x `rows` that shows so many frames a second.
    #[must_use]
    pub fn new(size: (u32, u32), rate: FramesPerSecond) -> Arc<Self> {
        let bytes = size.0 as usize * size.1 as usize * 3;
        let state = State {
            frame: vec![0; bytes],
            version: 0,
            sender: None,
            guests: Vec::with_capacity(MOST_GUESTS),
            next: 1,
        };
        Arc::new(Self { size, rate, state: Mutex::new(state) })
    }

    /// Columns and rows of the wall.
    #[must_use]
    pub fn size(&self) -> (u32, u32) {
        self.size
    }

    /// Bytes of the longest message that is taken.
    #[must_use]
    pub fn longest(&self) -> usize {
        (self.size.0 as usize * self.size.1 as usize * 3).max(LONGEST_TEXT)
    }

    /// Lets one in; `None`: there are too many already. The first message waits for it.
    #[must_use]
    pub fn enter(self: &Arc<Self>) -> Option<Guest> {
        let mut state = self.lock();
        if state.guests.len() >= MOST_GUESTS {
            return None;
        }
        let (outbox, inbox) = mpsc::channel();
        let number = state.next;
        state.next += 1;
        let ((columns, rows), rate) = (self.size, self.rate.0);
        // There is room for the first message.
        let _ = outbox.send(format!("hello {FORMAT} {columns} {rows} {rate}"));
        let waiting = Arc::new(AtomicU64::new(1));
        state.guests.push(Seat { number, outbox, waiting: Arc::clone(&waiting) });
        drop(state);
        let hall = Arc::clone(self);
        Some(Guest { hall, number, inbox, waiting, has_wall: None, second: None })
    }

    /// Counts frames that came.
    #[must_use]
    pub fn version(&self) -> u64 {
        self.lock().version
    }

    /// Shows the frame that came last; gives its number.
    pub fn frame(&self, show: impl FnOnce(&[u8])) -> u64 {
        let state = self.lock();
        show(&state.frame);
        state.version
    }

    /// Whether somebody has the wall and is not silent.
    #[must_use]
    pub fn is_sent_to(&self, now: Instant) -> bool {
        self.lock().sender.is_some_and(|(_, last)| now.saturating_duration_since(last) < SILENCE)
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl State {
    /// Says something to one of them; who takes nothing any more misses it.
    fn tell(&self, number: u64, line: String) {
        let Some(seat) = self.guests.iter().find(|seat| seat.number == number) else { return };
        if seat.waiting.fetch_add(1, Ordering::Relaxed) < MOST_WAITING {
            let _ = seat.outbox.send(line);
        } else {
            seat.waiting.fetch_sub(1, Ordering::Relaxed);
        }
    }
}

impl Guest {
    /// Takes a message that came now.
    ///
    /// # Errors
    /// [`Wrong`]: it is told why, and has to go.
    pub fn say(&mut self, said: Said<'_>, now: Instant) -> Result<(), Wrong> {
        self.count(now)?;
        match said {
            Said::Frame(frame) => self.frame(frame, now),
            Said::Text(text) => self.text(text),
        }
    }

    /// The next message for this guest.
    #[must_use]
    pub fn hear(&self) -> Option<String> {
        let line = self.inbox.try_recv().ok()?;
        self.waiting.fetch_sub(1, Ordering::Relaxed);
        Some(line)
    }

    fn count(&mut self, now: Instant) -> Result<(), Wrong> {
        let (began, count) = match self.second {
            Some((began, count))
                if now.saturating_duration_since(began) < Duration::from_secs(1) =>
            {
                (began, count + 1)
            }
            _ => (now, 1),
        };
        self.second = Some((began, count));
        if count > MOST_A_SECOND {
            return Err(Wrong(format!("more than {MOST_A_SECOND} messages came in a second")));
        }
        Ok(())
    }

    fn frame(&mut self, frame: &[u8], now: Instant) -> Result<(), Wrong> {
        let mut state = self.hall.lock();
        let whole = state.frame.len();
        if frame.len() != whole {
            let ((columns, rows), found) = (self.hall.size, frame.len());
            return Err(Wrong(format!(
                "a frame has {found} bytes; one of this wall has {whole}: {columns} x {rows} pixels of red, \
                 green, blue"
            )));
        }
        let free = state.sender.is_none_or(|(number, last)| {
            number == self.number || now.saturating_duration_since(last) >= SILENCE
        });
        if free {
            state.frame.copy_from_slice(frame);
            state.version += 1;
            state.sender = Some((self.number, now));
        }
        if self.has_wall != Some(free) {
            self.has_wall = Some(free);
            state.tell(self.number, format!("turn {}", if free { "yes" } else { "no" }));
        }
        Ok(())
    }

    /// `key NAME down` and `key NAME up` go to whoever has the wall, other than this guest.
    fn text(&self, text: &str) -> Result<(), Wrong> {
        let words: Vec<&str> = text.split(' ').collect();
        let plain = |name: &str| {
            (1..=20).contains(&name.len()) && name.bytes().all(|b| b.is_ascii_graphic())
        };
        let ["key", name, "down" | "up"] = words[..] else {
            return Err(Wrong(
                "a text is not understood: wanted is key NAME down, or key NAME up".into(),
            ));
        };
        if !plain(name) {
            return Err(Wrong("a key has a name of 1 to 20 ASCII letters without a space".into()));
        }
        let state = self.hall.lock();
        if let Some((number, _)) = state.sender
            && number != self.number
        {
            state.tell(number, text.to_owned());
        }
        Ok(())
    }
}

impl Drop for Guest {
    fn drop(&mut self) {
        let mut state = self.hall.lock();
        state.guests.retain(|seat| seat.number != self.number);
        if state.sender.is_some_and(|(number, _)| number == self.number) {
            state.sender = None;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hall() -> Arc<Hall> {
        Hall::new((2, 1), FramesPerSecond(30.0))
    }

    fn heard(guest: &Guest) -> Vec<String> {
        std::iter::from_fn(|| guest.hear()).collect()
    }

    #[test]
    fn the_first_who_sends_has_the_wall_until_it_is_silent_or_goes() {
        let hall = hall();
        let start = Instant::now();
        let at = |seconds: f64| start + Duration::from_secs_f64(seconds);
        let (mut first, mut second) = (hall.enter().unwrap(), hall.enter().unwrap());
        assert_eq!(heard(&first), ["hello 1 2 1 30"]);
        first.say(Said::Frame(&[1; 6]), at(0.0)).unwrap();
        second.say(Said::Frame(&[2; 6]), at(0.1)).unwrap();
        assert_eq!(
            (heard(&first), heard(&second)),
            (vec!["turn yes".into()], vec!["hello 1 2 1 30".into(), "turn no".into()])
        );
        assert_eq!(hall.frame(|frame| assert_eq!(frame, [1; 6])), 1);
        first.say(Said::Frame(&[3; 6]), at(2.0)).unwrap();
        second.say(Said::Frame(&[4; 6]), at(4.9)).unwrap();
        assert_eq!(hall.frame(|frame| assert_eq!(frame, [3; 6])), 2);
        assert!(hall.is_sent_to(at(4.9)) && !hall.is_sent_to(at(5.0)));
        second.say(Said::Frame(&[4; 6]), at(5.0)).unwrap();
        first.say(Said::Frame(&[5; 6]), at(5.1)).unwrap();
        assert_eq!(
            (heard(&first), heard(&second)),
            (vec!["turn no".to_owned()], vec!["turn yes".to_owned()])
        );
        drop(second);
        assert!(!hall.is_sent_to(at(5.2)));
        first.say(Said::Frame(&[6; 6]), at(5.2)).unwrap();
        assert_eq!(hall.frame(|frame| assert_eq!(frame, [6; 6])), 4);
    }

    #[test]
    fn keys_go_to_whoever_has_the_wall() {
        let hall = hall();
        let now = Instant::now();
        let (mut game, mut pad) = (hall.enter().unwrap(), hall.enter().unwrap());
        pad.say(Said::Text("key a down"), now).unwrap();
        game.say(Said::Frame(&[0; 6]), now).unwrap();
        pad.say(Said::Text("key ArrowLeft down"), now).unwrap();
        game.say(Said::Text("key b up"), now).unwrap();
        assert_eq!(heard(&game), ["hello 1 2 1 30", "turn yes", "key ArrowLeft down"]);
        assert_eq!(heard(&pad), ["hello 1 2 1 30"]);
    }

    #[test]
    fn who_says_nonsense_has_to_go() {
        let hall = hall();
        let now = Instant::now();
        let wrong = |said: Said<'_>| hall.enter().unwrap().say(said, now).unwrap_err().0;
        assert!(
            wrong(Said::Frame(&[0; 5]))
                .contains("a frame has 5 bytes; one of this wall has 6: 2 x 1")
        );
        for text in ["", "key", "key a", "key a b down", "hello", "key a  down"] {
            assert!(wrong(Said::Text(text)).contains("wanted is key NAME down"), "{text}");
        }
        for text in ["key  down", "key \u{1b}[2J down", "key \u{e9} up"] {
            assert!(wrong(Said::Text(text)).contains("1 to 20"), "{text}");
        }
        assert!(wrong(Said::Text(&format!("key {} up", "x".repeat(21)))).contains("1 to 20"));
        assert_eq!(hall.version(), 0);
    }

    #[test]
    fn too_much_is_too_much() {
        let hall = hall();
        let now = Instant::now();
        let mut fast = hall.enter().unwrap();
        let counted = (0..1000).take_while(|_| fast.say(Said::Frame(&[0; 6]), now).is_ok()).count();
        assert_eq!(counted, 250);
        assert!(
            fast.say(Said::Frame(&[0; 6]), now + Duration::from_secs(1)).is_ok(),
            "a second later"
        );
        let guests: Vec<Guest> = std::iter::from_fn(|| hall.enter()).collect();
        assert_eq!(guests.len(), 15);
        drop(guests);
        // Keys for a game that takes none do not pile up.
        let mut pad = hall.enter().unwrap();
        for nth in 0..2000u64 {
            pad.say(Said::Text("key a down"), now + Duration::from_millis(nth * 5)).unwrap();
        }
        assert_eq!(heard(&fast).len(), 100);
    }
}
