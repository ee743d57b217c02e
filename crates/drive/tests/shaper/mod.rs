//! A bad network between a sender and one panel: packets are lost, doubled, put out of order or held, by chance
//! from a seed.

#![allow(dead_code, reason = "not every test needs all of it")]
#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::net::{SocketAddr, UdpSocket};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::thread::{self, JoinHandle};
use std::time::Duration;

/// What is done to packets; may be changed at any time.
#[derive(Debug, Default)]
pub struct Faults {
    /// Of a thousand packets so many are lost.
    pub lost: AtomicU32,
    /// So many come twice.
    pub doubled: AtomicU32,
    /// So many come after the next one.
    pub swapped: AtomicU32,
    /// Nothing passes; what has come waits.
    pub held: AtomicBool,
    /// Nothing passes, and what comes is lost.
    pub off: AtomicBool,
}

/// The network on the way to one panel, until it is dropped.
#[derive(Debug)]
pub struct Shaper {
    pub faults: Arc<Faults>,
    /// Where the sender sends to.
    pub port: u16,
    closing: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Shaper {
    /// To the panel at this port.
    pub fn start(panel: u16, seed: u64) -> Self {
        let front = UdpSocket::bind("127.0.0.1:0").unwrap();
        let port = front.local_addr().unwrap().port();
        let back = UdpSocket::bind("127.0.0.1:0").unwrap();
        front.set_read_timeout(Some(Duration::from_millis(2))).unwrap();
        back.set_nonblocking(true).unwrap();
        let (faults, closing) = (Arc::new(Faults::default()), Arc::new(AtomicBool::new(false)));
        let (flags, flag) = (Arc::clone(&faults), Arc::clone(&closing));
        let to = SocketAddr::from(([127, 0, 0, 1], panel));
        let thread = thread::spawn(move || {
            let mut way = Way { front, back, to, chance: seed.max(1), kept: None, asker: None };
            while !flag.load(Ordering::Relaxed) {
                way.pass(&flags);
            }
        });
        Self { faults, port, closing, thread: Some(thread) }
    }
}

impl Drop for Shaper {
    fn drop(&mut self) {
        self.closing.store(true, Ordering::Relaxed);
        let _ = self.thread.take().unwrap().join();
    }
}

struct Way {
    front: UdpSocket,
    back: UdpSocket,
    to: SocketAddr,
    chance: u64,
    kept: Option<Vec<u8>>,
    asker: Option<SocketAddr>,
}

impl Way {
    fn pass(&mut self, faults: &Faults) {
        let mut bytes = [0; 2000];
        while let Ok((size, _)) = self.back.recv_from(&mut bytes) {
            if let Some(asker) = self.asker {
                let _ = self.front.send_to(&bytes[..size], asker);
            }
        }
        if faults.held.load(Ordering::Relaxed) {
            return thread::sleep(Duration::from_millis(1));
        }
        let Ok((size, from)) = self.front.recv_from(&mut bytes) else { return };
        let packet = &bytes[..size];
        if glowloom_wire::status::is_question(packet) {
            self.asker = Some(from);
        }
        if faults.off.load(Ordering::Relaxed) || self.happens(&faults.lost) {
            return;
        }
        if self.kept.is_none() && self.happens(&faults.swapped) {
            self.kept = Some(packet.to_vec());
            return;
        }
        let _ = self.back.send_to(packet, self.to);
        if self.happens(&faults.doubled) {
            let _ = self.back.send_to(packet, self.to);
        }
        if let Some(kept) = self.kept.take() {
            let _ = self.back.send_to(&kept, self.to);
        }
    }

    /// Whether something of so many in a thousand happens (xorshift64).
    fn happens(&mut self, of_thousand: &AtomicU32) -> bool {
        self.chance ^= self.chance << 13;
        self.chance ^= self.chance >> 7;
        self.chance ^= self.chance << 17;
        self.chance % 1000 < u64::from(of_thousand.load(Ordering::Relaxed))
    }
}
