//! Receivers that say that they are there are found and followed, on the loopback interface.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::net::SocketAddr;
use std::sync::Arc;

use glowloom_drive::{
    Announcement, Neighbour, OnLoss, Player, Reach, Settings, VirtualPanels, Which,
};
use glowloom_wire::Patch;
use glowloom_wire::patch::{Address, Protocol};
use support::{ALL, Numbered, Wall, free_port, settings, until};

/// A wall of two panels at these loopback hosts, by name and number.
fn patch(protocol: Protocol, hosts: [&str; 2], port: u16) -> Patch {
    let wall = Wall { panels: 2, ..Wall::new(protocol) };
    let address = |host: &str| Address::Udp { host: host.into(), port };
    wall.patch(&hosts.map(address)).of_wall("Jetty")
}

/// Its panels, open and told of.
fn open(patch: &Patch, mdns: u16) -> (VirtualPanels, Announcement) {
    let panels = VirtualPanels::open(patch, Which::AlsoLoopback, OnLoss::Black).unwrap();
    let at: Vec<SocketAddr> = panels.health().iter().map(|panel| panel.at).collect();
    let announcement = Announcement::of_panels(patch, at.into_iter().enumerate(), mdns).unwrap();
    (panels, announcement)
}

/// Whether multicast works here at all: in some sandboxes it does not.
fn can_multicast() -> bool {
    let socket = std::net::UdpSocket::bind("0.0.0.0:0").unwrap();
    let group = "224.0.0.251".parse().unwrap();
    let can = socket.join_multicast_v4(&group, &"127.0.0.1".parse().unwrap()).is_ok();
    if !can {
        // Written past the test's own capture, so that it is seen.
        use std::io::Write;
        let _ = writeln!(std::io::stderr(), "skipped: no multicast on the loopback interface");
    }
    can
}

#[test]
fn a_receiver_is_followed_to_another_address_while_frames_go_on() {
    if !can_multicast() {
        return;
    }
    for protocol in ALL {
        let (mdns, port) = (free_port(), free_port());
        let file = patch(protocol, ["127.0.0.61", "127.0.0.62"], port);
        let reach = Reach { port: mdns, loopback_only: true };
        let settings = Settings { look_out: Some(reach), ..settings(100.0) };
        let source = Numbered::new(&file);
        let (panels, announcement) = open(&file, mdns);
        let player = Player::start(Arc::new(file.clone()), settings, source).unwrap();
        until("both are lit", || panels.health().iter().all(|panel| panel.counts.shown > 5));
        assert_eq!(player.health().neighbours, []);
        // The second gets another address, as by DHCP.
        drop((panels, announcement));
        let moved = patch(protocol, ["127.0.0.61", "127.0.0.63"], port);
        let (panels, _announcement) = open(&moved, mdns);
        until("it is lit there", || panels.health().iter().all(|panel| panel.counts.shown > 5));
        let to: SocketAddr = ([127, 0, 0, 63], port).into();
        let health = player.health();
        assert_eq!(health.panels[1].at, Some(to));
        let panel = "panel 2".to_owned();
        let wanted = Neighbour::Moved { panel, to, file: "127.0.0.62".into() };
        assert_eq!(health.neighbours, [wanted]);
    }
}

#[test]
fn doubles_and_strangers_are_told() {
    if !can_multicast() {
        return;
    }
    let (mdns, port) = (free_port(), free_port());
    let file = patch(Protocol::Ddp, ["127.0.0.71", "127.0.0.72"], port);
    let again = patch(Protocol::Ddp, ["127.0.0.73", "127.0.0.74"], port);
    let other = patch(Protocol::Ddp, ["127.0.0.75", "127.0.0.76"], port).of_wall("Moorings");
    let _all = [&file, &again, &other].map(|patch| open(patch, mdns));
    let reach = Reach { port: mdns, loopback_only: true };
    let settings = Settings { look_out: Some(reach), ..settings(30.0) };
    let player = Player::start(Arc::new(file.clone()), settings, Numbered::new(&file)).unwrap();
    until("all four are told", || {
        let told = player.health().neighbours;
        let double = |told: &&Neighbour| matches!(told, Neighbour::Double { .. });
        let stranger = |told: &&Neighbour| matches!(told, Neighbour::Stranger { wall, .. } if wall == "Moorings");
        let count = (told.iter().filter(double).count(), told.iter().filter(stranger).count());
        count == (2, 2) && told.len() == 4
    });
    // Those of the wall file are sent to.
    until("they are", || {
        let at = player.health().panels.into_iter().map(|panel| panel.at.map(|at| at.ip()));
        at.eq([71, 72].map(|host| Some(std::net::IpAddr::from([127, 0, 0, host]))))
    });
}

/// Two shows of one wall: one plays, whichever is started first; when it has ended the other goes on.
#[test]
fn of_two_shows_one_plays() {
    if !can_multicast() {
        return;
    }
    let (mdns, port) = (free_port(), free_port());
    let file = patch(Protocol::Ddp, ["127.0.0.81", "127.0.0.82"], port);
    let (panels, _announcement) = open(&file, mdns);
    let reach = Reach { port: mdns, loopback_only: true };
    // Both began with this program: the lower identity goes first.
    let show = |cid: u8| {
        let settings = Settings { look_out: Some(reach), cid: [cid; 16], ..settings(50.0) };
        Player::start(Arc::new(file.clone()), settings, Numbered::new(&file)).unwrap()
    };
    let waits = |player: &Player| {
        player.health().neighbours.iter().any(|told| matches!(told, Neighbour::Turn { .. }))
    };
    let second = show(9);
    until("it plays alone", || second.health().sent > 5);
    assert!(!waits(&second));
    let first = show(1);
    until("it is told that another goes before it", || waits(&second));
    let sent = second.health().sent;
    let shown = panels.health()[0].counts.shown;
    until("the other plays", || first.health().sent > 20);
    until("and is seen", || panels.health()[0].counts.shown > shown + 5);
    // One frame may have been on its way.
    assert!(second.health().sent <= sent + 1, "{} after {sent}", second.health().sent);
    assert!(!waits(&first));
    drop(first);
    until("it goes on", || second.health().sent > sent + 20);
    assert!(!waits(&second));
}

/// A show of another wall is nobody's business.
#[test]
fn shows_of_two_walls_both_play() {
    if !can_multicast() {
        return;
    }
    let (mdns, port) = (free_port(), free_port());
    let here = patch(Protocol::Ddp, ["127.0.0.83", "127.0.0.84"], port);
    let there = patch(Protocol::Ddp, ["127.0.0.85", "127.0.0.86"], port).of_wall("Moorings");
    let reach = Reach { port: mdns, loopback_only: true };
    let show = |patch: &Patch, cid: u8| {
        let settings = Settings { look_out: Some(reach), cid: [cid; 16], ..settings(50.0) };
        Player::start(Arc::new(patch.clone()), settings, Numbered::new(patch)).unwrap()
    };
    let (one, other) = (show(&here, 9), show(&there, 1));
    until("both go on", || one.health().sent > 100 && other.health().sent > 100);
    assert_eq!((one.health().neighbours, other.health().neighbours), (vec![], vec![]));
}
