//! Art-Net senders ask who is there, and virtual panels answer.

mod support;

use std::net::UdpSocket;
use std::time::Duration;

use glowloom_drive::{Answering, Calls, OnLoss, Sender};
use glowloom_wire::artnet::{Any, poll};
use glowloom_wire::patch::Protocol;
use support::{ALL, Wall, picture, settings, until};

#[test]
fn panels_answer_the_sender_and_are_missed_when_they_stop() {
    for protocol in ALL {
        let (patch, panels) = Wall::new(protocol).open(OnLoss::Black);
        let mut sender = Sender::new(&patch, &settings(30.0), Calls::Many).unwrap();
        sender.draw(&picture(&patch, 0)).unwrap();
        let mut millis = 0;
        let mut all = |sender: &mut Sender, by: u64| {
            millis += by;
            sender.send(Duration::from_millis(millis));
            sender.panels().into_iter().map(|panel| panel.answering).collect::<Vec<_>>()
        };
        if protocol != Protocol::ArtNet {
            assert_eq!(all(&mut sender, 1), [Answering::Unasked; 3]);
            continue;
        }
        assert_eq!(all(&mut sender, 1), [Answering::NotYet; 3]);
        until("all have answered", || {
            std::thread::sleep(Duration::from_millis(5));
            all(&mut sender, 1) == [Answering::Yes; 3]
        });
        // Questions are nothing that panels count as wrong.
        assert!(panels.health().iter().all(|panel| panel.counts.wrong == 0));
        drop(panels);
        assert_eq!(all(&mut sender, 5000), [Answering::Yes; 3]);
        assert_eq!(all(&mut sender, 5000), [Answering::Stopped; 3]);
    }
}

#[test]
fn a_panel_tells_every_universe_once() {
    let (patch, panels) = Wall::new(Protocol::ArtNet).open(OnLoss::Black);
    let asker = UdpSocket::bind("127.0.0.1:0").unwrap();
    asker.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    let mut question = [0; poll::SIZE];
    poll::Poll::default().emit(&mut question).unwrap();
    for (panel, health) in patch.panels().iter().zip(panels.health()) {
        asker.send_to(&question, health.at).unwrap();
        let mut wanted: Vec<_> = panel.universes(patch.common().channels).collect();
        while !wanted.is_empty() {
            let mut bytes = [0; 600];
            let (size, from) = asker.recv_from(&mut bytes).unwrap();
            assert_eq!(from, health.at);
            let Ok(Any::Reply(reply)) = Any::parse(&bytes[..size]) else { panic!("no reply") };
            assert_eq!(reply.short_name.as_str(), panel.name);
            assert_eq!(reply.ip, [127, 0, 0, 1]);
            for port in reply.outputs.iter().flatten() {
                let place = wanted.iter().position(|number| *number == port.get());
                wanted.remove(place.expect("a universe of the panel, told once"));
            }
        }
    }
}
