//! The multicast groups of a panel (ANSI E1.31), and sockets that hear them.

use std::collections::BTreeSet;
use std::io;
use std::net::{Ipv4Addr, SocketAddr, UdpSocket};

use glowloom_wire::e131::Universe;
use glowloom_wire::patch::{Common, PanelPatch};
use socket2::{Domain, Protocol, SockRef, Socket, Type};

/// Room asked for in each socket that receives, bytes. The system may give less.
pub(crate) const ROOM: usize = 4 << 20;

/// Groups that one socket joins at most: what systems allow without being asked (Linux, from its
/// documentation of `igmp_max_memberships`).
const GROUPS_PER_SOCKET: usize = 20;

/// The group of each packet of a panel, in their order: that of its universe.
pub(crate) fn multicast_groups(common: &Common, panel: &PanelPatch) -> Vec<Ipv4Addr> {
    let universes = panel.universes(common.channels);
    universes.filter_map(|number| Universe::new(number).ok()).map(Universe::multicast).collect()
}

/// A socket that does not wait and shares its port.
pub(crate) fn shared(at: SocketAddr) -> io::Result<UdpSocket> {
    let socket = Socket::new(Domain::for_address(at), Type::DGRAM, Some(Protocol::UDP))?;
    socket.set_reuse_address(true)?;
    socket.set_nonblocking(true)?;
    let _ = socket.set_recv_buffer_size(ROOM);
    socket.bind(&at.into())?;
    Ok(socket.into())
}

/// Sockets that have joined these groups. Several programs, and several panels, may listen to one.
pub(crate) fn join(
    groups: &BTreeSet<Ipv4Addr>,
    port: u16,
    interface: Ipv4Addr,
) -> io::Result<Vec<UdpSocket>> {
    let groups: Vec<_> = groups.iter().collect();
    let mut sockets = Vec::new();
    for some in groups.chunks(GROUPS_PER_SOCKET) {
        let socket = shared((Ipv4Addr::UNSPECIFIED, port).into())?;
        let options = SockRef::from(&socket);
        // Else a socket also gets what others on this computer have joined.
        #[cfg(target_os = "linux")]
        options.set_multicast_all_v4(false)?;
        for group in some {
            options.join_multicast_v4(group, &interface)?;
        }
        sockets.push(socket);
    }
    Ok(sockets)
}
