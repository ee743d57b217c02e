//! Receivers, addresses and universes.

use std::collections::BTreeMap;

use glowloom_units::{Amps, Hertz, Metres, Volts};

use super::power::unknown_key;
use super::{Wrong, or};
use crate::catalogue::receiver as boards;
use crate::diagnostic::code;
use crate::text::{self, Text};
use crate::wall::{Address, DataLevel, Link, OnLoss, Panel, Protocol, Receiver, Strip};

/// Virtual panels listen above this port of 127.0.0.1.
const VIRTUAL_PORTS: u16 = 15_567;

/// The board's own figures, before the file overrides them.
struct Board {
    name: String,
    links: Vec<Link>,
    data_pins: u32,
    pin_volts: Volts,
    packets_per_second: Hertz,
}

pub fn receiver(text: &Text, wrong: &mut Wrong) -> Option<Receiver> {
    let empty = text::Receiver::default();
    let section = text.receiver.as_ref().unwrap_or(&empty);
    let board = board(section, wrong);
    let link = or(section.link.as_ref(), Link::Wifi);
    let sixteen = section.colour_bits.as_ref().filter(|bits| bits.value == 16);
    if let Some(bits) = sixteen.filter(|_| link != Link::Usb) {
        wrong.add(
            code::OUT_OF_RANGE,
            bits.span.clone(),
            format!("`colour_bits` is 16 on a link by {}", link.key()),
            "wanted: 24; only USB links send 16",
            "write `colour_bits = 24`, or `link = \"usb\"`",
        );
    }
    let board = board?;
    Some(Receiver {
        board: board.name,
        links: board.links,
        data_pins: or(section.data_pins.as_ref(), board.data_pins),
        pin_volts: or(section.pin_volts.as_ref(), board.pin_volts),
        packets_per_second: or(section.packets_per_second.as_ref(), board.packets_per_second),
        link,
        protocol: protocol(text),
        colour_bits: or(section.colour_bits.as_ref(), 24),
        frames_per_second: or(section.frames_per_second.as_ref(), Hertz(30.0)),
        data_level: or(section.data_level.as_ref(), DataLevel::Shifter),
        data_lead: or(section.data_lead.as_ref(), Metres(0.3)),
        amps: or(section.amps.as_ref(), Amps(0.3)),
        on_loss: or(section.on_loss.as_ref(), OnLoss::Black),
        port: section.port.as_ref().map(|w| w.value.clone()),
        baud: or(section.baud.as_ref(), 921_600),
        // Settled when the universes are counted.
        sync_universe: 0,
    })
}

/// How frames are put into packets; known whatever else is wrong.
pub fn protocol(text: &Text) -> Protocol {
    or(text.receiver.as_ref().and_then(|section| section.protocol.as_ref()), Protocol::E131)
}

fn board(section: &text::Receiver, wrong: &mut Wrong) -> Option<Board> {
    let of = |part: &boards::ReceiverPart| Board {
        name: part.key.into(),
        links: part.links.to_vec(),
        data_pins: part.data_pins.value,
        pin_volts: part.pin_volts.value,
        packets_per_second: part.packets_per_second.value,
    };
    let Some(written) = &section.board else {
        return boards::ALL.first().map(of);
    };
    match &written.value {
        text::ReceiverBoard::Key(key) => {
            if let Some(part) = boards::find(key) {
                return Some(of(part));
            }
            let keys = boards::ALL.iter().map(|part| part.key);
            let figures = "{ links = [\"wifi\"], data_pins = 4 }";
            unknown_key(key, written, "receiver", keys, figures, wrong);
            None
        }
        text::ReceiverBoard::Figures(figures) => {
            let links = required!(figures.links, wrong);
            let pins = required!(figures.data_pins, wrong);
            let (links, pins) = (links?, pins?);
            Some(Board {
                name: "own figures".into(),
                links: links.value.iter().map(|w| w.value).collect(),
                data_pins: pins.value,
                pin_volts: or(figures.pin_volts.as_ref(), Volts(3.3)),
                packets_per_second: or(figures.packets_per_second.as_ref(), Hertz(1000.0)),
            })
        }
    }
}

/// Gives each panel its address and refuses one that two share.
pub fn addresses(text: &Text, panels: &mut [Panel], wrong: &mut Wrong) {
    let own_port = protocol(text).port();
    let mut first: BTreeMap<(String, u16), String> = BTreeMap::new();
    for (panel, written) in panels.iter_mut().zip(&text.panels) {
        let span = match &written.own.address {
            None => {
                let k = u16::try_from(panel.number + 1).unwrap_or(u16::MAX);
                panel.address = Address::Virtual { port: VIRTUAL_PORTS.saturating_add(k) };
                written.own.span.clone()
            }
            Some(address) => {
                let Some(parsed) = address_of(&address.value, own_port) else {
                    wrong.add(
                        code::WRONG_ADDRESS,
                        address.span.clone(),
                        format!("\"{}\" is no address", address.value),
                        "wanted: the name or address of one receiver, \":port\" if not the protocol's own",
                        "write \"192.0.2.51\", \"west.local\", \"192.0.2.51:5568\" or \"[2001:db8::1]:5568\"",
                    );
                    continue;
                };
                panel.address = parsed;
                address.span.clone()
            }
        };
        if let Some(other) = first.insert(panel.address.identity(), panel.name.clone()) {
            let (host, port) = panel.address.identity();
            wrong.add(
                code::REPEATED_ADDRESS,
                span,
                format!("{} and {other} are both at {host}, port {port}", panel.name),
                "wanted: an address and port of its own",
                "give each panel's receiver an address, or a port, of its own",
            );
        }
    }
}

/// Host and port of an address as written; `None` if it is neither.
fn address_of(text: &str, own_port: u16) -> Option<Address> {
    let (host, port) = host_and_port(text, own_port)?;
    let plausible = match host.parse::<std::net::IpAddr>() {
        Ok(ip) => is_one_receiver(ip),
        Err(_) => is_host_name(host),
    };
    plausible.then(|| Address::Host { host: host.into(), port })
}

/// Splits `host`, `host:port`, `[address]`, `[address]:port` and a bare IPv6 address.
fn host_and_port(text: &str, own_port: u16) -> Option<(&str, u16)> {
    if let Some(rest) = text.strip_prefix('[') {
        let (host, after) = rest.split_once(']')?;
        host.parse::<std::net::Ipv6Addr>().ok()?;
        let port = if after.is_empty() { own_port } else { port_of(after.strip_prefix(':')?)? };
        return Some((host, port));
    }
    match text.split_once(':') {
        None => Some((text, own_port)),
        // More than one colon and no brackets: an IPv6 address and no port.
        Some((_, rest)) if rest.contains(':') => Some((text, own_port)),
        Some((host, port)) => Some((host, port_of(port)?)),
    }
}

/// Whether an address can be that of one receiver: not of all of them, of a group, or of none.
fn is_one_receiver(ip: std::net::IpAddr) -> bool {
    let broadcast = matches!(ip, std::net::IpAddr::V4(v4) if v4.is_broadcast());
    !ip.is_unspecified() && !ip.is_multicast() && !broadcast
}

fn port_of(text: &str) -> Option<u16> {
    let digits = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let port: u16 = digits.then(|| text.parse().ok())??;
    (port > 0).then_some(port)
}

/// Letters, digits and hyphens between dots (RFC 1123), underscores let pass; a name of digits
/// and dots alone is a mistyped address.
fn is_host_name(text: &str) -> bool {
    let text = text.strip_suffix('.').unwrap_or(text);
    let label = |label: &str| {
        (1..=63).contains(&label.len())
            && !label.starts_with('-')
            && !label.ends_with('-')
            && label.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_')
    };
    text.len() <= 253 && text.split('.').all(label) && text.bytes().any(|b| b.is_ascii_alphabetic())
}

/// Highest universe: E1.31-2018 9.1.1, and 15 bits of Art-Net's Port-Address.
fn highest_universe(protocol: Protocol) -> u32 {
    match protocol {
        Protocol::ArtNet => 32_767,
        Protocol::E131 | Protocol::Ddp => 63_999,
    }
}

/// Numbers the universes, refuses one that two share, and gives that of synchronization packets.
/// `None` if they run out.
pub fn universes(
    text: &Text,
    strip: &Strip,
    panels: &mut [Panel],
    wrong: &mut Wrong,
) -> Option<u16> {
    let protocol = protocol(text);
    let highest = highest_universe(protocol);
    let mut next = 1;
    for (panel, written) in panels.iter_mut().zip(&text.panels) {
        let explicit = written.own.first_universe.as_ref();
        let first = explicit.map_or(next, |w| w.value);
        let count = universe_count(panel, strip.pixels_per_universe());
        let end = u64::from(first) + count;
        if end > u64::from(highest) + 1 {
            let span = explicit.map_or(written.own.span.clone(), |w| w.span.clone());
            wrong.add(
                code::UNIVERSES_RUN_OUT,
                span,
                format!("{} would take universes {first} to {}", panel.name, end - 1),
                format!("the highest of {} is {highest}", protocol.key()),
                "begin at a lower `first_universe`, or have fewer data lines",
            );
            return None;
        }
        panel.first_universe = u16::try_from(first).unwrap_or(u16::MAX);
        panel.universes_end = u32::try_from(end).unwrap_or(u32::MAX);
        next = panel.universes_end;
    }
    repeated_universes(text, panels, wrong);
    sync_universe(text, highest, panels, wrong)
}

/// Each data line begins a universe of its own.
fn universe_count(panel: &Panel, pixels_per_universe: u32) -> u64 {
    let each = u64::from(pixels_per_universe);
    panel
        .strips_per_line()
        .map(|strips| {
            let lit = u64::from(strips) * u64::from(panel.strip_pixels());
            (lit + u64::from(panel.spare_pixels)).div_ceil(each)
        })
        .sum()
}

fn repeated_universes(text: &Text, panels: &[Panel], wrong: &mut Wrong) {
    let free = panels.iter().map(|panel| panel.universes_end).max().unwrap_or(1);
    let mut order: Vec<&Panel> = panels.iter().collect();
    order.sort_by_key(|panel| (panel.first_universe, panel.number));
    for pair in order.windows(2) {
        let [a, b] = pair else { continue };
        if u32::from(b.first_universe) >= a.universes_end {
            continue;
        }
        let (first, second) = if a.number < b.number { (a, b) } else { (b, a) };
        let written = &text.panels[second.number].own;
        let span = written.first_universe.as_ref().map_or(written.span.clone(), |w| w.span.clone());
        wrong.add(
            code::REPEATED_UNIVERSE,
            span,
            format!("{} and {} share universe {}", first.name, second.name, b.first_universe),
            match (u32::from(first.first_universe), first.universes_end - 1) {
                (one, last) if one == last => format!("{} takes universe {one}", first.name),
                (one, last) => format!("{} takes universes {one} to {last}", first.name),
            },
            match &written.first_universe {
                Some(_) => format!("write `first_universe = {free}`, or leave it out"),
                None => format!("write `first_universe = {free}` for one of the two"),
            },
        );
    }
}

fn sync_universe(text: &Text, highest: u32, panels: &[Panel], wrong: &mut Wrong) -> Option<u16> {
    let written = text.receiver.as_ref().and_then(|section| section.sync_universe.as_ref());
    let above = panels.iter().map(|panel| panel.universes_end).max().unwrap_or(1);
    // Only E1.31 sends these; the other protocols leave the number unused.
    let wanted = written.map_or(above, |w| w.value);
    let sends = protocol(text) == Protocol::E131;
    let span = written.map_or(0..0, |w| w.span.clone());
    if sends && wanted > highest {
        wrong.add(
            code::UNIVERSES_RUN_OUT,
            span,
            "no universe is left for synchronization",
            format!("the highest is {highest}"),
            "begin the panels at a lower `first_universe`, or give a free `sync_universe`",
        );
        return None;
    }
    let taken = panels
        .iter()
        .find(|panel| (u32::from(panel.first_universe)..panel.universes_end).contains(&wanted));
    if let (Some(panel), true) = (taken, sends) {
        wrong.add(
            code::REPEATED_UNIVERSE,
            span,
            format!("`sync_universe` is {wanted}, which carries pixels of {}", panel.name),
            "wanted: a universe that no panel has",
            format!("write `sync_universe = {above}`, or leave it out"),
        );
        return None;
    }
    Some(u16::try_from(wanted.min(highest)).unwrap_or(u16::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_as_people_write_them() {
        let host = |text: &str| match address_of(text, 5568) {
            Some(Address::Host { host, port }) => Some((host, port)),
            _ => None,
        };
        assert_eq!(host("192.0.2.51"), Some(("192.0.2.51".into(), 5568)));
        assert_eq!(host("west.local:6000"), Some(("west.local".into(), 6000)));
        assert_eq!(host("2001:db8::1"), Some(("2001:db8::1".into(), 5568)));
        assert_eq!(host("[2001:db8::1]:7000"), Some(("2001:db8::1".into(), 7000)));
        for wrong in [
            "",
            "a b",
            "192.0.2",
            "192.0.2.256",
            "x:0",
            "x:70000",
            "x:",
            "[::1",
            "[x]:1",
            "-a",
            "0.0.0.0",
            "255.255.255.255",
            "239.255.0.1",
            "[ff02::1]:5568",
            "a..b",
            "http://x",
        ] {
            assert_eq!(host(wrong), None, "{wrong}");
        }
    }
}
