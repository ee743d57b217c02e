//! What became of the frames, for people to look at.

use std::io;
use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, AtomicU8, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use crate::easing::{Counted, Look};
use crate::inquiry::{Heard, Told};
use crate::resolve::Resolver;
use crate::{Eased, FramesPerSecond, InStep, Neighbour, Spread};

/// How a show is doing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Health {
    /// Ticks that came by, skipped ones not counted.
    pub ticks: u64,
    /// Frames that were sent, repeated ones included. Before the source's first frame none is.
    pub sent: u64,
    /// Ticks that were missed because this computer was late.
    pub skipped: u64,
    /// Frames that were sent again because the source had no new one in time.
    pub repeated: u64,
    /// Frames that were drawn and never sent because a newer one was due.
    pub overtaken: u64,
    /// Bytes that had to be held to the ceiling. Above zero something upstream is wrong.
    pub held_bytes: u64,
    /// Frames that were dimmed so that no supply, wire or joint is overloaded.
    pub dimmed: u64,
    /// How often frames really leave, over the last second or so; `None` before that.
    pub rate: Option<FramesPerSecond>,
    /// The rate that is aimed at; lower than wanted where receivers lose packets.
    pub aim: FramesPerSecond,
    /// Why it is lower than wanted.
    pub eased: Option<Eased>,
    /// How late frames leave: from the moment that they are due to when the first packet goes.
    pub lateness: Spread,
    /// How far apart panels show their frames, by their answers; `None` where fewer than two tell.
    pub in_step: Option<InStep>,
    /// What is wrong with the source; `None` as long as it draws as it should.
    pub source_error: Option<String>,
    /// How often the source had no frame.
    pub source_errors: u64,
    /// Lists of universes that could not be sent (ANSI E1.31 universe discovery).
    pub discovery_failures: u64,
    /// Whoever on the network a person may want to know of.
    pub neighbours: Vec<Neighbour>,
    /// Whether sending has ended by itself: a fault of this program. Nothing leaves any more.
    pub broken: bool,
    /// The panels, in the order of the patch.
    pub panels: Vec<PanelHealth>,
}

/// How one panel is doing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PanelHealth {
    /// The panel's name.
    pub name: String,
    /// Frames that left whole, as far as is known: UDP does not tell whether they arrived.
    pub sent: u64,
    /// Frames of which some or all could not leave, or that the receiver's computer refused.
    pub dropped: u64,
    /// Whether the last frame whose fate is known was dropped.
    pub failing: bool,
    /// What went wrong last, even if all is well again.
    pub error: Option<String>,
    /// Where its packets go; `None`: not known yet, or to multicast groups.
    pub at: Option<SocketAddr>,
    /// Its serial port, for panels on a cable.
    pub port: Option<String>,
    /// Whether it answers when it is asked.
    pub answering: Answering,
    /// The print of its settings as they should be; see [`glowloom_wire::status::print`].
    pub print: u32,
    /// What it says of itself, where it answers.
    pub told: Option<Told>,
}

/// Whether a receiver answers when it is asked if it is there, or how it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Answering {
    /// It is not asked: it hangs on a cable, gets its frames by multicast, or has no address yet.
    #[default]
    Unasked,
    /// It has never answered: it may not know the question.
    NotYet,
    /// It does.
    Yes,
    /// It did, and does no more.
    Stopped,
}

impl Answering {
    const ALL: [Self; 4] = [Self::Unasked, Self::NotYet, Self::Yes, Self::Stopped];

    /// Of two ways to ask, the one that is answered tells more.
    fn or(self, other: Self) -> Self {
        let told = |how: &Self| matches!(how, Self::Yes | Self::Stopped);
        match (self, other) {
            (Self::Yes, _) | (_, Self::Yes) => Self::Yes,
            (Self::Unasked, other) => other,
            (Self::NotYet, other) if told(&other) => other,
            (this, _) => this,
        }
    }
}

/// Why a frame did not leave. Plain, so that noting it takes no memory.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    /// The receiver's name has no address yet.
    Unresolved,
    /// A newer frame took its place, for the cable was still busy.
    Behind,
    /// The port takes nothing any more.
    Stuck,
    /// The cable was pulled, or the board at its end is gone.
    HungUp,
    /// The path is that of something else.
    NoSerialPort,
    /// The port runs at another speed than was asked for.
    Speed,
    /// An error of the system by its number.
    System(i32),
    /// An error without one.
    Kind(io::ErrorKind),
}

impl From<&io::Error> for Fault {
    fn from(error: &io::Error) -> Self {
        error.raw_os_error().map_or(Self::Kind(error.kind()), Self::System)
    }
}

impl Fault {
    fn text(self, unresolved: impl FnOnce() -> String) -> String {
        match self {
            Self::Unresolved => unresolved(),
            Self::Behind => "the cable carries fewer frames than are sent; lower \
                `frames_per_second`, raise `baud`, or send 16 colour bits"
                .into(),
            Self::Stuck => "the port takes no bytes; see what is at the other end".into(),
            Self::HungUp => "the cable was pulled, or its board is gone; put it back".into(),
            Self::NoSerialPort => "this is no serial port; give another `port`".into(),
            Self::Speed => "the port does not run at this speed; choose another `baud`".into(),
            Self::System(number) => io::Error::from_raw_os_error(number).to_string(),
            Self::Kind(kind) => kind.to_string(),
        }
    }
}

/// Counts of one panel, written by the sender and read by anyone.
#[derive(Debug, Default)]
pub(crate) struct LinkCounts {
    sent: AtomicU64,
    dropped: AtomicU64,
    failing: AtomicBool,
    /// A place in [`Answering::ALL`].
    answering: AtomicU8,
    last: Mutex<Last>,
    heard: Mutex<Heard>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Last {
    fault: Option<Fault>,
    at: Option<SocketAddr>,
}

impl LinkCounts {
    fn last(&self) -> std::sync::MutexGuard<'_, Last> {
        self.last.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A frame left whole. `doubtful`: the one before was refused, so this one may be, too.
    pub fn note_sent(&self, doubtful: bool) {
        self.sent.fetch_add(1, Ordering::Relaxed);
        self.failing.store(doubtful, Ordering::Relaxed);
    }

    pub fn note_dropped(&self) {
        self.dropped.fetch_add(1, Ordering::Relaxed);
        self.failing.store(true, Ordering::Relaxed);
    }

    /// A frame that was counted as sent was refused.
    pub fn note_refused(&self) {
        self.sent.fetch_sub(1, Ordering::Relaxed);
        self.note_dropped();
    }

    pub fn note_fault(&self, fault: Fault) {
        self.last().fault = Some(fault);
    }

    pub fn note_answering(&self, how: Answering) {
        self.answering.store(how as u8, Ordering::Relaxed);
    }

    pub fn answering(&self) -> Answering {
        let place = usize::from(self.answering.load(Ordering::Relaxed));
        Answering::ALL.get(place).copied().unwrap_or_default()
    }

    /// What is heard of the receiver.
    pub fn heard(&self) -> MutexGuard<'_, Heard> {
        self.heard.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Where its packets go.
    pub fn address(&self) -> Option<SocketAddr> {
        self.last().at
    }

    pub fn note_address(&self, at: Option<SocketAddr>) {
        self.last().at = at;
    }
}

/// One panel as the sender is watched.
#[derive(Debug)]
pub(crate) struct WatchedLink {
    pub name: String,
    /// Its place in the resolver's list, for receivers that have a host.
    pub host: Option<(usize, String)>,
    /// The serial port, for panels on a cable.
    pub port: Option<String>,
    /// Packets of a frame.
    pub packets: usize,
    /// Of its settings.
    pub print: u32,
    pub counts: Arc<LinkCounts>,
}

/// What a sender lets others see.
#[derive(Debug)]
pub(crate) struct Watch {
    pub links: Vec<WatchedLink>,
    /// When it began.
    pub start: Instant,
    pub resolver: Arc<Resolver>,
    pub discovery_failures: AtomicU64,
}

impl Watch {
    pub fn panels(&self) -> Vec<PanelHealth> {
        self.links.iter().map(|link| self.panel(link)).collect()
    }

    /// What panels have counted, for the rate to be judged by.
    pub fn looks(&self, now: Duration) -> impl Iterator<Item = Look> {
        self.links.iter().map(move |link| {
            let told = link.counts.heard().told(now);
            Look {
                counted: told.as_ref().and_then(|told| Counted::of(&told.status)),
                round_trip: told.map_or(Duration::ZERO, |told| told.round_trip),
                packets: link.packets,
            }
        })
    }

    fn panel(&self, link: &WatchedLink) -> PanelHealth {
        let counts = &link.counts;
        let now = self.start.elapsed();
        let heard = counts.heard();
        let (told, asked) = (heard.told(now), heard.answering(now));
        drop(heard);
        let Last { fault, at } = *counts.last();
        let unresolved = || match &link.host {
            Some((index, host)) => (self.resolver.known(*index).error)
                .unwrap_or_else(|| format!("the address of {host} is not known yet")),
            None => String::new(),
        };
        PanelHealth {
            name: link.name.clone(),
            sent: counts.sent.load(Ordering::Relaxed),
            dropped: counts.dropped.load(Ordering::Relaxed),
            failing: counts.failing.load(Ordering::Relaxed),
            error: fault.map(|fault| fault.text(unresolved)).map(|text| match &link.port {
                Some(port) => format!("{port}: {text}"),
                None => text,
            }),
            port: link.port.clone(),
            at,
            answering: counts.answering().or(asked),
            print: link.print,
            told,
        }
    }
}
