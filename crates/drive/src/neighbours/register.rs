//! What has been heard, which panel is where by it, and what is odd. No socket, no clock.

use std::collections::BTreeMap;
use std::net::{IpAddr, SocketAddr};

use super::Neighbour;

/// The most that are kept. Whoever floods the network with names is not kept all of.
const MOST: usize = 4096;

/// What a receiver says of itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Record {
    pub wall: String,
    pub panel: String,
    pub protocol: String,
    /// All of its addresses, in order.
    pub at: Vec<SocketAddr>,
}

/// A panel that is sent to by address.
#[derive(Clone, Debug)]
pub(crate) struct Wanted {
    pub panel: String,
    /// As the wall file has it.
    pub host: String,
    pub port: u16,
}

impl Wanted {
    /// Its address, if the wall file has it as a number.
    fn file(&self) -> Option<IpAddr> {
        if self.host.eq_ignore_ascii_case("localhost") {
            return Some(IpAddr::from([127, 0, 0, 1]));
        }
        self.host.parse().ok()
    }
}

/// All that has been heard.
#[derive(Debug)]
pub(crate) struct Register {
    wall: String,
    protocol: &'static str,
    wanted: Vec<Wanted>,
    /// Names of all panels of the wall, those without an address too.
    all: Vec<String>,
    records: BTreeMap<String, Record>,
    /// Where each wanted one was found.
    found: Vec<Option<SocketAddr>>,
}

impl Register {
    pub fn new(wall: &str, protocol: &'static str, wanted: Vec<Wanted>, all: Vec<String>) -> Self {
        let found = vec![None; wanted.len()];
        Self { wall: said(wall), protocol, wanted, all, records: BTreeMap::new(), found }
    }

    /// The wall, as it is said.
    pub fn wall(&self) -> &str {
        &self.wall
    }

    /// Somebody is there, or says something else than before.
    pub fn put(&mut self, name: String, record: Record) {
        if self.records.len() < MOST || self.records.contains_key(&name) {
            self.records.insert(name, record);
        }
    }

    /// Somebody is there no more.
    pub fn remove(&mut self, name: &str) {
        self.records.remove(name);
    }

    /// Where panels are, for those whose place has changed. A panel that is heard of no more stays where
    /// it was: it may be starting anew.
    pub fn moved(&mut self) -> Vec<(usize, SocketAddr)> {
        let mut moved = Vec::new();
        for (index, wanted) in self.wanted.iter().enumerate() {
            let now = self.found[index];
            let kept = now.map(|at| at.ip()).or(wanted.file());
            let all = self.of(wanted).filter(|(_, record)| record.protocol == self.protocol);
            let places = all.filter_map(|(_, record)| best(record, wanted, kept));
            // One that is where the wall file has it goes before all others, then one that is where it
            // was, then the first by name.
            let rank = |at: &SocketAddr| match Some(at.ip()) {
                ip if ip == wanted.file() => 0,
                ip if ip == kept => 1,
                _ => 2,
            };
            let best = places.min_by_key(rank);
            // What the wall file has already needs no word.
            let known = now.or(wanted.file().map(|ip| SocketAddr::new(ip, wanted.port)));
            if let Some(at) = best.filter(|at| known != Some(*at)) {
                moved.push((index, at));
            }
        }
        for (index, at) in &moved {
            self.found[*index] = Some(*at);
        }
        moved
    }

    fn of<'a>(&'a self, wanted: &'a Wanted) -> impl Iterator<Item = (&'a String, &'a Record)> {
        self.records.iter().filter(move |(_, record)| {
            record.wall == self.wall
                && record.panel == said(&wanted.panel)
                && record.at.iter().any(|at| fits(*at, wanted))
        })
    }

    /// What a person may want to know, in an order that stays.
    pub fn odd(&self) -> Vec<Neighbour> {
        let mut odd = Vec::new();
        for (wanted, found) in self.wanted.iter().zip(&self.found) {
            let panel = || wanted.panel.clone();
            if let Some(to) = found.filter(|at| Some(at.ip()) != wanted.file()) {
                odd.push(Neighbour::Moved { panel: panel(), to, file: wanted.host.clone() });
            }
            let all: Vec<_> = self
                .of(wanted)
                .filter_map(|(_, record)| Some((best(record, wanted, None)?, &record.protocol)))
                .collect();
            if all.len() > 1 {
                let at = all.iter().map(|(at, _)| *at).collect();
                odd.push(Neighbour::Double { panel: panel(), at });
            }
            for (at, protocol) in all.iter().filter(|(_, protocol)| *protocol != self.protocol) {
                let protocol = (*protocol).clone();
                odd.push(Neighbour::Misfit { panel: panel(), at: *at, protocol });
            }
        }
        for record in self.records.values() {
            let ours = record.wall == self.wall
                && self.all.iter().any(|panel| said(panel) == record.panel);
            if let Some(at) = record.at.first().filter(|_| !ours) {
                odd.push(Neighbour::Stranger {
                    wall: record.wall.clone(),
                    panel: record.panel.clone(),
                    at: *at,
                });
            }
        }
        odd
    }
}

/// Names as they are said: a string of TXT has 255 bytes for key and value, so long ones are cut.
pub(crate) fn said(name: &str) -> String {
    let mut end = name.len().min(200);
    while !name.is_char_boundary(end) {
        end -= 1;
    }
    name[..end].into()
}

/// Of a receiver's addresses the one that is kept, else the first of version 4, else the first.
fn best(record: &Record, wanted: &Wanted, kept: Option<IpAddr>) -> Option<SocketAddr> {
    let all = || record.at.iter().copied().filter(|at| fits(*at, wanted));
    all()
        .find(|at| Some(at.ip()) == kept)
        .or_else(|| all().find(SocketAddr::is_ipv4))
        .or_else(|| all().next())
}

/// Whether a panel may be there. This computer's own addresses are for panels that the wall file has on
/// it: what another computer says of them means itself.
fn fits(at: SocketAddr, wanted: &Wanted) -> bool {
    let here = wanted.file().is_some_and(|ip| ip.is_loopback());
    let ip = at.ip();
    ip.is_loopback() == here && !ip.is_multicast() && !ip.is_unspecified() && at.port() > 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(host: u8) -> SocketAddr {
        ([192, 0, 2, host], 4048).into()
    }

    fn record(wall: &str, panel: &str, at: &[SocketAddr]) -> Record {
        Record { wall: wall.into(), panel: panel.into(), protocol: "ddp".into(), at: at.to_vec() }
    }

    fn register() -> Register {
        let wanted =
            |panel: &str, host: &str| Wanted { panel: panel.into(), host: host.into(), port: 4048 };
        let wanted = vec![wanted("west", "192.0.2.51"), wanted("east", "east.local")];
        let all = ["west", "east", "middle"].map(String::from).into();
        Register::new("Tidewall", "ddp", wanted, all)
    }

    #[test]
    fn a_panel_is_followed_and_kept() {
        let mut register = register();
        register.put("a".into(), record("Tidewall", "west", &[at(51)]));
        register.put("b".into(), record("Tidewall", "middle", &[at(60)]));
        assert_eq!((register.moved(), register.odd()), (vec![], vec![]));
        register.put("c".into(), record("Tidewall", "east", &[at(52)]));
        assert_eq!(register.moved(), [(1, at(52))]);
        assert_eq!(register.moved(), []);
        // A new address by DHCP, then silence, then back.
        register.put("a".into(), record("Tidewall", "west", &[at(77)]));
        assert_eq!(register.moved(), [(0, at(77))]);
        let said: Vec<_> = register.odd().iter().map(ToString::to_string).collect();
        assert!(said[0].contains("west is at 192.0.2.77:4048") && said[0].contains("192.0.2.51"));
        register.remove("a");
        assert_eq!(register.moved(), []);
        register.put("a".into(), record("Tidewall", "west", &[at(51)]));
        assert_eq!(register.moved(), [(0, at(51))]);
    }

    #[test]
    fn the_one_that_is_sent_to_stays_where_there_are_two() {
        let mut register = register();
        register.put("a".into(), record("Tidewall", "west", &[at(77)]));
        register.put("b".into(), record("Tidewall", "west", &[at(51)]));
        assert_eq!(register.moved(), []);
        let double = Neighbour::Double { panel: "west".into(), at: vec![at(77), at(51)] };
        assert_eq!(register.odd(), [double]);
        register.remove("b");
        assert_eq!(register.moved(), [(0, at(77))]);
        register.put("b".into(), record("Tidewall", "west", &[at(78)]));
        assert_eq!(register.moved(), []);
    }

    #[test]
    fn strangers_and_misfits_are_told_and_not_followed() {
        let mut register = register();
        register.put("a".into(), record("Moorings", "west", &[at(51)]));
        register.put("b".into(), record("Tidewall", "north", &[at(77)]));
        let other = Record { protocol: "e1.31".into(), ..record("Tidewall", "west", &[at(78)]) };
        register.put("c".into(), other);
        assert_eq!(register.moved(), []);
        let odd = register.odd();
        assert!(matches!(&odd[0], Neighbour::Misfit { protocol, .. } if protocol == "e1.31"));
        assert!(matches!(&odd[1], Neighbour::Stranger { wall, .. } if wall == "Moorings"));
        assert!(matches!(&odd[2], Neighbour::Stranger { panel, .. } if panel == "north"));
    }

    #[test]
    fn this_computer_s_addresses_are_for_its_own_panels() {
        let mut register = register();
        let here = SocketAddr::from(([127, 0, 0, 1], 4048));
        let none = SocketAddr::from(([0, 0, 0, 0], 4048));
        let group = SocketAddr::from(([239, 1, 1, 1], 4048));
        register.put("a".into(), record("Tidewall", "west", &[here, none, group]));
        assert_eq!(register.moved(), []);
        let v6: SocketAddr = "[2001:db8::7]:4048".parse().unwrap();
        register.put("a".into(), record("Tidewall", "west", &[here, v6, at(77)]));
        assert_eq!(register.moved(), [(0, at(77))]);
    }
}
