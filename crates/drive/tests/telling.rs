//! Receivers are asked how they are, and virtual panels answer, by every protocol.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::net::UdpSocket;
use std::sync::Arc;
use std::time::Duration;

use glowloom_drive::{Answering, OnLoss, Player};
use glowloom_wire::status::{self, Status};
use glowloom_wire::{ddp, e131};
use support::{ALL, Numbered, Wall, settings, until};

/// What a panel answers to a stranger's question.
fn asked(socket: &UdpSocket, at: std::net::SocketAddr) -> Status {
    let mut bytes = [0; 1500];
    // Not each question is answered, lest answers flood somebody.
    for _ in 0..200 {
        socket.send_to(&status::QUESTION, at).unwrap();
        if let Ok((size, from)) = socket.recv_from(&mut bytes) {
            assert_eq!(from, at);
            return Status::parse(&bytes[..size]).unwrap();
        }
    }
    panic!("never answered");
}

fn asker() -> UdpSocket {
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    socket.set_read_timeout(Some(Duration::from_millis(100))).unwrap();
    socket
}

#[test]
fn panels_say_how_they_are() {
    for protocol in ALL {
        let (patch, panels) = Wall::new(protocol).open(OnLoss::Black);
        let before = asked(&asker(), panels.health()[1].at);
        assert_eq!((before.shown, before.from, before.ago), (Some(0), None, None));
        assert_eq!(before.panel.as_deref(), Some("panel 2"));
        assert_eq!(before.print, Some(status::print(patch.common(), &patch.panels()[1])));
        let player =
            Player::start(Arc::new(patch.clone()), settings(100.0), Numbered::new(&patch)).unwrap();
        until("the sender knows", || {
            let told: Vec<_> = player.health().panels.into_iter().map(|panel| panel.told).collect();
            told.iter().flatten().filter(|told| told.status.shown > Some(10)).count() == 3
        });
        let health = player.health();
        for (panel, here) in health.panels.iter().zip(panels.health()) {
            let told = panel.told.as_ref().unwrap();
            let status = &told.status;
            assert_eq!(panel.answering, Answering::Yes);
            assert_eq!(status.from.as_deref(), Some("127.0.0.1"));
            assert!(status.shown <= Some(here.counts.shown) && status.ago.is_some());
            assert_eq!((status.lost, status.late, status.wrong), (Some(0), Some(0), Some(0)));
            assert_eq!((&status.other, &panel.name), (&None, status.panel.as_ref().unwrap()));
        }
        // How exactly is a bench's affair: here they tell at all, and a frame has 10 ms.
        let step = health.in_step.unwrap();
        assert!(step.panels == 3 && step.apart < Duration::from_millis(10), "{step:?}");
        // The questions are no packets of light, and cost no frame.
        for here in panels.health() {
            assert_eq!((here.counts.wrong, here.counts.ignored, here.counts.lost), (0, 0, 0));
        }
        drop(panels);
        until("they are missed", || {
            player.health().panels.iter().all(|panel| panel.answering == Answering::Stopped)
        });
        assert!(player.health().panels.iter().all(|panel| panel.told.is_none()));
    }
}

#[test]
fn another_sender_is_named_by_the_panel() {
    use glowloom_wire::patch::Protocol;
    let (patch, panels) = Wall::new(Protocol::E131).open(OnLoss::Black);
    let player =
        Player::start(Arc::new(patch.clone()), settings(100.0), Numbered::new(&patch)).unwrap();
    until("frames come", || panels.health()[0].counts.shown > 0);
    let universe = e131::Universe::new(1).unwrap();
    let name = e131::SourceName::new("the harbour's desk");
    let header = e131::data::Header {
        priority: e131::Priority::new(90).unwrap(),
        ..e131::data::Header::new(e131::Cid([9; 16]), name, universe)
    };
    let mut packet = vec![7; 126 + 512];
    e131::data::emit_header(&header, 512, &mut packet).unwrap();
    let socket = asker();
    until("the sender is told", || {
        socket.send_to(&packet, panels.health()[0].at).unwrap();
        let told = player.health().panels.remove(0).told;
        told.is_some_and(|told| told.status.other_name.as_deref() == Some("the harbour's desk"))
    });
    let status = player.health().panels.remove(0).told.unwrap().status;
    assert_eq!((status.other.as_deref(), status.other_priority), (Some("127.0.0.1"), Some(90)));
}

#[test]
fn a_flood_of_questions_is_not_answered_each_time() {
    use glowloom_wire::patch::Protocol;
    let (_patch, panels) = Wall::new(Protocol::Ddp).open(OnLoss::Black);
    let socket = asker();
    let at = panels.health()[0].at;
    let began = std::time::Instant::now();
    for _ in 0..200 {
        socket.send_to(&status::QUESTION, at).unwrap();
    }
    let mut bytes = [0; 1500];
    let mut answers = 0;
    while let Ok((size, _)) = socket.recv_from(&mut bytes) {
        assert!(size > ddp::HEADER);
        answers += 1;
    }
    let most = 2 + began.elapsed().as_millis() / u128::from(status::LEAST_GAP_MILLIS);
    assert!((1..=most).contains(&answers), "{answers} of at most {most}");
}

/// A receiver that says that it loses a quarter of its packets; whether that is so is not looked at.
#[test]
fn the_rate_is_lowered_when_a_receiver_loses_packets() {
    use glowloom_drive::{FramesPerSecond, Strain};
    use glowloom_wire::patch::{Address, Protocol};
    let receiver = UdpSocket::bind("127.0.0.1:0").unwrap();
    receiver.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    let port = receiver.local_addr().unwrap().port();
    let wall = Wall { panels: 1, ..Wall::new(Protocol::Ddp) };
    let patch = wall.patch(&[Address::Virtual { port }]);
    let source = Numbered::new(&patch);
    let player = Player::start(Arc::new(patch), settings(100.0), source).unwrap();
    assert_eq!((player.health().eased, player.health().aim), (None, FramesPerSecond(100.0)));
    let mut bytes = [0; 1500];
    let mut questions = 0;
    while player.health().eased.is_none() {
        let (size, from) = receiver.recv_from(&mut bytes).unwrap();
        if status::is_question(&bytes[..size]) {
            questions += 1;
            let status = Status {
                up: Some(questions),
                shown: Some(30 * questions),
                lost: Some(10 * questions),
                ..Status::default()
            };
            receiver.send_to(&status.packet().unwrap(), from).unwrap();
        }
        assert!(questions < 60, "never lowered");
    }
    let eased = player.health().eased.unwrap();
    assert!(eased.share < 1.0 && matches!(eased.strain, Strain::Loses(_)), "{eased:?}");
    // The clock of the frames follows.
    until("frames come more rarely", || {
        player.health().aim == FramesPerSecond(100.0 * player.health().eased.unwrap().share)
    });
}
