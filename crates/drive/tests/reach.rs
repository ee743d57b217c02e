//! Receivers that are out of reach, and ports that are held.

mod support;

use std::net::{Ipv4Addr, UdpSocket};
use std::sync::Arc;
use std::time::Duration;

use glowloom_drive::{
    Calls, DriveError, Multicast, OnLoss, Player, Sender, Settings, VirtualPanels, Which,
};
use glowloom_wire::patch::{Address, Protocol};
use support::{ALL, Numbered, Wall, free_port, picture, settings, until};

const LONG: Duration = Duration::from_secs(20);

fn udp(host: &str, port: u16) -> Address {
    Address::Udp { host: host.into(), port }
}

#[test]
fn a_receiver_out_of_reach_does_not_slow_the_others() {
    for protocol in ALL {
        let wall = Wall { panels: 5, ..Wall::new(protocol) };
        let closed = free_port();
        let away = [
            udp("no-such-host.invalid", protocol.port()),
            udp("127.0.0.1", closed),
            udp("192.0.2.1", protocol.port()),
        ];
        let (patch, panels) = wall.open_with(&away, OnLoss::Black);
        let patch = Arc::new(patch);
        let player =
            Player::start(Arc::clone(&patch), settings(100.0), Numbered::new(&patch)).unwrap();
        let mut frame = Vec::new();
        for nth in 1..=50 {
            assert_eq!(panels.wait_for_frame(LONG, &mut frame), Some(nth), "{protocol:?}");
        }
        let health = player.stop();
        let [unknown, refused, _, west, east] = &health.panels[..] else { panic!("five panels") };
        let error = unknown.error.clone().unwrap();
        assert!(error.contains("no-such-host.invalid"), "{error}");
        assert_eq!((unknown.sent, unknown.at, unknown.failing), (0, None, true));
        assert!(refused.dropped >= 40, "{protocol:?} {refused:?}");
        assert!(refused.error.as_ref().is_some_and(|error| error.contains("refused")));
        for panel in [west, east] {
            assert!(panel.sent >= 50 && panel.dropped == 0 && panel.error.is_none(), "{panel:?}");
        }
        for panel in panels.health() {
            assert_eq!((panel.counts.lost, panel.counts.late), (0, 0), "{panel:?}");
        }
    }
}

#[test]
fn a_receiver_that_comes_back_gets_frames_at_once() {
    for protocol in ALL {
        let wall = Wall { panels: 1, ..Wall::new(protocol) };
        let patch = wall.patch(&[Address::Virtual { port: free_port() }]);
        let mut sender = Sender::new(&patch, &settings(30.0), Calls::Many).unwrap();
        // More than the numbers of any protocol.
        for number in 0..300 {
            sender.draw(&picture(&patch, number)).unwrap();
            sender.send(Duration::from_millis(number));
        }
        let refused = sender.panels().remove(0);
        assert!(refused.failing && refused.dropped >= 290, "{protocol:?} {refused:?}");
        let panels = VirtualPanels::open(&patch, Which::Virtual, OnLoss::Black).unwrap();
        for number in 300..310 {
            sender.draw(&picture(&patch, number)).unwrap();
            sender.send(Duration::from_millis(number));
        }
        until("frames arrive", || panels.health()[0].counts.shown >= 9);
        assert_eq!(panels.health()[0].counts.late, 0);
        let health = sender.panels().remove(0);
        assert!(!health.failing && health.error.is_some(), "{health:?}");
    }
}

#[test]
fn a_port_that_is_held_is_named() {
    let holder = UdpSocket::bind("127.0.0.1:0").unwrap();
    let port = holder.local_addr().unwrap().port();
    let wall = Wall { panels: 2, ..Wall::new(Protocol::E131) };
    let patch = wall.patch(&[Address::Virtual { port: free_port() }, Address::Virtual { port }]);
    let error = VirtualPanels::open(&patch, Which::Virtual, OnLoss::Black).unwrap_err();
    assert!(matches!(error, DriveError::PortHeld { .. }));
    let text = error.to_string();
    assert!(text.contains("panel 2") && text.contains(&port.to_string()), "{text}");
    // A show opens those that are free.
    let panels = VirtualPanels::open(&patch, Which::Free, OnLoss::Black).unwrap();
    let held: Vec<_> = panels.health().iter().map(|panel| panel.held_elsewhere).collect();
    assert_eq!(held, [false, true]);
    // And when all is over, the ports are free again.
    drop((panels, holder));
    drop(VirtualPanels::open(&patch, Which::Virtual, OnLoss::Black).unwrap());
    drop(VirtualPanels::open(&patch, Which::Virtual, OnLoss::Black).unwrap());
}

#[test]
fn only_panels_of_this_computer_are_opened() {
    let wall = Wall { panels: 5, ..Wall::new(Protocol::E131) };
    let patch = wall.patch(&[
        Address::Virtual { port: free_port() },
        udp("127.0.0.1", free_port()),
        udp("192.0.2.1", 5568),
        udp("LocalHost", free_port()),
        udp("quay.invalid", 5568),
    ]);
    for (which, wanted) in [(Which::Virtual, 1), (Which::Free, 1), (Which::AlsoLoopback, 3)] {
        let panels = VirtualPanels::open(&patch, which, OnLoss::Black).unwrap();
        let health = panels.health();
        assert_eq!(health.len(), wanted, "{which:?}");
        assert!(health.iter().all(|panel| panel.at.ip().is_loopback()));
    }
}

#[test]
fn names_of_this_computer_are_found() {
    let wall = Wall { panels: 1, ..Wall::new(Protocol::Ddp) };
    let port = free_port();
    let here = wall.patch(&[Address::Virtual { port }]);
    let panels = VirtualPanels::open(&here, Which::Virtual, OnLoss::Black).unwrap();
    let by_name = Arc::new(wall.patch(&[udp("localhost", port)]));
    let source = Numbered::new(&by_name);
    let player = Player::start(by_name, settings(100.0), source).unwrap();
    let mut frame = Vec::new();
    panels.wait_for_frame(LONG, &mut frame).unwrap();
    assert!(frame == picture(&here, frame[0].into()));
    assert_eq!(player.health().panels[0].at, Some(([127, 0, 0, 1], port).into()));
}

#[test]
fn frames_go_to_groups_by_choice() {
    let wall = Wall { panels: 2, ..Wall::new(Protocol::E131) };
    let port = free_port();
    // Both on one port, as receivers of groups are; told apart by their universes.
    let patch = wall.patch(&[udp("127.0.0.1", port), udp("127.0.0.2", port)]);
    let interface = Ipv4Addr::LOCALHOST;
    let panels =
        VirtualPanels::open_joined(&patch, Which::AlsoLoopback, OnLoss::Black, interface).unwrap();
    let multicast = Some(Multicast { interface: Some(interface), ..Multicast::default() });
    let settings = Settings { multicast, ..settings(100.0) };
    let source = Numbered::new(&patch);
    let player = Player::start(Arc::new(patch.clone()), settings, source).unwrap();
    let mut frame = Vec::new();
    for nth in 1..=20 {
        assert_eq!(panels.wait_for_frame(LONG, &mut frame), Some(nth));
        assert!(frame == picture(&patch, frame[0].into()));
    }
    let health = player.stop();
    assert!(health.panels.iter().all(|panel| panel.dropped == 0 && panel.at.is_none()));
    for panel in panels.health() {
        assert_eq!((panel.counts.wrong, panel.counts.lost), (0, 0), "{panel:?}");
    }
}

#[test]
fn what_cannot_be_sent_is_refused() {
    let multicast = Some(Multicast::default());
    let wall = Wall { panels: 1, ..Wall::new(Protocol::Ddp) };
    let patch = wall.patch(&[udp("192.0.2.1", 4048)]);
    let chosen = Settings { multicast, ..settings(30.0) };
    let error = Sender::new(&patch, &chosen, Calls::Many).unwrap_err();
    assert!(matches!(error, DriveError::Multicast(Protocol::Ddp)));
    let error = VirtualPanels::open_joined(&patch, Which::Free, OnLoss::Black, Ipv4Addr::LOCALHOST);
    assert!(matches!(error, Err(DriveError::Multicast(Protocol::Ddp))));
    let patch = wall.patch(&[Address::Serial {
        port: None,
        baud: 921_600,
        bits: glowloom_wire::ColourBits::Sixteen,
    }]);
    let error = Sender::new(&patch, &settings(30.0), Calls::Many).unwrap_err().to_string();
    assert!(error.contains("panel 1") && error.contains("give its serial port"), "{error}");
}

/// Packets that are right and never cease do not keep panels from closing.
#[test]
fn panels_close_while_packets_keep_coming() {
    use glowloom_wire::e131::{Cid, SourceName, Universe, data};
    use std::sync::atomic::{AtomicBool, Ordering};
    let wall = Wall { panels: 1, ..Wall::new(Protocol::E131) };
    let port = free_port();
    let patch = wall.patch(&[Address::Virtual { port }]);
    let universe = patch.panels()[0].lines[0].first_universe;
    let panels = VirtualPanels::open(&patch, Which::Virtual, OnLoss::Black).unwrap();
    let over = Arc::new(AtomicBool::new(false));
    let floods: Vec<_> = (0..3u8)
        .map(|n| {
            let over = Arc::clone(&over);
            std::thread::spawn(move || {
                let socket = std::net::UdpSocket::bind("127.0.0.1:0").unwrap();
                let cid = Cid([n; 16]);
                let name = SourceName::new("flood");
                let header = data::Header::new(cid, name, Universe::new(universe).unwrap());
                let mut bytes = [0; 638];
                let packet = data::Data { header, slots: &[1, 2, 3] };
                let size = packet.emit(&mut bytes).unwrap();
                let mut sequence = 0u8;
                while !over.load(Ordering::Relaxed) {
                    sequence = sequence.wrapping_add(1);
                    data::set_sequence(&mut bytes, sequence);
                    // A full or closed port is no matter here.
                    let _ = socket.send_to(&bytes[..size], ("127.0.0.1", port));
                }
            })
        })
        .collect();
    std::thread::sleep(std::time::Duration::from_millis(300));
    let (done, closed) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        drop(panels);
        let _ = done.send(());
    });
    let in_time = closed.recv_timeout(LONG);
    over.store(true, Ordering::Relaxed);
    floods.into_iter().for_each(|flood| flood.join().unwrap());
    assert!(in_time.is_ok(), "still open after {LONG:?}");
}
