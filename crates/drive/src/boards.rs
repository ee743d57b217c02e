//! Boards on the network: asking who is there, and telling one what it is, with the wall's key.

use std::io::{self, ErrorKind};
use std::net::{Ipv4Addr, SocketAddr, UdpSocket};
use std::time::{Duration, Instant};

use glowloom_wire::orders::{self, Answer, Id, Number, Order, Outcome};
use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;

/// How long an answer is waited for, and how often a message is sent again meanwhile.
const PATIENCE: Duration = Duration::from_millis(1500);
const AGAIN: Duration = Duration::from_millis(300);

/// The key of a wall.
pub type Key = [u8; orders::KEY];

/// A board that answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Where it is.
    pub at: SocketAddr,
    /// What it says.
    pub answer: Answer,
}

/// Why a board did not follow.
#[derive(Debug)]
pub enum OrderError {
    /// The system would not send or receive.
    Network(io::Error),
    /// Nothing that the key signed came back.
    Silent,
    /// The board says that it cannot.
    Refused(Outcome),
}

impl std::fmt::Display for OrderError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Network(error) => error.fmt(f),
            Self::Silent => f.write_str("it does not answer; see that it has power and its network"),
            Self::Refused(Outcome::TooLarge) => f.write_str(
                "its program has too little memory for that panel; write the project anew and flash it",
            ),
            Self::Refused(Outcome::NotKept) => {
                f.write_str("its flash does not keep what it is told; it is worn out or broken")
            }
            Self::Refused(outcome) => write!(f, "it cannot follow that ({outcome:?}); is its program of this version?"),
        }
    }
}

impl std::error::Error for OrderError {}

/// Talks to boards.
#[derive(Debug)]
pub struct Boards {
    socket: UdpSocket,
    key: Key,
    chance: fn() -> Number,
}

impl Boards {
    /// `chance` gives a number that nobody can guess and that never comes again.
    ///
    /// # Errors
    /// Those of the system.
    pub fn open(key: Key, chance: fn() -> Number) -> io::Result<Self> {
        let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0))?;
        socket.set_broadcast(true)?;
        Ok(Self { socket, key, chance })
    }

    fn tag(&self, bytes: &[u8]) -> Hmac<Sha256> {
        // A key of any length is taken.
        let mut mac = Hmac::<Sha256>::new_from_slice(&self.key)
            .unwrap_or_else(|_| unreachable!("HMAC takes keys of any length"));
        mac.update(bytes);
        mac
    }

    /// Asks at these places, which may be those of broadcasts; gives each board that answers with this wall's
    /// key, once. Places that cannot be reached are passed by.
    ///
    /// # Errors
    /// Those of the system.
    pub fn ask(&self, places: &[SocketAddr]) -> io::Result<Vec<Found>> {
        let asked = (self.chance)();
        let question = orders::question(&asked);
        let send = || {
            for place in places {
                // Whoever cannot be reached does not answer, and that is told.
                let _ = self.socket.send_to(&question, place);
            }
        };
        let mut found: Vec<Found> = Vec::new();
        self.hear(send, |at, bytes| {
            let signed = orders::answer(bytes)?;
            self.tag(signed.bytes).verify_slice(signed.tag).ok()?;
            if signed.said.asked == asked && found.iter().all(|one| one.answer.id != signed.said.id)
            {
                found.push(Found { at, answer: signed.said });
            }
            None::<()>
        })?;
        Ok(found)
    }

    /// Tells a board; `number` is that of its last answer.
    ///
    /// # Errors
    /// [`OrderError`].
    pub fn tell(
        &self,
        at: SocketAddr,
        id: &Id,
        number: &Number,
        order: &Order,
    ) -> Result<(), OrderError> {
        let mut message = orders::order(id, number, order);
        let tag = self.tag(&message).finalize().into_bytes();
        message.extend(tag);
        let send = || {
            let _ = self.socket.send_to(&message, at);
        };
        let outcome = self.hear(send, |_, bytes| {
            let signed = orders::result(bytes)?;
            self.tag(signed.bytes).verify_slice(signed.tag).ok()?;
            let (from, of, outcome) = signed.said;
            (from == *id && of == *number).then_some(outcome)
        });
        match outcome.map_err(OrderError::Network)? {
            Some(Outcome::Done) => Ok(()),
            Some(outcome) => Err(OrderError::Refused(outcome)),
            None => Err(OrderError::Silent),
        }
    }

    /// Sends now and again, and hands over what comes until `take` has what it wants, or time is up.
    fn hear<T>(
        &self,
        send: impl Fn(),
        mut take: impl FnMut(SocketAddr, &[u8]) -> Option<T>,
    ) -> io::Result<Option<T>> {
        let began = Instant::now();
        let mut sent: Option<Instant> = None;
        let mut bytes = [0; 512];
        while began.elapsed() < PATIENCE {
            if sent.is_none_or(|sent| sent.elapsed() >= AGAIN) {
                send();
                sent = Some(Instant::now());
            }
            self.socket.set_read_timeout(Some(Duration::from_millis(50)))?;
            match self.socket.recv_from(&mut bytes) {
                Ok((size, at)) => {
                    if let Some(taken) = take(at, &bytes[..size]) {
                        return Ok(Some(taken));
                    }
                }
                Err(error)
                    if matches!(
                        error.kind(),
                        ErrorKind::WouldBlock | ErrorKind::TimedOut | ErrorKind::ConnectionRefused
                    ) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(None)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;
    use std::sync::atomic::{AtomicBool, Ordering};

    /// The messages of another program, with its key; the board's core follows them (receiver/test/orders_test.cpp).
    fn message(name: &str) -> Vec<u8> {
        let all = include_str!("../../../receiver/test/orders.txt");
        let line = all.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(" = "));
        let text = line.unwrap();
        (0..text.len())
            .step_by(2)
            .map(|at| u8::from_str_radix(&text[at..at + 2], 16).unwrap())
            .collect()
    }

    /// A board that answers as the core does in that file, once in noise and forgeries.
    fn with_board(test: impl FnOnce(SocketAddr)) {
        let board = UdpSocket::bind("127.0.0.1:0").unwrap();
        board.set_read_timeout(Some(Duration::from_millis(20))).unwrap();
        let at = board.local_addr().unwrap();
        let over = Arc::new(AtomicBool::new(false));
        let flag = Arc::clone(&over);
        let thread = std::thread::spawn(move || {
            let mut bytes = [0; 512];
            while !flag.load(Ordering::Relaxed) {
                let Ok((size, from)) = board.recv_from(&mut bytes) else { continue };
                let reply = if bytes[..size] == message("question")[..] {
                    message("answer")
                } else if bytes[..size] == message("glow")[..] {
                    message("result")
                } else {
                    continue;
                };
                let mut forged = reply.clone();
                forged[30] ^= 1;
                for reply in [&b"noise"[..], &forged, &reply] {
                    board.send_to(reply, from).unwrap();
                }
            }
        });
        test(at);
        over.store(true, Ordering::Relaxed);
        thread.join().unwrap();
    }

    #[test]
    fn boards_are_found_and_told() {
        with_board(|at| {
            let boards = Boards::open([0x42; 32], || [0x22; 16]).unwrap();
            let found = boards.ask(&[at]).unwrap();
            assert_eq!(found.len(), 1);
            let Answer { id, number, .. } = found[0].answer;
            assert_eq!((found[0].at, id), (at, [2, 0, 0, 0, 0, 7]));
            boards.tell(at, &id, &number, &Order::Glow(9)).unwrap();
            let silent = boards.tell(at, &id, &number, &Order::Glow(8));
            assert!(matches!(silent, Err(OrderError::Silent)), "{silent:?}");
            // Of another wall: what comes is not signed by its key.
            let others = Boards::open([0x43; 32], || [0x22; 16]).unwrap();
            assert_eq!(others.ask(&[at]).unwrap(), []);
        });
    }
}
