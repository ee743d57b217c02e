//! The daemon that speaks multicast DNS, and what is said and heard over it.

use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use glowloom_wire::patch::PanelPatch;
use glowloom_wire::{Patch, status};
use mdns_sd::{IfKind, ResolvedService, ServiceDaemon, ServiceEvent, ServiceInfo};

use super::register::{Record, Register, said};
use super::turns::{Claim, Rival, Turns};
use super::{Neighbour, Reach, SERVICE, SHOWS, word};

/// How long a goodbye may take.
const FAREWELL: Duration = Duration::from_millis(200);
/// How often a show that waits asks whether the other is still there, and how long that one has to answer.
const ASKED_AGAIN: Duration = Duration::from_secs(4);
const ANSWERS_IN: Duration = Duration::from_millis(1500);
/// How long news is waited for before it is looked at whether all is over.
const NAP: Duration = Duration::from_millis(50);

/// Starts a daemon; one line of reason where it cannot be.
fn start(reach: Reach) -> Result<ServiceDaemon, String> {
    let daemon = ServiceDaemon::new_with_port(reach.port).map_err(|error| error.to_string())?;
    if reach.loopback_only {
        daemon.disable_interface(IfKind::All).map_err(|error| error.to_string())?;
        daemon.enable_interface(IfKind::LoopbackV4).map_err(|error| error.to_string())?;
    }
    Ok(daemon)
}

/// Receivers that say that they are there, until it is dropped.
pub struct Announcement {
    daemon: ServiceDaemon,
    names: Vec<String>,
}

impl std::fmt::Debug for Announcement {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Announcement").field("names", &self.names).finish_non_exhaustive()
    }
}

impl Announcement {
    /// Says that panels of a wall are at these addresses of this computer's loopback interface, by their
    /// place in the patch.
    ///
    /// # Errors
    /// One line for people where it cannot be said.
    pub fn of_panels(
        patch: &Patch,
        panels: impl IntoIterator<Item = (usize, SocketAddr)>,
        port: u16,
    ) -> Result<Self, String> {
        let daemon = start(Reach { port, loopback_only: true })?;
        let mut announcement = Self { daemon, names: Vec::new() };
        for (index, at) in panels {
            let Some(panel) = patch.panels().get(index) else { continue };
            let info = info(patch, panel, at)?;
            announcement.names.push(info.get_fullname().into());
            announcement.daemon.register(info).map_err(|error| error.to_string())?;
        }
        Ok(announcement)
    }
}

fn info(patch: &Patch, panel: &PanelPatch, at: SocketAddr) -> Result<ServiceInfo, String> {
    let common = patch.common();
    let print = status::print(common, panel);
    let keys = [
        ("txtvers", "1".to_owned()),
        ("wall", said(patch.wall())),
        ("panel", said(&panel.name)),
        ("protocol", word(common.protocol).to_owned()),
        ("print", format!("{print:08x}")),
        ("mod", "virtual".to_owned()),
        ("ver", env!("CARGO_PKG_VERSION").to_owned()),
    ];
    // A label has 63 bytes; the whole names are in the keys.
    let mut instance: String = format!("{} {}", patch.wall(), panel.name);
    while instance.len() > 63 {
        instance.pop();
    }
    let ip: String = at
        .ip()
        .to_string()
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
        .collect();
    let host = format!("glowloom-{ip}-{}-{print:08x}.local.", at.port());
    let mut info = ServiceInfo::new(SERVICE, &instance, &host, at.ip(), at.port(), &keys[..])
        .map_err(|error| error.to_string())?;
    info.set_interfaces(vec![IfKind::LoopbackV4]);
    Ok(info)
}

impl Drop for Announcement {
    fn drop(&mut self) {
        for name in &self.names {
            if let Ok(done) = self.daemon.unregister(name) {
                let _ = done.recv_timeout(FAREWELL);
            }
        }
        close(&self.daemon);
    }
}

fn close(daemon: &ServiceDaemon) {
    if let Ok(done) = daemon.shutdown() {
        let _ = done.recv_timeout(FAREWELL);
    }
}

/// Whether a show waits for another one to end.
#[derive(Debug, Default)]
pub(crate) struct Waits(AtomicBool);

impl Waits {
    pub fn now(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

/// When this program began to show, milliseconds since 1970; the same however often the wall file is read again.
fn began() -> u64 {
    static BEGAN: OnceLock<u64> = OnceLock::new();
    *BEGAN.get_or_init(|| {
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        u64::try_from(since.as_millis()).unwrap_or(u64::MAX)
    })
}

/// Says that this show plays a wall.
fn claim(
    daemon: &ServiceDaemon,
    wall: &str,
    claim: &Claim,
    reach: Reach,
) -> Result<String, String> {
    let began = claim.began.to_string();
    let keys = [("txtvers", "1"), ("wall", wall), ("began", &began), ("cid", &claim.cid)];
    let host = format!("glowloom-show-{}.local.", &claim.cid);
    // Nothing is listened to: the port says so.
    let info = ServiceInfo::new(SHOWS, &claim.cid, &host, "", 0, &keys[..]);
    let mut info = info.map_err(|error| error.to_string())?.enable_addr_auto();
    if reach.loopback_only {
        info.set_interfaces(vec![IfKind::LoopbackV4]);
    }
    let name = info.get_fullname().to_owned();
    daemon.register(info).map_err(|error| error.to_string())?;
    Ok(name)
}

/// The turns of this show, and what they say now.
struct Watching {
    turns: Turns,
    events: mdns_sd::Receiver<ServiceEvent>,
    waits: Arc<Waits>,
    asked: Instant,
}

impl Watching {
    /// Hears what there is to hear; gives the computer whose show goes before this one.
    fn step(&mut self, daemon: &ServiceDaemon) -> Option<String> {
        while let Ok(event) = self.events.try_recv() {
            match event {
                ServiceEvent::ServiceResolved(service) => {
                    if let Some(rival) = rival(&service) {
                        self.turns.put(service.fullname.clone(), rival);
                    }
                }
                ServiceEvent::ServiceRemoved(_, name) => self.turns.remove(&name),
                _ => {}
            }
        }
        let ahead = self.turns.ahead();
        self.waits.0.store(ahead.is_some(), Ordering::Relaxed);
        let (name, rival) = ahead?;
        // One that was killed says no goodbye.
        if self.asked.elapsed() > ASKED_AGAIN {
            self.asked = Instant::now();
            let _ = daemon.verify(name.to_owned(), ANSWERS_IN);
        }
        Some(rival.host.clone())
    }
}

/// What a show says; `None`: it does not say when it began.
fn rival(service: &ResolvedService) -> Option<Rival> {
    let key = |key: &str, most: usize| -> Option<String> {
        Some(service.get_property_val_str(key)?.chars().take(most).collect())
    };
    let host = service.get_addresses().iter().map(|ip| ip.to_ip_addr()).min();
    let host = host.map_or_else(|| service.get_hostname().to_owned(), |ip| ip.to_string());
    let claim = Claim { began: key("began", 20)?.parse().ok()?, cid: key("cid", 32)? };
    Some(Rival { wall: key("wall", 200)?, claim, host })
}

/// Listens for receivers, and for other shows of the same wall, until it is dropped.
#[derive(Debug)]
pub(crate) struct Lookout {
    register: Arc<Mutex<Register>>,
    /// The computer whose show goes before this one.
    before: Arc<Mutex<Option<String>>>,
    closing: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
    /// Why nothing is heard.
    deaf: Option<String>,
}

impl Lookout {
    /// Begins to listen. `follow` is told where a wanted panel is, by its place in the list of them; `waits` is
    /// set as long as another show of the wall goes before this one, whose identity is `cid`.
    pub fn start(
        register: Register,
        reach: Reach,
        cid: [u8; 16],
        waits: Arc<Waits>,
        mut follow: impl FnMut(usize, SocketAddr) + Send + 'static,
    ) -> Self {
        let register = Arc::new(Mutex::new(register));
        let closing = Arc::new(AtomicBool::new(false));
        let before = Arc::new(Mutex::new(None));
        let mut lookout = Self {
            register: Arc::clone(&register),
            before: Arc::clone(&before),
            closing: Arc::clone(&closing),
            thread: None,
            deaf: None,
        };
        let begun = start(reach).and_then(|daemon| {
            let events = daemon.browse(SERVICE).map_err(|error| error.to_string())?;
            let shows = daemon.browse(SHOWS).map_err(|error| error.to_string())?;
            let own = Claim { began: began(), cid: cid.map(|byte| format!("{byte:02x}")).concat() };
            let wall = lock(&register).wall().to_owned();
            let said = claim(&daemon, &wall, &own, reach)?;
            let turns = Turns::new(wall, own);
            let mut watching = Watching { turns, events: shows, waits, asked: Instant::now() };
            let work = move || {
                while !closing.load(Ordering::Relaxed) {
                    match events.recv_timeout(NAP) {
                        Ok(event) => {
                            let moved = {
                                let mut register = lock(&register);
                                hear(&mut register, event);
                                register.moved()
                            };
                            moved.into_iter().for_each(|(index, at)| follow(index, at));
                        }
                        // The daemon is gone: there is nothing more to hear.
                        Err(_) if events.is_disconnected() => break,
                        Err(_) => {}
                    }
                    *before.lock().unwrap_or_else(PoisonError::into_inner) = watching.step(&daemon);
                }
                if let Ok(done) = daemon.unregister(&said) {
                    let _ = done.recv_timeout(FAREWELL);
                }
                close(&daemon);
            };
            let spawned = thread::Builder::new().name("lookout".into()).spawn(work);
            spawned.map_err(|error| error.to_string())
        });
        match begun {
            Ok(thread) => lookout.thread = Some(thread),
            Err(why) => lookout.deaf = Some(why),
        }
        lookout
    }

    /// What a person may want to know.
    pub fn odd(&self) -> Vec<Neighbour> {
        let gone = self.thread.as_ref().is_some_and(JoinHandle::is_finished);
        let gone = gone.then(|| "it has ended by itself".to_owned());
        match self.deaf.clone().or(gone) {
            Some(why) => vec![Neighbour::Deaf(why)],
            None => {
                let before = self.before.lock().unwrap_or_else(PoisonError::into_inner).clone();
                let turn = before.map(|host| Neighbour::Turn { host });
                turn.into_iter().chain(lock(&self.register).odd()).collect()
            }
        }
    }
}

impl Drop for Lookout {
    fn drop(&mut self) {
        self.closing.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            // A panic there has been reported by its thread.
            let _ = thread.join();
        }
    }
}

fn lock(register: &Mutex<Register>) -> MutexGuard<'_, Register> {
    register.lock().unwrap_or_else(PoisonError::into_inner)
}

fn hear(register: &mut Register, event: ServiceEvent) {
    match event {
        ServiceEvent::ServiceResolved(service) => {
            if let Some(record) = record(&service) {
                register.put(service.fullname.clone(), record);
            }
        }
        ServiceEvent::ServiceRemoved(_, name) => register.remove(&name),
        _ => {}
    }
}

/// What a receiver says; `None`: it does not say which panel it is.
fn record(service: &ResolvedService) -> Option<Record> {
    let key = |key| service.get_property_val_str(key).map(|text| text.chars().take(200).collect());
    let mut at: Vec<_> = service
        .get_addresses()
        .iter()
        .map(|ip| SocketAddr::new(ip.to_ip_addr(), service.get_port()))
        .collect();
    at.sort_unstable();
    Some(Record { wall: key("wall")?, panel: key("panel")?, protocol: key("protocol")?, at })
}
