//! The way to one receiver: its socket, and what became of the frame.
//!
//! Nothing here waits. What cannot leave at once is dropped with the rest of its frame, so a
//! receiver that is out of reach takes no time from the others.

use std::io;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, UdpSocket};
use std::ops::Range;
use std::sync::Arc;
use std::time::Duration;

use socket2::SockRef;

use crate::Multicast;
use crate::block::Block;
use crate::burst::{self, Burst};
use crate::health::{Fault, LinkCounts};

/// A socket that failed is opened anew after this long.
const REOPEN: Duration = Duration::from_secs(1);

/// Room for one packet in a socket's buffer, with what the system keeps around it. Common practice,
/// no source.
const ROOM: usize = 2048;

/// Where a panel's packets go.
#[derive(Clone, Debug)]
pub(crate) enum Aim {
    /// To the receiver; `None`: its address is not known yet.
    Receiver(Option<SocketAddr>),
    /// To a group for each packet.
    Groups(Vec<SocketAddr>, Multicast),
}

/// The way to one receiver.
#[derive(Debug)]
pub(crate) struct Link {
    panel: usize,
    aim: Aim,
    /// The panel's packets, less the one that shows the frame if there is such a one.
    packets: Range<usize>,
    /// Whether there is such a one.
    shows: bool,
    socket: Option<UdpSocket>,
    /// When a socket may be opened again.
    reopen: Duration,
    /// The next packet of this frame.
    next: usize,
    whole: bool,
    /// Whether the frame before was refused, which is found out in this one.
    refused: bool,
    /// Whether the frame before was counted as sent.
    sent_before: bool,
    counts: Arc<LinkCounts>,
}

impl Link {
    pub fn new(
        panel: usize,
        aim: Aim,
        packets: Range<usize>,
        shows: bool,
        counts: Arc<LinkCounts>,
    ) -> Self {
        if let Aim::Receiver(at) = aim {
            counts.note_address(at);
        }
        Self {
            panel,
            aim,
            next: packets.start,
            packets,
            shows,
            socket: None,
            reopen: Duration::ZERO,
            whole: false,
            refused: false,
            sent_before: false,
            counts,
        }
    }

    /// Follows a receiver to another address.
    pub fn move_to(&mut self, at: Option<SocketAddr>) {
        if let Aim::Receiver(aim) = &mut self.aim
            && *aim != at
        {
            *aim = at;
            self.socket = None;
            self.reopen = Duration::ZERO;
            self.counts.note_address(at);
        }
    }

    /// Begins a frame.
    pub fn begin(&mut self, now: Duration) {
        self.next = self.packets.start;
        (self.whole, self.refused) = (true, false);
        if self.socket.is_some() {
            return;
        }
        if let Aim::Receiver(None) = self.aim {
            return self.fail(Fault::Unresolved);
        }
        // The fault that closed the socket is still noted.
        if now < self.reopen {
            self.whole = false;
            return;
        }
        self.reopen = now + REOPEN;
        match self.open() {
            Ok(socket) => self.socket = Some(socket),
            Err(error) => self.fail(Fault::from(&error)),
        }
    }

    fn open(&self) -> io::Result<UdpSocket> {
        match &self.aim {
            Aim::Receiver(at) => {
                let to = at.ok_or(io::ErrorKind::AddrNotAvailable)?;
                let any = match to {
                    SocketAddr::V4(_) => IpAddr::V4(Ipv4Addr::UNSPECIFIED),
                    SocketAddr::V6(_) => IpAddr::V6(Ipv6Addr::UNSPECIFIED),
                };
                let socket = UdpSocket::bind((any, 0))?;
                socket.set_nonblocking(true)?;
                socket.connect(to)?;
                self.make_room(&socket);
                Ok(socket)
            }
            Aim::Groups(_, multicast) => {
                let socket = open_multicast(*multicast)?;
                self.make_room(&socket);
                Ok(socket)
            }
        }
    }

    /// Asks for room for a whole frame. A system that gives less drops more frames, and each is
    /// counted.
    fn make_room(&self, socket: &UdpSocket) {
        let socket = SockRef::from(socket);
        let wanted = self.packets.len() * ROOM;
        if socket.send_buffer_size().is_ok_and(|size| size < wanted) {
            let _ = socket.set_send_buffer_size(wanted);
        }
    }

    /// Sends some of the packets that are left, at most so many. `true` while more are.
    pub fn turn(&mut self, block: &mut Block, burst: &mut Burst, most: usize) -> bool {
        let end = self.packets.end.min(self.next + most);
        self.send(block, burst, self.next..end);
        self.whole && self.next < self.packets.end
    }

    /// How many packets it has to send before the one that shows the frame.
    pub fn packets(&self) -> usize {
        self.packets.len()
    }

    /// Sends the packet that shows the frame, which is the one after all others.
    pub fn send_last(&mut self, block: &mut Block, burst: &mut Burst) {
        self.send(block, burst, self.packets.end..self.packets.end + usize::from(self.shows));
    }

    fn send(&mut self, block: &mut Block, burst: &mut Burst, packets: Range<usize>) {
        if !self.whole || packets.is_empty() {
            return;
        }
        let Some(socket) = &self.socket else { return };
        block.number(self.panel, packets.clone());
        let shared: &Block = block;
        let get = |nth| shared.packet(packets.start + nth);
        let mut sent = match &self.aim {
            Aim::Receiver(_) => burst.send(socket, packets.len(), &get),
            Aim::Groups(groups, _) => {
                let groups = &groups[packets.start - self.packets.start..];
                send_to_groups(socket, groups, packets.len(), get)
            }
        };
        // A refusal that is found before anything has left is the answer to the frame before.
        let first = packets.start == self.packets.start && sent.packets == 0;
        if let Some(error) = sent.error.as_ref().filter(|error| first && is_refusal(error))
            && self.is_to_receiver()
        {
            if std::mem::take(&mut self.sent_before) {
                self.counts.note_refused();
            }
            self.refused = true;
            self.counts.note_fault(Fault::from(error));
            sent = burst.send(socket, packets.len(), &get);
        }
        self.next = packets.start + sent.packets;
        block.sent(self.panel, packets.start..self.next);
        if let Some(error) = sent.error {
            self.note_error(&error);
        }
    }

    /// Sends a packet that tells the receiver to show what it holds, if it holds a whole frame.
    /// `true` if it left.
    pub fn send_sync(&mut self, packet: &[u8]) -> bool {
        if !self.whole {
            return false;
        }
        let Some(socket) = &self.socket else { return false };
        match burst::send_one(socket, packet) {
            Ok(()) => true,
            Err(error) => {
                self.note_error(&error);
                false
            }
        }
    }

    /// Whether packets go to the receiver's own address.
    pub const fn is_to_receiver(&self) -> bool {
        matches!(self.aim, Aim::Receiver(_))
    }

    /// The panel's place in the patch.
    pub const fn panel(&self) -> usize {
        self.panel
    }

    /// The receiver's address, where it is known and packets go there.
    pub const fn address(&self) -> Option<SocketAddr> {
        match self.aim {
            Aim::Receiver(at) => at,
            Aim::Groups(..) => None,
        }
    }

    /// Ends a frame.
    pub fn finish(&mut self) {
        self.sent_before = self.whole;
        if self.whole {
            self.counts.note_sent(self.refused);
        } else {
            self.counts.note_dropped();
        }
    }

    fn note_error(&mut self, error: &io::Error) {
        // What may be over at the next frame does not cost the socket.
        if !is_refusal(error) && error.kind() != io::ErrorKind::WouldBlock {
            self.socket = None;
        }
        self.fail(Fault::from(error));
    }

    fn fail(&mut self, fault: Fault) {
        self.whole = false;
        self.counts.note_fault(fault);
    }
}

/// Whether the receiver's computer answered that nobody listens there. Windows calls it a reset.
fn is_refusal(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::ConnectionRefused | io::ErrorKind::ConnectionReset)
}

fn send_to_groups<'a>(
    socket: &UdpSocket,
    groups: &[SocketAddr],
    count: usize,
    get: impl Fn(usize) -> &'a [u8],
) -> burst::Sent {
    for (nth, group) in groups.iter().enumerate().take(count) {
        if let Err(error) = socket.send_to(get(nth), group) {
            return burst::Sent { packets: nth, error: Some(error) };
        }
    }
    burst::Sent { packets: count, error: None }
}

/// A socket for sending to groups.
pub(crate) fn open_multicast(multicast: Multicast) -> io::Result<UdpSocket> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0))?;
    socket.set_nonblocking(true)?;
    let options = SockRef::from(&socket);
    options.set_multicast_ttl_v4(multicast.time_to_live.into())?;
    if let Some(interface) = multicast.interface {
        options.set_multicast_if_v4(&interface)?;
    }
    Ok(socket)
}
