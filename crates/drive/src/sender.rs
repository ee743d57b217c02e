//! One frame to all panels: first all data, then the packets that show it everywhere at once.

use std::collections::BTreeSet;
use std::net::{IpAddr, SocketAddr, UdpSocket};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use glowloom_wire::patch::{Address, PanelPatch, Protocol};
use glowloom_wire::{Patch, artnet, e131, status};

use crate::asking::Asking;
use crate::block::Block;
use crate::burst::{self, Burst};
use crate::cable::Cable;
use crate::cables;
use crate::discovery::Discovery;
use crate::groups::multicast_groups;
use crate::health::{LinkCounts, PanelHealth, Watch, WatchedLink};
use crate::link::{Aim, Link, open_multicast};
use crate::resolve::{Resolver, system_lookup};
use crate::slots::{self, Slots};
use crate::{DriveError, Multicast, Settings};

/// How many packets are handed to the system in one call.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Calls {
    /// As many as it takes, up to 16.
    #[default]
    Many,
    /// One by one.
    One,
}

/// Sends frames to all panels of a wall. Waits for nothing, unless packets are to be spread over the frame, and
/// takes no memory once it runs.
#[derive(Debug)]
pub struct Sender {
    block: Block,
    burst: Burst,
    links: Vec<Link>,
    cables: Vec<Cable>,
    /// For links to a host, which panel and port it is, and the host's place in the resolver's list.
    hosts: Vec<Host>,
    /// How many changes of addresses have been followed.
    followed: u64,
    sync: Sync,
    /// Where packets are spread over the frame.
    slots: Option<Slots>,
    discovery: Option<Discovery>,
    asking: Option<Asking>,
    watch: Arc<Watch>,
}

#[derive(Debug)]
struct Host {
    link: usize,
    port: u16,
}

impl Sender {
    /// Lays out the packets of a wall and begins to look for the receivers' addresses.
    ///
    /// # Errors
    /// [`DriveError`] where the wall cannot be sent to at all. A receiver that is out of reach is
    /// no error: see [`Sender::panels`].
    pub fn new(patch: &Patch, settings: &Settings, calls: Calls) -> Result<Self, DriveError> {
        let common = patch.common();
        if settings.multicast.is_some() && common.protocol != Protocol::E131 {
            return Err(DriveError::Multicast(common.protocol));
        }
        let block = Block::new(patch, settings)?;
        let (mut hosts, mut names) = (Vec::new(), Vec::new());
        let (mut links, mut watched) = (Vec::new(), Vec::new());
        for (index, panel) in patch.panels().iter().enumerate() {
            let mut packets = block.packets_of(index);
            // With DDP the last packet is the one that shows the frame.
            let shows = common.protocol == Protocol::Ddp && !packets.is_empty();
            packets.end -= usize::from(shows);
            let counts = Arc::new(LinkCounts::default());
            let (mut host, mut port) = (None, None);
            let aim = match (&panel.address, settings.multicast) {
                (Address::Serial { port: name, .. }, _) => {
                    port.clone_from(name);
                    None
                }
                (Address::Virtual { port }, _) => {
                    Some(Aim::Receiver(Some(SocketAddr::from(([127, 0, 0, 1], *port)))))
                }
                (Address::Udp { port, .. }, Some(multicast)) => {
                    let groups = multicast_groups(common, panel).into_iter();
                    let groups = groups.map(|ip| (ip, *port).into()).collect();
                    Some(Aim::Groups(groups, multicast))
                }
                (Address::Udp { host: name, port }, None) => {
                    host = Some((names.len(), name.clone()));
                    hosts.push(Host { link: links.len(), port: *port });
                    names.push(name.clone());
                    Some(Aim::Receiver(None))
                }
            };
            watched.push(WatchedLink {
                name: panel.name.clone(),
                host,
                port,
                print: status::print(common, panel),
                packets: packets.len() + usize::from(shows),
                counts: Arc::clone(&counts),
            });
            if let Some(aim) = aim {
                links.push(Link::new(index, aim, packets, shows, counts));
            }
        }
        let cables = start_cables(patch, &block, &mut watched)?;
        let resolver = Arc::new(Resolver::start(&names, system_lookup)?);
        let watch = Watch {
            links: watched,
            start: Instant::now(),
            resolver,
            discovery_failures: AtomicU64::new(0),
        };
        let mut sender = Self {
            sync: Sync::new(patch, settings)?,
            discovery: (common.protocol == Protocol::E131 && reaches_others(patch)).then(|| {
                let all = patch.panels().iter().flat_map(|panel| panel.universes(common.channels));
                Discovery::new(settings, all)
            }),
            asking: (common.protocol == Protocol::ArtNet)
                .then(|| Asking::new(links.len(), reaches_others(patch), &settings.source_name)),
            slots: settings.spread.map(|over| Slots::new(over, links.iter().map(Link::packets))),
            block,
            burst: Burst::new(calls == Calls::Many),
            links,
            cables,
            hosts,
            followed: 0,
            watch: Arc::new(watch),
        };
        sender.follow();
        Ok(sender)
    }

    /// Puts a picture into the packets; see [`Block::draw`].
    ///
    /// # Errors
    /// [`DriveError::FrameSize`].
    pub fn draw(&mut self, frame: &[u8]) -> Result<u64, DriveError> {
        self.block.draw(frame)
    }

    /// Makes all pixels black.
    pub fn blacken(&mut self) {
        self.block.blacken();
    }

    /// From now on says that the stream ends; see [`Block::terminate`].
    pub fn terminate(&mut self) {
        self.block.terminate();
        if matches!(self.sync, Sync::E131 { .. }) {
            self.sync = Sync::None;
        }
    }

    /// Sends the frame to all panels. `now` is the time since some start and never steps back.
    pub fn send(&mut self, now: Duration) {
        let changes = self.watch.resolver.changes();
        if changes != self.followed {
            self.followed = changes;
            self.follow();
        }
        if let Some(discovery) = &mut self.discovery {
            let failed = discovery.step(now);
            self.watch.discovery_failures.fetch_add(failed, Ordering::Relaxed);
        }
        if let Some(asking) = &mut self.asking {
            let (links, watched) = (&self.links, &self.watch.links);
            asking.step(now, links.iter().map(Link::address), |link, how| {
                watched[links[link].panel()].counts.note_answering(how);
            });
        }
        let (links, block, burst) = (&mut self.links, &mut self.block, &mut self.burst);
        links.iter_mut().for_each(|link| link.begin(now));
        // In turns, so that no receiver gets all of its packets in one go while others wait.
        let (began, mut slot) = (Instant::now(), 0);
        let most = if self.slots.is_some() { slots::TOGETHER } else { burst::MOST };
        let mut left = true;
        while left {
            left = false;
            for link in &mut *links {
                if let Some(wait) = self.slots.and_then(|all| all.wait(slot, began.elapsed())) {
                    std::thread::sleep(wait);
                }
                left |= link.turn(block, burst, most);
                slot += 1;
            }
        }
        match &mut self.sync {
            Sync::None => {}
            Sync::LastPacket => links.iter_mut().for_each(|link| link.send_last(block, burst)),
            Sync::ArtNet(packet) => links.iter_mut().for_each(|link| {
                link.send_sync(packet);
            }),
            Sync::E131 { packet, numbers, group } => {
                for (link, number) in links.iter_mut().zip(numbers) {
                    if link.is_to_receiver() {
                        e131::sync::set_sequence(packet, *number);
                        *number = number.wrapping_add(u8::from(link.send_sync(packet)));
                    }
                }
                if let Some(group) = group {
                    group.send(packet);
                }
            }
        }
        links.iter_mut().for_each(Link::finish);
        self.cables.iter_mut().for_each(|cable| cable.send(&self.block));
    }

    fn follow(&mut self) {
        for (place, host) in self.hosts.iter().enumerate() {
            self.links[host.link].move_to(self.watch.resolver.address(place, host.port));
        }
    }

    /// Goes on where another sender of the wall has stopped: with its packet numbers, panel by panel of
    /// one name.
    pub(crate) fn go_on_from(&mut self, before: &Self) {
        let was = |panel: usize| {
            let name = &self.watch.links.get(panel)?.name;
            before.watch.links.iter().position(|link| link.name == *name)
        };
        self.block.go_on_from(&before.block, was);
        if let (
            Sync::E131 { numbers, group, .. },
            Sync::E131 { numbers: old_numbers, group: old_group, .. },
        ) = (&mut self.sync, &before.sync)
        {
            for (link, number) in self.links.iter().zip(numbers) {
                let name = &self.watch.links[link.panel()].name;
                let old = before.links.iter().zip(old_numbers);
                let same = |link: &Link| before.watch.links[link.panel()].name == *name;
                if let Some((_, old)) = old.into_iter().find(|(link, _)| same(link)) {
                    *number = *old;
                }
            }
            if let (Some(group), Some(old)) = (group, old_group) {
                group.number = old.number;
            }
        }
    }

    /// Sends no more to these panels, by their place in the patch, nor over any cable.
    pub(crate) fn leave(&mut self, panels: impl Fn(usize) -> bool) {
        self.cables.clear();
        self.hosts.clear();
        (self.discovery, self.asking) = (None, None);
        if let Sync::E131 { numbers, .. } = &mut self.sync {
            let mut kept = self.links.iter().map(|link| !panels(link.panel()));
            let all = std::mem::take(numbers).into_iter();
            *numbers = all.filter(|_| kept.next().unwrap_or(false)).collect();
        }
        self.links.retain(|link| !panels(link.panel()));
    }

    /// Lets go of all cables, when what waits has been written.
    pub(crate) fn let_go_of_cables(&mut self) {
        self.cables.clear();
    }

    /// Whether any panel is left to send to.
    pub(crate) fn has_links(&self) -> bool {
        !self.links.is_empty()
    }

    /// How the panels are doing, in the order of the patch.
    #[must_use]
    pub fn panels(&self) -> Vec<PanelHealth> {
        self.watch.panels()
    }

    pub(crate) fn watch(&self) -> Arc<Watch> {
        Arc::clone(&self.watch)
    }
}

/// What makes all panels show a frame at once.
#[derive(Debug)]
enum Sync {
    /// Nothing: the stream ends.
    None,
    /// The last packet of each panel, held back until all others have left.
    LastPacket,
    /// A packet to each receiver.
    ArtNet([u8; artnet::sync::SIZE]),
    /// A packet to each receiver, numbered for each, and one to the group if data goes to groups.
    E131 { packet: [u8; e131::sync::SIZE], numbers: Vec<u8>, group: Option<SyncGroup> },
}

impl Sync {
    fn new(patch: &Patch, settings: &Settings) -> Result<Self, DriveError> {
        let common = patch.common();
        Ok(match common.protocol {
            Protocol::Ddp => Self::LastPacket,
            Protocol::ArtNet => {
                let mut packet = [0; artnet::sync::SIZE];
                // The buffer has the packet's size.
                let _ = artnet::sync::Sync.emit(&mut packet);
                Self::ArtNet(packet)
            }
            Protocol::E131 => {
                let number = common.sync_universe;
                let address =
                    e131::Universe::new(number).map_err(|_| DriveError::SyncUniverse(number))?;
                let cid = e131::Cid(settings.cid);
                let mut packet = [0; e131::sync::SIZE];
                // The buffer has the packet's size.
                let _ = e131::sync::Sync { cid, sequence: 0, address }.emit(&mut packet);
                let ports = patch.panels().iter().filter_map(|panel| match panel.address {
                    Address::Udp { port, .. } => Some(port),
                    Address::Virtual { .. } | Address::Serial { .. } => None,
                });
                let group = settings.multicast.map(|multicast| SyncGroup {
                    to: ports
                        .collect::<BTreeSet<_>>()
                        .into_iter()
                        .map(|port| SocketAddr::from((address.multicast(), port)))
                        .collect(),
                    multicast,
                    socket: None,
                    number: 0,
                });
                Self::E131 { packet, numbers: vec![0; patch.panels().len()], group }
            }
        })
    }
}

/// The multicast group of the synchronization packets.
#[derive(Debug)]
struct SyncGroup {
    /// The group, at each port that panels listen on.
    to: Vec<SocketAddr>,
    multicast: Multicast,
    socket: Option<UdpSocket>,
    number: u8,
}

impl SyncGroup {
    /// Sends one packet. A failure shows with the panels' data, which goes the same way.
    fn send(&mut self, packet: &mut [u8]) {
        if self.socket.is_none() {
            self.socket = open_multicast(self.multicast).ok();
        }
        let Some(socket) = &self.socket else { return };
        e131::sync::set_sequence(packet, self.number);
        for to in &self.to {
            let _ = socket.send_to(packet, to);
        }
        self.number = self.number.wrapping_add(1);
    }
}

/// Begins to write to each cable of a wall. All panels of one are counted together.
fn start_cables(
    patch: &Patch,
    block: &Block,
    watched: &mut [WatchedLink],
) -> Result<Vec<Cable>, DriveError> {
    let channels = patch.common().channels;
    let start = |wired: cables::Wired| {
        let counts = Arc::new(LinkCounts::default());
        let packets = wired.panels.iter().map(|(panel, _)| block.packets_of(*panel)).collect();
        for (panel, _) in &wired.panels {
            watched[*panel].counts = Arc::clone(&counts);
        }
        Cable::start(wired.port, wired.bits, channels, block, packets, counts)
    };
    cables::of(patch)?.into_iter().map(start).collect()
}

/// Whether anybody but this computer gets packets.
pub(crate) fn reaches_others(patch: &Patch) -> bool {
    let elsewhere = |panel: &PanelPatch| match &panel.address {
        Address::Udp { host, .. } => !host.parse().is_ok_and(|ip: IpAddr| ip.is_loopback()),
        Address::Virtual { .. } | Address::Serial { .. } => false,
    };
    patch.panels().iter().any(elsewhere)
}
