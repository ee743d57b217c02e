//! Many packets to one receiver with as few calls of the system as it offers.

use std::io;
use std::net::UdpSocket;

/// Packets to a call. Beyond this a longer call gains little, and one receiver would get a long
/// burst while the others wait for their turn.
pub(crate) const MOST: usize = 16;

/// What came of sending some packets.
#[derive(Debug)]
pub(crate) struct Sent {
    /// Packets that left, from the first on.
    pub packets: usize,
    /// Why the next one did not.
    pub error: Option<io::Error>,
}

/// Sends packets over a socket that is connected and does not block.
#[derive(Debug)]
pub(crate) struct Burst {
    /// Whether the system takes many packets in one call: found out by trying.
    #[cfg_attr(not(target_os = "linux"), allow(dead_code, reason = "only Linux has such a call"))]
    many: bool,
}

impl Burst {
    /// `many`: whether to try one call for many packets.
    pub const fn new(many: bool) -> Self {
        Self { many }
    }

    /// Sends `count` packets, of which `get` gives the nth. Either all leave, or there is an error.
    pub fn send<'a>(
        &mut self,
        socket: &UdpSocket,
        count: usize,
        get: &impl Fn(usize) -> &'a [u8],
    ) -> Sent {
        let mut done = 0;
        #[cfg(target_os = "linux")]
        while self.many && done < count {
            match send_many(socket, done..count, get) {
                Ok(more) => done += more,
                Err(rustix::io::Errno::INTR) => {}
                Err(rustix::io::Errno::NOSYS) => self.many = false,
                Err(error) => return Sent { packets: done, error: Some(error.into()) },
            }
            // A call that stops half-way keeps the reason to itself. One packet alone either fails
            // for the same reason, or makes the next call fail for it.
            if self.many && done < count {
                match send_one(socket, get(done)) {
                    Ok(()) => done += 1,
                    Err(error) => return Sent { packets: done, error: Some(error) },
                }
            }
        }
        while done < count {
            match send_one(socket, get(done)) {
                Ok(()) => done += 1,
                Err(error) => return Sent { packets: done, error: Some(error) },
            }
        }
        Sent { packets: done, error: None }
    }
}

/// Sends one packet over a socket that is connected.
pub(crate) fn send_one(socket: &UdpSocket, packet: &[u8]) -> io::Result<()> {
    loop {
        match socket.send(packet) {
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            sent => return sent.map(|_| ()),
        }
    }
}

/// One call for all of these packets, as far as the system takes them.
#[cfg(target_os = "linux")]
fn send_many<'a>(
    socket: &UdpSocket,
    which: std::ops::Range<usize>,
    get: &impl Fn(usize) -> &'a [u8],
) -> rustix::io::Result<usize> {
    use rustix::net::{MMsgHdr, SendAncillaryBuffer, SendFlags, sendmmsg};
    use std::io::IoSlice;

    let count = which.len().min(MOST);
    let pieces: [[IoSlice<'_>; 1]; MOST] = std::array::from_fn(|nth| {
        [IoSlice::new(if nth < count { get(which.start + nth) } else { &[] })]
    });
    let mut controls: [SendAncillaryBuffer<'_, '_, '_>; MOST] = Default::default();
    let mut piece = pieces.iter();
    let mut messages =
        controls.each_mut().map(|control| MMsgHdr::new(piece.next().map_or(&[], |p| p), control));
    sendmmsg(socket, &mut messages[..count], SendFlags::empty())
}
