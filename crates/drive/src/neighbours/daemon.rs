//! The daemon that speaks multicast DNS, and what is said and heard over it.

use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use glowloom_wire::patch::PanelPatch;
use glowloom_wire::{Patch, status};
use mdns_sd::{IfKind, ResolvedService, ServiceDaemon, ServiceEvent, ServiceInfo};

use super::register::{Record, Register, said};
use super::{Neighbour, Reach, SERVICE, word};

/// How long a goodbye may take.
const FAREWELL: Duration = Duration::from_millis(200);
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

/// Listens for receivers until it is dropped.
#[derive(Debug)]
pub(crate) struct Lookout {
    register: Arc<Mutex<Register>>,
    closing: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
    /// Why nothing is heard.
    deaf: Option<String>,
}

impl Lookout {
    /// Begins to listen. `follow` is told where a wanted panel is, by its place in the list of them.
    pub fn start(
        register: Register,
        reach: Reach,
        mut follow: impl FnMut(usize, SocketAddr) + Send + 'static,
    ) -> Self {
        let register = Arc::new(Mutex::new(register));
        let closing = Arc::new(AtomicBool::new(false));
        let mut lookout = Self {
            register: Arc::clone(&register),
            closing: Arc::clone(&closing),
            thread: None,
            deaf: None,
        };
        let begun = start(reach).and_then(|daemon| {
            let events = daemon.browse(SERVICE).map_err(|error| error.to_string())?;
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
            None => lock(&self.register).odd(),
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
