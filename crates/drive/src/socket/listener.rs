//! The sockets of those who send frames.

use std::io::ErrorKind;
use std::net::{IpAddr, SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use tungstenite::handshake::server::{ErrorResponse, Request, Response};
use tungstenite::http::{HeaderValue, StatusCode, header};
use tungstenite::protocol::CloseFrame;
use tungstenite::protocol::WebSocketConfig;
use tungstenite::protocol::frame::coding::CloseCode;
use tungstenite::{Error, Message, WebSocket};

use super::hall::{Guest, Hall, Said, Wrong};
use crate::DriveError;

/// How long one has to say who it is.
const GREETING: Duration = Duration::from_secs(5);

/// How often a guest is looked after that sends nothing.
const LOOK: Duration = Duration::from_millis(20);

/// How long one who does not read is waited for.
const STUCK: Duration = Duration::from_secs(1);

/// Connections that have not said yet who they are, and guests, all in all.
const MOST_THREADS: usize = 32;

/// Pages that may send beside those of this computer, by their origin, such as `http://192.0.2.9:8000`.
pub type Origins = Vec<String>;

/// Listens until it is dropped.
#[derive(Debug)]
pub struct Listener {
    at: SocketAddr,
    closed: Arc<AtomicBool>,
}

impl Listener {
    /// Lets programs in, and pages of this computer or of these origins.
    ///
    /// # Errors
    /// [`DriveError::Incoming`] where the port cannot be had.
    pub fn open(hall: Arc<Hall>, at: SocketAddr, origins: Origins) -> Result<Self, DriveError> {
        let failed = |error| DriveError::Incoming { at, error };
        let listener = TcpListener::bind(at).map_err(failed)?;
        let at = listener.local_addr().map_err(failed)?;
        // So that the end is noticed while nobody comes.
        listener.set_nonblocking(true).map_err(failed)?;
        let closed = Arc::new(AtomicBool::new(false));
        let ends = Arc::clone(&closed);
        thread::Builder::new()
            .name("listening".into())
            .spawn(move || listen(&listener, &hall, &Arc::new(origins), &ends))
            .map_err(DriveError::Thread)?;
        Ok(Self { at, closed })
    }

    /// Where it listens.
    #[must_use]
    pub fn at(&self) -> SocketAddr {
        self.at
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        self.closed.store(true, Ordering::Relaxed);
    }
}

fn listen(
    listener: &TcpListener,
    hall: &Arc<Hall>,
    origins: &Arc<Origins>,
    closed: &Arc<AtomicBool>,
) {
    let threads = Arc::new(());
    while !closed.load(Ordering::Relaxed) {
        let Ok((stream, _)) = listener.accept() else {
            thread::sleep(LOOK);
            continue;
        };
        // One handle is this loop's own. Who comes when there are too many is let go again.
        if Arc::strong_count(&threads) > MOST_THREADS {
            continue;
        }
        let (hall, origins) = (Arc::clone(hall), Arc::clone(origins));
        let (closed, held) = (Arc::clone(closed), Arc::clone(&threads));
        let spawned = thread::Builder::new().name("guest".into()).spawn(move || {
            // Who breaks off has gone.
            let _ = attend(stream, &hall, &origins, &closed);
            drop(held);
        });
        drop(spawned);
    }
}

/// Looks after one connection until it ends.
fn attend(
    stream: TcpStream,
    hall: &Arc<Hall>,
    origins: &Origins,
    closed: &AtomicBool,
) -> Result<(), Error> {
    stream.set_nonblocking(false)?;
    stream.set_nodelay(true)?;
    stream.set_read_timeout(Some(GREETING))?;
    stream.set_write_timeout(Some(STUCK))?;
    let longest = hall.longest();
    let config = WebSocketConfig::default()
        .max_message_size(Some(longest))
        .max_frame_size(Some(longest))
        .read_buffer_size(16 << 10)
        .write_buffer_size(0)
        .max_write_buffer_size(64 << 10);
    #[expect(clippy::result_large_err, reason = "the library's own")]
    let check = |request: &Request, response: Response| {
        if admits(request.headers().get(header::ORIGIN), origins) {
            return Ok(response);
        }
        let mut refused = ErrorResponse::new(Some("this page may not send to the wall\n".into()));
        *refused.status_mut() = StatusCode::FORBIDDEN;
        Err(refused)
    };
    let Ok(mut socket) = tungstenite::accept_hdr_with_config(stream, check, Some(config)) else {
        return Ok(());
    };
    let Some(mut guest) = hall.enter() else {
        return part(&mut socket, "there are too many guests already");
    };
    socket.get_ref().set_read_timeout(Some(LOOK))?;
    while !closed.load(Ordering::Relaxed) {
        while let Some(line) = guest.hear() {
            socket.send(Message::text(line))?;
        }
        match socket.read() {
            Ok(message) => {
                if let Err(Wrong(why)) = take(&mut guest, &message) {
                    return part(&mut socket, &why);
                }
            }
            Err(Error::Io(error))
                if matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => {}
            Err(Error::Capacity(_)) => {
                return part(&mut socket, "a message is longer than a frame of this wall");
            }
            Err(error) => return Err(error),
        }
    }
    part(&mut socket, "the show is over")
}

fn take(guest: &mut Guest, message: &Message) -> Result<(), Wrong> {
    let now = Instant::now();
    match message {
        Message::Binary(bytes) => guest.say(Said::Frame(bytes), now),
        Message::Text(text) => guest.say(Said::Text(text), now),
        // The library answers these itself.
        Message::Ping(_) | Message::Pong(_) | Message::Close(_) | Message::Frame(_) => Ok(()),
    }
}

/// Says why, and closes.
fn part(socket: &mut WebSocket<TcpStream>, why: &str) -> Result<(), Error> {
    socket.send(Message::text(format!("wrong {why}")))?;
    let frame = CloseFrame {
        code: CloseCode::Policy,
        reason: why.chars().take(100).collect::<String>().into(),
    };
    socket.close(Some(frame))?;
    // Until the other side has seen it, or a while.
    for _ in 0..10 {
        if socket.read().is_err() {
            break;
        }
    }
    Ok(())
}

/// Whether a page of this origin may send: programs say none, and pages of this computer may.
fn admits(origin: Option<&HeaderValue>, origins: &Origins) -> bool {
    let Some(origin) = origin else { return true };
    let Ok(origin) = origin.to_str() else { return false };
    if origins.iter().any(|known| known.trim_end_matches('/').eq_ignore_ascii_case(origin)) {
        return true;
    }
    let Some((_, authority)) = origin.split_once("://") else { return false };
    let host = match authority.strip_prefix('[') {
        Some(rest) => rest.split_once(']').map_or("", |(host, _)| host),
        None => authority.split_once(':').map_or(authority, |(host, _)| host),
    };
    host.eq_ignore_ascii_case("localhost") || host.parse().is_ok_and(|ip: IpAddr| ip.is_loopback())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_of_this_computer_may_and_others_may_not() {
        let may = |origin: &str, origins: &[&str]| {
            let origins = origins.iter().map(|&origin| origin.to_owned()).collect();
            admits(Some(&HeaderValue::from_str(origin).unwrap()), &origins)
        };
        assert!(admits(None, &Vec::new()));
        for origin in
            ["http://localhost", "http://localhost:8000", "http://127.0.0.1:1", "http://[::1]:80"]
        {
            assert!(may(origin, &[]), "{origin}");
        }
        for origin in [
            "null",
            "",
            "http://example.net",
            "http://localhost.example.net",
            "http://127.0.0.1.example.net",
            "http://192.0.2.9:8000",
            "http://[::2]",
            "file://",
        ] {
            assert!(!may(origin, &[]), "{origin}");
        }
        assert!(may("http://192.0.2.9:8000", &["http://192.0.2.9:8000/"]));
        assert!(may("null", &["null"]));
        assert!(!may("http://192.0.2.9:8001", &["http://192.0.2.9:8000"]));
    }
}
