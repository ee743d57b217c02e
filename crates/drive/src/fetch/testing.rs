//! A small HTTP server of the tests, well-behaved or not.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

/// What the server answers with.
pub(crate) enum Answer {
    /// These bytes, and then the end.
    Raw(Vec<u8>),
    /// A body that never ends.
    Endless,
    /// A body that comes very slowly.
    Dripping,
    /// Nothing, for a long time.
    Silent,
}

impl Answer {
    pub(crate) fn whole(body: &[u8]) -> Self {
        let mut bytes =
            format!("HTTP/1.1 200 OK\r\nContent-Length: {}\r\n\r\n", body.len()).into_bytes();
        bytes.extend(body);
        Self::Raw(bytes)
    }

    pub(crate) fn to(link: &str) -> Self {
        Self::Raw(
            format!("HTTP/1.1 302 Found\r\nLocation: {link}\r\nContent-Length: 0\r\n\r\n")
                .into_bytes(),
        )
    }
}

/// A server on a port of its own, as long as the tests run.
pub(crate) struct Server {
    at: SocketAddr,
    asked: Arc<AtomicUsize>,
}

impl Server {
    /// Answers what is asked for by its path.
    pub(crate) fn start(ip: &str, answer: impl Fn(&str) -> Answer + Send + Sync + 'static) -> Self {
        let listener = TcpListener::bind((ip, 0)).unwrap();
        let (at, asked) = (listener.local_addr().unwrap(), Arc::new(AtomicUsize::new(0)));
        let (count, answer) = (Arc::clone(&asked), Arc::new(answer));
        std::thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                count.fetch_add(1, Ordering::SeqCst);
                let answer = Arc::clone(&answer);
                std::thread::spawn(move || {
                    // Who goes away is not answered any more.
                    let _ = respond(stream, &*answer);
                });
            }
        });
        Self { at, asked }
    }

    pub(crate) fn address(&self, path: &str) -> String {
        format!("http://{}{path}", self.at)
    }

    /// How many came.
    pub(crate) fn asked(&self) -> usize {
        self.asked.load(Ordering::SeqCst)
    }
}

fn respond(mut stream: TcpStream, answer: &dyn Fn(&str) -> Answer) -> std::io::Result<()> {
    let (mut request, mut byte) = (Vec::new(), [0]);
    while !request.ends_with(b"\r\n\r\n") {
        stream.read_exact(&mut byte)?;
        request.extend(byte);
    }
    let request = String::from_utf8_lossy(&request).into_owned();
    let path = request.split(' ').nth(1).unwrap_or_default();
    let head = b"HTTP/1.1 200 OK\r\nConnection: close\r\n\r\n";
    match answer(path) {
        Answer::Raw(bytes) => stream.write_all(&bytes),
        Answer::Endless => {
            stream.write_all(head)?;
            loop {
                stream.write_all(&[b'['; 4096])?;
            }
        }
        Answer::Dripping => {
            stream.write_all(head)?;
            loop {
                stream.write_all(b"[")?;
                std::thread::sleep(Duration::from_millis(50));
            }
        }
        Answer::Silent => {
            std::thread::sleep(Duration::from_secs(30));
            Ok(())
        }
    }
}
