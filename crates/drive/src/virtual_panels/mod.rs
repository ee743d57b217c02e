//! Virtual panels: receivers in software on this computer, for running with no hardware.

mod gallery;
mod panel;
mod telling;
mod wall;

use std::io::{self, ErrorKind};
use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use glowloom_wire::patch::{Address, PanelPatch};
use glowloom_wire::{Patch, e131};
use socket2::SockRef;

use crate::DriveError;
use crate::groups::{ROOM, join, multicast_groups, shared};
use crate::receive::{Answers, Counts, OnLoss, Other, State};
use crate::spread::Spread;
use gallery::Gallery;
use panel::Panel;
use telling::Telling;
use wall::Wall;

/// How long the thread sleeps at most: how late a loss or the end may be noticed.
const NAP: Duration = Duration::from_millis(20);

/// Which panels to open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// All virtual ones.
    Virtual,
    /// All virtual ones, and those with a loopback address. Never another machine's.
    AlsoLoopback,
    /// Those virtual ones that nobody holds.
    Free,
}

/// How one virtual panel is doing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VirtualHealth {
    /// The panel's name.
    pub name: String,
    /// Where it listens.
    pub at: SocketAddr,
    /// Something else holds its port, so it was not opened ([`Which::Free`]).
    pub held_elsewhere: bool,
    /// Whether it gets frames.
    pub state: State,
    /// Who sends them.
    pub from: Option<SocketAddr>,
    /// Another sender that is not shown.
    pub other: Option<Other>,
    /// What it has counted.
    pub counts: Counts,
}

/// Virtual panels, open until dropped.
#[derive(Debug)]
pub struct VirtualPanels {
    gallery: Arc<Gallery>,
    closing: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

/// The sockets of one panel: its own, and those that have joined groups.
struct Inlet {
    sockets: Vec<UdpSocket>,
}

impl VirtualPanels {
    /// Opens virtual panels on this computer.
    ///
    /// # Errors
    /// [`DriveError::PortHeld`] or [`DriveError::Listen`] names the panel and its port; none is
    /// open then. With [`Which::Free`] a port that is held is no error.
    pub fn open(patch: &Patch, which: Which, on_loss: OnLoss) -> Result<Self, DriveError> {
        Self::open_all(patch, which, on_loss, None)
    }

    /// The same, and each panel also joins the multicast groups of its universes and of the
    /// synchronization packets on one interface of this computer (ANSI E1.31 only).
    ///
    /// # Errors
    /// As [`VirtualPanels::open`], and [`DriveError::Join`], or [`DriveError::Multicast`] with
    /// another protocol.
    pub fn open_joined(
        patch: &Patch,
        which: Which,
        on_loss: OnLoss,
        interface: Ipv4Addr,
    ) -> Result<Self, DriveError> {
        let protocol = patch.common().protocol;
        if protocol != glowloom_wire::patch::Protocol::E131 {
            return Err(DriveError::Multicast(protocol));
        }
        Self::open_all(patch, which, on_loss, Some(interface))
    }

    fn open_all(
        patch: &Patch,
        which: Which,
        on_loss: OnLoss,
        interface: Option<Ipv4Addr>,
    ) -> Result<Self, DriveError> {
        let common = patch.common();
        let (mut opened, mut health) = (Vec::new(), Vec::new());
        for panel in patch.panels() {
            let Some(at) = here(&panel.address, which) else { continue };
            let socket = listen(panel, at, which)?;
            health.push(VirtualHealth {
                name: panel.name.clone(),
                at,
                held_elsewhere: socket.is_none(),
                state: State::Waiting,
                from: None,
                other: None,
                counts: Counts::default(),
            });
            if let Some(socket) = socket {
                opened.push((health.len() - 1, panel, Inlet { sockets: vec![socket] }));
            }
        }
        if let Some(interface) = interface {
            for (place, panel, inlet) in &mut opened {
                inlet.share(health[*place].at).map_err(|error| join_error(panel, error))?;
            }
            for (place, panel, inlet) in &mut opened {
                let sync = e131::Universe::new(common.sync_universe).ok();
                let sync = sync.map(e131::Universe::multicast);
                let groups = multicast_groups(common, panel).into_iter().chain(sync).collect();
                let joined = join(&groups, health[*place].at.port(), interface);
                inlet.sockets.extend(joined.map_err(|error| join_error(panel, error))?);
            }
        }
        let (mut receivers, mut inlets, mut answers) = (Vec::new(), Vec::new(), Vec::new());
        for (place, panel, inlet) in opened {
            let telling = Telling::new(patch, panel, place);
            answers.push((Answers::of(common, panel), telling));
            receivers.push((place, Panel::new(common, panel, on_loss)));
            inlets.push(inlet);
        }
        let gallery = Arc::new(Gallery::new(patch.frame_bytes(), health));
        let closing = Arc::new(AtomicBool::new(false));
        let wall = Wall::new(receivers, Arc::clone(&gallery));
        let flag = Arc::clone(&closing);
        let hung = Arc::clone(&gallery);
        let thread = thread::Builder::new()
            .name("virtual panels".into())
            .spawn(move || receive(wall, &hung, &inlets, answers, &flag))
            .map_err(DriveError::Thread)?;
        Ok(Self { gallery, closing, thread: Some(thread) })
    }

    /// How the panels are doing, in the order of the patch; those that are not on this computer are
    /// left out.
    #[must_use]
    pub fn health(&self) -> Vec<VirtualHealth> {
        self.gallery.health()
    }

    /// How far apart in time panels showed the same frame: from the first to the last panel of each whole
    /// frame, as this computer's clock has it.
    #[must_use]
    pub fn skew(&self) -> Spread {
        self.gallery.skew()
    }

    /// What the wall shows right now: rows from the top, slots of a pixel together, into a buffer
    /// that is made to fit. Gives the number of whole frames so far.
    ///
    /// A frame is whole when every panel that gets frames has shown one since the last whole frame.
    /// In the first second after frames begin to come, every panel that is open is waited for.
    pub fn picture(&self, into: &mut Vec<u8>) -> u64 {
        self.gallery.picture(into)
    }

    /// The next whole frame, each of them once and in order, as [`VirtualPanels::picture`] gives
    /// it, with its number from 1. `None` if none comes within this time, or none will come any
    /// more. Whoever is slow finds the last frames, 4 to 64 of them by their size; the number tells
    /// how many are missing.
    pub fn wait_for_frame(&self, most: Duration, into: &mut Vec<u8>) -> Option<u64> {
        self.gallery.wait_for_frame(most, into)
    }
}

impl Drop for VirtualPanels {
    fn drop(&mut self) {
        self.closing.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            // A panic there has been reported by its thread.
            let _ = thread.join();
        }
    }
}

/// Where a panel listens on this computer, if it is to be opened.
fn here(address: &Address, which: Which) -> Option<SocketAddr> {
    match address {
        Address::Virtual { port } => Some(SocketAddr::from((Ipv4Addr::LOCALHOST, *port))),
        Address::Udp { host, port } if which == Which::AlsoLoopback => {
            // The one name that always means this computer (RFC 6761).
            let localhost = host.eq_ignore_ascii_case("localhost");
            let ip =
                if localhost { Ipv4Addr::LOCALHOST.into() } else { host.parse::<IpAddr>().ok()? };
            ip.is_loopback().then(|| SocketAddr::new(ip, *port))
        }
        Address::Udp { .. } | Address::Serial { .. } => None,
    }
}

/// Opens a panel's own socket. `None`: something else holds the port, and that is allowed.
fn listen(
    panel: &PanelPatch,
    at: SocketAddr,
    which: Which,
) -> Result<Option<UdpSocket>, DriveError> {
    let opened = UdpSocket::bind(at).and_then(|socket| {
        socket.set_nonblocking(true)?;
        Ok(socket)
    });
    let name = || panel.name.clone();
    match opened {
        Ok(socket) => {
            // A smaller buffer may lose packets, and each that is lost is counted.
            let _ = SockRef::from(&socket).set_recv_buffer_size(ROOM);
            Ok(Some(socket))
        }
        Err(error) if error.kind() == ErrorKind::AddrInUse && which == Which::Free => Ok(None),
        Err(error) if error.kind() == ErrorKind::AddrInUse => {
            Err(DriveError::PortHeld { panel: name(), at })
        }
        Err(error) => Err(DriveError::Listen { panel: name(), at, error }),
    }
}

impl Inlet {
    /// Opens the panel's own socket anew, so that sockets of groups may have its port, too. Another
    /// program that wants the port for itself still finds it held.
    fn share(&mut self, at: SocketAddr) -> io::Result<()> {
        self.sockets.clear();
        self.sockets.push(shared(at)?);
        Ok(())
    }
}

fn join_error(panel: &PanelPatch, error: io::Error) -> DriveError {
    DriveError::Join { panel: panel.name.clone(), error }
}

/// Reads packets until told to close.
fn receive(
    mut wall: Wall,
    gallery: &Gallery,
    inlets: &[Inlet],
    mut answers: Vec<(Option<Answers>, Telling)>,
    closing: &AtomicBool,
) {
    let start = Instant::now();
    // The largest UDP payload, so that nothing is cut.
    let mut buffer = vec![0; 1 << 16];
    let mut doorbell = Doorbell::new(inlets);
    while !closing.load(Ordering::Relaxed) {
        doorbell.wait(NAP);
        let mut read = |panel: usize, buffer: &mut [u8]| loop {
            // However much waits: who closes does not wait for it.
            if closing.load(Ordering::Relaxed) {
                return None;
            }
            let sockets = &inlets.get(panel)?.sockets;
            let (socket, (size, from)) =
                sockets.iter().find_map(|socket| Some((socket, socket.recv_from(buffer).ok()?)))?;
            let Some((answers, telling)) = answers.get_mut(panel) else {
                return Some((size, from));
            };
            let bytes = &buffer[..size];
            let send = |reply: &[u8]| {
                // Who asks and does not wait for the answer misses it.
                let _ = socket.send_to(reply, from);
            };
            if telling.answer(start.elapsed(), bytes, gallery, send) {
                continue;
            }
            if let Some(answers) = answers {
                let ip = || match socket.local_addr() {
                    Ok(SocketAddr::V4(at)) => *at.ip(),
                    _ => Ipv4Addr::UNSPECIFIED,
                };
                answers.answer(start.elapsed(), ip, bytes, send);
            }
            return Some((size, from));
        };
        while wall.round(start.elapsed(), &mut buffer, &mut read)
            && !closing.load(Ordering::Relaxed)
        {
            wall.wait(start.elapsed());
        }
        wall.wait(start.elapsed());
    }
    wall.close();
}

/// Sleeps until a packet comes to any socket.
#[cfg(unix)]
struct Doorbell<'a>(Vec<rustix::event::PollFd<'a>>);

#[cfg(unix)]
impl<'a> Doorbell<'a> {
    fn new(inlets: &'a [Inlet]) -> Self {
        use rustix::event::{PollFd, PollFlags};
        let sockets = inlets.iter().flat_map(|inlet| &inlet.sockets);
        Self(sockets.map(|socket| PollFd::new(socket, PollFlags::IN)).collect())
    }

    fn wait(&mut self, most: Duration) {
        let most = rustix::event::Timespec { tv_sec: 0, tv_nsec: most.subsec_nanos().into() };
        // A signal only wakes it up early; without sockets it sleeps the whole time.
        let _ = rustix::event::poll(&mut self.0, Some(&most));
    }
}

/// Sleeps for a moment, on systems where many sockets cannot be waited for.
#[cfg(not(unix))]
struct Doorbell;

#[cfg(not(unix))]
impl Doorbell {
    fn new(_: &[Inlet]) -> Self {
        Self
    }

    fn wait(&mut self, _: Duration) {
        thread::sleep(Duration::from_millis(1));
    }
}
