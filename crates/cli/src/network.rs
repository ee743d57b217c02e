//! Light from other senders: which are listened to, and how that goes, in words.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError, Weak};

use glowloom_design::Wall;
use glowloom_drive::receive::State;
use glowloom_drive::socket::{Hall, Listener, Origins};
use glowloom_drive::{Arranged, FramesPerSecond, Incoming, IncomingHealth, Listening, OnLoss};
use glowloom_wire::Patch;
use glowloom_wire::patch::Protocol;

use crate::arguments::{ArrangedChoice, Show};
use crate::failure::Failure;
use crate::{identity, output, stage};

/// The names that protocols have as sources, as in the wall file.
const NAMES: [(&str, Protocol); 3] =
    [("e1.31", Protocol::E131), ("art-net", Protocol::ArtNet), ("ddp", Protocol::Ddp)];

/// Listens where it is asked to. Each protocol is opened once, however often it is named.
pub struct Network<'a> {
    chosen: Option<Chosen<'a>>,
    open: Vec<(&'static str, Incoming)>,
    halls: Vec<Arc<OpenHall>>,
    told: Vec<Option<SocketAddr>>,
}

/// A place where frames are taken over WebSockets.
struct OpenHall {
    at: SocketAddr,
    origins: Origins,
    hall: Arc<Hall>,
    _listener: Listener,
}

/// Those that are open: a wall file that is read again goes on with them, and whoever sends notices nothing.
static HALLS: Mutex<Vec<Weak<OpenHall>>> = Mutex::new(Vec::new());

struct Chosen<'a> {
    arguments: &'a Show,
    name: String,
    on_loss: OnLoss,
    patch: Arc<Patch>,
    arranged: Arranged,
}

impl<'a> Network<'a> {
    /// Listens to nobody: names of protocols are taken for those of files.
    pub fn deaf() -> Self {
        Self { chosen: None, open: Vec::new(), halls: Vec::new(), told: Vec::new() }
    }

    /// Listens as the arguments have it.
    pub fn of(wall: &Wall, arguments: &'a Show) -> Result<Self, Failure> {
        let arranged = match arguments.arranged {
            ArrangedChoice::Rows => Arranged::Rows { first_universe: arguments.first_universe },
            ArrangedChoice::Panels => Arranged::Panels,
        };
        // What is wrong with it is told though nobody may be listened to.
        arguments.listen.as_deref().map(place).transpose()?;
        let chosen = Chosen {
            arguments,
            name: format!("Glowloom {}", wall.name),
            on_loss: stage::on_loss(wall),
            patch: Arc::new(stage::patch_of(wall, 1.0)?),
            arranged,
        };
        Ok(Self { chosen: Some(chosen), ..Self::deaf() })
    }

    /// Opens what has this name; `None`: it is no protocol's.
    pub fn listen(&mut self, name: &Path) -> Result<Option<Incoming>, Failure> {
        let Some(chosen) = &self.chosen else { return Ok(None) };
        let Some((key, protocol)) = NAMES.into_iter().find(|(key, _)| Path::new(key) == name)
        else {
            return Ok(None);
        };
        if let Some((_, open)) = self.open.iter().find(|(known, _)| *known == key) {
            return Ok(Some(open.clone()));
        }
        let listen = chosen.arguments.listen.as_deref().map(place).transpose()?;
        let (ip, port) = listen.unwrap_or((Ipv4Addr::UNSPECIFIED.into(), None));
        let listening = Listening {
            protocol,
            at: SocketAddr::new(ip, port.unwrap_or(protocol.port())),
            arranged: chosen.arranged,
            on_loss: chosen.on_loss,
            own_cid: identity::cid(),
            name: chosen.name.clone(),
        };
        let incoming = Incoming::open(&chosen.patch, &listening).map_err(stage::drive_failure)?;
        self.open.push((key, incoming.clone()));
        self.told.push(None);
        Ok(Some(incoming))
    }

    /// Takes frames there over WebSockets; opened once, however often it is named.
    pub fn hall(
        &mut self,
        at: SocketAddr,
        origins: Origins,
        wall: &Wall,
    ) -> Result<Arc<Hall>, Failure> {
        if self.chosen.is_none() {
            return Err(Failure::other(
                "frames over a socket cannot be planned for: they change",
                "give a picture, or a text",
            ));
        }
        let size = (wall.columns, wall.rows);
        let mut open = HALLS.lock().unwrap_or_else(PoisonError::into_inner);
        open.retain(|hall| hall.strong_count() > 0);
        let same = |hall: &Arc<OpenHall>| {
            (hall.at, hall.hall.size()) == (at, size) && hall.origins == origins
        };
        if let Some(known) = open.iter().filter_map(Weak::upgrade).find(same) {
            let hall = Arc::clone(&known.hall);
            self.halls.push(known);
            return Ok(hall);
        }
        let hall = Hall::new(size, FramesPerSecond(wall.receiver.frames_per_second.0));
        let listener =
            Listener::open(Arc::clone(&hall), at, origins.clone()).map_err(stage::drive_failure)?;
        output::note(&format!("note: frames are taken at ws://{}/", listener.at()));
        if !at.ip().is_loopback() {
            output::note("note: everybody who reaches this address can draw on the wall");
        }
        let new = Arc::new(OpenHall { at, origins, hall: Arc::clone(&hall), _listener: listener });
        open.push(Arc::downgrade(&new));
        self.halls.push(new);
        Ok(hall)
    }

    /// Says what is not heard.
    pub fn warn(&self) {
        for (key, incoming) in &self.open {
            if let Some(why) = incoming.health().no_multicast {
                output::note(&format!("note: {key} by multicast is not heard: {why}"));
            }
        }
    }

    /// Who has begun to send, or ceased, since it was asked last.
    pub fn news(&mut self) -> Vec<String> {
        let mut news = Vec::new();
        for ((key, incoming), told) in self.open.iter().zip(&mut self.told) {
            let health = incoming.health();
            if health.from != *told {
                news.push(match &health.from {
                    Some(_) => format!("{key}: showing {}", sender(&health)),
                    None => format!("{key}: nobody sends any more"),
                });
                *told = health.from;
            }
        }
        news
    }

    /// What was heard in all, a line for each protocol.
    pub fn ending(&self) -> String {
        self.open
            .iter()
            .map(|(key, incoming)| format!("{}\n", line(key, &incoming.health())))
            .collect()
    }
}

/// Who sends what is shown.
fn sender(health: &IncomingHealth) -> String {
    let at = health.from.map(|at| at.to_string()).unwrap_or_default();
    match health.name.as_deref().filter(|name| !name.is_empty()) {
        // A name comes from outside, and may hold what a terminal would obey.
        Some(name) => format!("{} at {at}", output::shown(Path::new(name))),
        None => at,
    }
}

fn line(key: &str, health: &IncomingHealth) -> String {
    let counts = &health.counts;
    let state = match health.state {
        State::Waiting => "nobody has sent",
        State::Live => "live",
        State::Lost => "nobody sends any more",
    };
    let mut line = format!("{key} in: {state}, {} frames shown", counts.shown);
    for (count, what) in [
        (counts.lost, "packets lost"),
        (counts.late, "late"),
        (counts.wrong, "wrong"),
        (counts.strangers, "of another sender"),
        (health.too_long, "too long"),
        (health.thrown_away, "too many"),
        (health.own, "our own"),
    ] {
        if count > 0 {
            line.push_str(&format!(", {count} {what}"));
        }
    }
    line
}

/// An address of this computer, and a port if one is given.
fn place(text: &str) -> Result<(IpAddr, Option<u16>), Failure> {
    if let Ok(at) = text.parse::<SocketAddr>() {
        return Ok((at.ip(), Some(at.port())));
    }
    let bare = text.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')).unwrap_or(text);
    bare.parse::<IpAddr>().map(|ip| (ip, None)).map_err(|_| {
        Failure::other(
            format!("--listen {text} is no address"),
            "give an address of this computer, such as 192.0.2.9 or 127.0.0.1:6454",
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_as_people_write_them() {
        let local = IpAddr::from([127, 0, 0, 1]);
        assert_eq!(place("127.0.0.1").unwrap(), (local, None));
        assert_eq!(place("127.0.0.1:6454").unwrap(), (local, Some(6454)));
        assert_eq!(place("[::1]").unwrap().1, None);
        assert_eq!(place("[::1]:7").unwrap().1, Some(7));
        for wrong in ["", "here", "127.0.0.1:", "127.0.0.1:70000", "127.0.0"] {
            assert!(place(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_sender_s_name_moves_no_cursor() {
        let health = IncomingHealth {
            from: Some(([192, 0, 2, 7], 5568).into()),
            name: Some("desk\u{1b}[2J\n".into()),
            ..IncomingHealth::default()
        };
        assert_eq!(sender(&health), "desk\u{fffd}[2J\u{fffd} at 192.0.2.7:5568");
    }
}
