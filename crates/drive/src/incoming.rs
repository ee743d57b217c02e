//! Light from other senders: packets of one protocol, re-mapped to the wall's picture, as a source
//! like any other, so behind the flash guard and under every limit.
//!
//! The rules of each standard for who is shown, in which order and until when are those that virtual
//! panels keep. There is no thread: packets wait in the system's buffer and are read when a frame is
//! drawn, so a flood costs a frame only so much.

use std::net::{Ipv4Addr, SocketAddr, UdpSocket};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use glowloom_show::{Drawn, LinearFrame, Source, SourceError};
use glowloom_wire::patch::{Common, PanelPatch};
use glowloom_wire::{Patch, artnet, e131};

use crate::groups::ROOM;
use crate::numbered::{Arranged, numbered};
use crate::receive::{Answers, Counts, Event, Receiver, State};
use crate::{DriveError, OnLoss, groups};

/// The longest packet that is taken: what an Ethernet frame carries after the headers of IPv4 and
/// UDP.
const LONGEST: usize = 1472;
/// Frames that are taken while one is drawn; what a faster sender sends beyond is thrown away.
const MOST_FRAMES: usize = 8;
/// Packets that are looked at while a frame is drawn, beside twice what a whole frame has.
const MORE_PACKETS: usize = 1024;
/// Packets that are thrown away unread while a frame is drawn. What is left is the system's to drop.
const MOST_THROWN: usize = 8192;
/// Packets of one socket before the others have their turn.
const MOST_IN_A_ROW: usize = 64;
/// A frame of which some universes never come is shown as it is after this long.
const PATIENCE: Duration = Duration::from_millis(100);
/// Groups that are joined at most; beyond, packets have to come by unicast.
const MOST_GROUPS: usize = 1000;

/// What to listen to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listening {
    /// By which protocol.
    pub protocol: glowloom_wire::patch::Protocol,
    /// On which address of this computer, and on which port.
    pub at: SocketAddr,
    /// How the picture's pixels are numbered in what comes.
    pub arranged: Arranged,
    /// What the wall shows when packets stop.
    pub on_loss: OnLoss,
    /// Packets with this identity are our own, and passed by (ANSI E1.31).
    pub own_cid: [u8; 16],
    /// Who listens, for people who look at the network.
    pub name: String,
}

/// What has been heard.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct IncomingHealth {
    /// Whether packets come.
    pub state: State,
    /// Who sends what is shown.
    pub from: Option<SocketAddr>,
    /// The name that it gives itself (ANSI E1.31).
    pub name: Option<String>,
    /// What has been counted, as for a panel.
    pub counts: Counts,
    /// Packets that are longer than any that a sender may send.
    pub too_long: u64,
    /// Packets thrown away unread because too many came.
    pub thrown_away: u64,
    /// Packets of this program's own.
    pub own: u64,
    /// Why multicast is not heard; `None`: it is, or the protocol has none.
    pub no_multicast: Option<String>,
}

/// Listens to other senders.
#[derive(Clone, Debug)]
pub struct Incoming(Arc<Mutex<Heard>>);

#[derive(Debug)]
struct Heard {
    sockets: Vec<UdpSocket>,
    /// The socket whose turn it is, and how many packets it has given in a row.
    turn: usize,
    in_a_row: usize,
    ip: Ipv4Addr,
    receiver: Receiver,
    answers: Option<Answers>,
    own_cid: Option<[u8; 16]>,
    /// Packets that a frame is made of.
    frame: usize,
    /// The last frame: rows from the top, slots of a pixel together.
    picture: Vec<u8>,
    slots: usize,
    /// Counts the changes of the picture.
    version: u64,
    /// Whether pixels have changed since the last whole frame, and when that was.
    dirty: bool,
    whole: Duration,
    /// The latest time, from the first frame on.
    now: Duration,
    health: IncomingHealth,
    buffer: Vec<u8>,
}

impl Incoming {
    /// Opens the port, and joins the groups of its universes (ANSI E1.31).
    ///
    /// # Errors
    /// [`DriveError::Incoming`] where the port cannot be had; [`DriveError::TooManyUniverses`] where
    /// the picture goes beyond the protocol's last.
    pub fn open(patch: &Patch, listening: &Listening) -> Result<Self, DriveError> {
        let (common, panel) = numbered(patch, listening)?;
        let (sockets, no_multicast) = open(listening, &common, &panel)?;
        let e131 = listening.protocol == glowloom_wire::patch::Protocol::E131;
        let ip = match listening.at {
            SocketAddr::V4(at) => *at.ip(),
            SocketAddr::V6(_) => Ipv4Addr::UNSPECIFIED,
        };
        let carrier = glowloom_wire::Carrier::Udp(listening.protocol);
        let layout = glowloom_wire::Layout::of(&panel, carrier, common.channels);
        let answers = Answers::of(&common, &panel).map(|answers| answers.renamed(&listening.name));
        Ok(Self(Arc::new(Mutex::new(Heard {
            sockets,
            turn: 0,
            in_a_row: 0,
            ip,
            receiver: Receiver::new(&common, &panel, listening.on_loss),
            answers,
            own_cid: e131.then_some(listening.own_cid),
            frame: layout.traffic().packets,
            picture: vec![0; patch.frame_bytes()],
            slots: common.channels.count(),
            version: 0,
            dirty: false,
            whole: Duration::ZERO,
            now: Duration::ZERO,
            health: IncomingHealth { no_multicast, ..IncomingHealth::default() },
            buffer: vec![0; LONGEST + 1],
        }))))
    }

    /// A source that shows what is heard. Several may take turns.
    #[must_use]
    pub fn source(&self) -> Box<dyn Source> {
        let heard = Arc::clone(&self.0);
        Box::new(Heeding { heard, start: None, version: None })
    }

    /// How it goes.
    #[must_use]
    pub fn health(&self) -> IncomingHealth {
        let heard = lock(&self.0);
        IncomingHealth {
            state: heard.receiver.state(),
            from: heard.receiver.from(),
            name: heard.health.name.clone().filter(|_| heard.receiver.from().is_some()),
            counts: heard.receiver.counts(),
            ..heard.health.clone()
        }
    }

    /// Where it listens.
    #[must_use]
    pub fn at(&self) -> Option<SocketAddr> {
        lock(&self.0).sockets.first().and_then(|socket| socket.local_addr().ok())
    }
}

fn lock(heard: &Mutex<Heard>) -> MutexGuard<'_, Heard> {
    heard.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The socket for unicast and those for groups, and why there are none of these.
fn open(
    listening: &Listening,
    common: &Common,
    panel: &PanelPatch,
) -> Result<(Vec<UdpSocket>, Option<String>), DriveError> {
    let failed = |error| DriveError::Incoming { at: listening.at, error };
    // On its own first: another program that holds the port is to be noticed.
    let alone = UdpSocket::bind(listening.at).map_err(failed)?;
    let at = alone.local_addr().map_err(failed)?;
    let multicast = listening.protocol == glowloom_wire::patch::Protocol::E131;
    let SocketAddr::V4(v4) = at else { return Ok((vec![ready(alone).map_err(failed)?], None)) };
    if !multicast {
        return Ok((vec![ready(alone).map_err(failed)?], None));
    }
    let wanted = groups::multicast_groups(common, panel);
    if wanted.len() > MOST_GROUPS {
        let why = format!("it would take {} groups; send to this computer's address", wanted.len());
        return Ok((vec![ready(alone).map_err(failed)?], Some(why)));
    }
    drop(alone);
    let own = groups::shared(at).map_err(failed)?;
    let mut sockets = vec![ready(own).map_err(failed)?];
    match groups::join(&wanted.into_iter().collect(), v4.port(), *v4.ip()) {
        Ok(joined) => {
            sockets.extend(joined);
            Ok((sockets, None))
        }
        Err(error) => {
            Ok((sockets, Some(format!("{error}; send to this computer's address instead"))))
        }
    }
}

fn ready(socket: UdpSocket) -> std::io::Result<UdpSocket> {
    socket.set_nonblocking(true)?;
    // A smaller buffer may lose packets, and each that is lost is counted.
    let _ = socket2::SockRef::from(&socket).set_recv_buffer_size(ROOM);
    Ok(socket)
}

impl Heard {
    /// Reads what has come.
    fn hear(&mut self, now: Duration) {
        // Of several sources, each begins at its own nought.
        let now = now.max(self.now);
        self.now = now;
        let mut frames = 0;
        let most = MORE_PACKETS + 2 * self.frame;
        for _ in 0..most {
            if frames == MOST_FRAMES {
                break;
            }
            let Some((nth, size, from)) = self.next() else { break };
            if size > LONGEST {
                self.health.too_long += 1;
                continue;
            }
            match self.take(now, nth, size, from) {
                Event::Nothing => {}
                Event::Drawn => self.dirty = true,
                Event::Shown { .. } => {
                    frames += 1;
                    self.keep(now);
                }
                Event::Lost => self.keep(now),
            }
        }
        for _ in 0..MOST_THROWN {
            if self.next().is_none() {
                break;
            }
            self.health.thrown_away += 1;
        }
        if self.receiver.wait(now) == Event::Lost {
            self.keep(now);
        }
        if self.dirty && now.saturating_sub(self.whole) >= PATIENCE {
            // The time of the last whole frame stays: what comes now is shown at once.
            let whole = self.whole;
            self.keep(now);
            self.whole = whole;
        }
    }

    /// The next packet in the buffer: by which socket it came, its size, its sender. Goes on with the
    /// socket that had the last one, and after some to the next, so that none keeps out the others.
    fn next(&mut self) -> Option<(usize, usize, SocketAddr)> {
        let count = self.sockets.len();
        if self.in_a_row >= MOST_IN_A_ROW {
            (self.turn, self.in_a_row) = ((self.turn + 1) % count.max(1), 0);
        }
        for _ in 0..count {
            if let Ok((size, from)) = self.sockets.get(self.turn)?.recv_from(&mut self.buffer) {
                self.in_a_row += 1;
                return Some((self.turn, size, from));
            }
            (self.turn, self.in_a_row) = ((self.turn + 1) % count, 0);
        }
        None
    }

    fn take(&mut self, now: Duration, nth: usize, size: usize, from: SocketAddr) -> Event {
        let bytes = self.buffer.get(..size).unwrap_or_default();
        if let Some(own) = &self.own_cid
            && bytes.get(e131::data::field::CID) == Some(own)
        {
            self.health.own += 1;
            return Event::Nothing;
        }
        if let (Some(answers), Some(socket)) = (&mut self.answers, self.sockets.get(nth)) {
            let own = self.ip;
            let ip = || if own.is_unspecified() { crate::asking::seen_by(from) } else { own };
            answers.answer(now, ip, bytes, |reply| {
                // Who asks and does not wait for the answer misses it.
                let _ = socket.send_to(reply, from);
            });
        }
        let event = self.receiver.packet(now, from, bytes);
        if self.receiver.from() == Some(from) && self.health.from != Some(from) {
            self.health.from = Some(from);
            self.health.name = name_in(bytes);
        }
        event
    }

    /// Keeps what the receiver shows.
    fn keep(&mut self, now: Duration) {
        (self.dirty, self.whole) = (false, now);
        self.version += 1;
        self.receiver.draw(&mut self.picture);
    }

    /// Levels are shares of full light, as for a panel: linear light in 16 bits. The white of four
    /// channels goes to all three colours.
    fn draw(&self, into: &mut LinearFrame) {
        let pixels = self.picture.chunks_exact(self.slots);
        for (to, pixel) in into.values_mut().chunks_exact_mut(3).zip(pixels) {
            let white = pixel.get(3).copied().unwrap_or(0);
            for (to, &level) in to.iter_mut().zip(pixel) {
                *to = u16::from(level.saturating_add(white)) * 257;
            }
        }
    }
}

/// The name that a sender of ANSI E1.31 gives itself.
fn name_in(bytes: &[u8]) -> Option<String> {
    match e131::Any::parse(bytes) {
        Ok(e131::Any::Data(data)) => Some(data.header.source.as_str().to_owned()),
        _ => None,
    }
}

/// One turn of what is heard.
struct Heeding {
    heard: Arc<Mutex<Heard>>,
    /// The listener's time when this turn began.
    start: Option<Duration>,
    version: Option<u64>,
}

impl Source for Heeding {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let mut heard = lock(&self.heard);
        let start = *self.start.get_or_insert(heard.now.saturating_sub(at));
        heard.hear(start.saturating_add(at));
        if self.version == Some(heard.version) && !into.is_blank() {
            return Ok(Drawn::Same);
        }
        self.version = Some(heard.version);
        heard.draw(into);
        Ok(Drawn::New)
    }
}

/// The last universe or Port-Address of a protocol.
pub(crate) const fn last_universe(protocol: glowloom_wire::patch::Protocol) -> u32 {
    match protocol {
        glowloom_wire::patch::Protocol::ArtNet => artnet::PortAddress::LAST.get() as u32,
        _ => e131::Universe::LAST.get() as u32,
    }
}

#[cfg(test)]
mod tests;
