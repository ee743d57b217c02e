//! From a picture to the light of virtual panels, over the loopback interface.

mod support;

use std::sync::Arc;
use std::time::Duration;

use glowloom_drive::receive::State;
use glowloom_drive::{Calls, Change, FrameError, OnLoss, Player, Sender};
use glowloom_wire::Patch;
use glowloom_wire::patch::{Channels, Protocol};
use support::{ALL, Made, Numbered, Wall, picture, settings, until};

const LONG: Duration = Duration::from_secs(20);

fn play(patch: &Patch, rate: f64, frames: Box<dyn glowloom_drive::Frames>) -> Player {
    Player::start(Arc::new(patch.clone()), settings(rate), frames).expect("a wall to send to")
}

#[test]
fn every_pixel_of_every_frame_arrives() {
    for protocol in ALL {
        for channels in [Channels::Three, Channels::Four] {
            let wall = Wall { channels, ..Wall::new(protocol) };
            let (patch, panels) = wall.open(OnLoss::Black);
            let player = play(&patch, 100.0, Numbered::new(&patch));
            let mut frame = Vec::new();
            let mut last = None;
            for nth in 1..=30 {
                let number = panels.wait_for_frame(LONG, &mut frame).unwrap();
                assert_eq!(number, nth, "{protocol:?} {channels:?}");
                let shown = u64::from(frame[0]);
                assert!(frame == picture(&patch, shown), "{protocol:?} {channels:?} {shown}");
                assert!(last.is_none_or(|last| shown >= last), "{last:?} {shown}");
                last = Some(shown);
            }
            let health = player.stop();
            assert!(health.sent >= 30 && health.held_bytes == 0, "{health:?}");
            for panel in &health.panels {
                assert_eq!((panel.dropped, &panel.error), (0, &None), "{panel:?}");
            }
            for panel in panels.health() {
                let counts = panel.counts;
                let bad = counts.lost + counts.late + counts.wrong + counts.strangers;
                assert_eq!(bad + counts.ignored, 0, "{protocol:?} {panel:?}");
            }
        }
    }
}

#[test]
fn a_thousand_frames_lose_nothing_and_all_panels_show_each() {
    for protocol in ALL {
        for calls in [Calls::Many, Calls::One] {
            let (patch, panels) = Wall::new(protocol).open(OnLoss::Black);
            let mut sender = Sender::new(&patch, &settings(30.0), calls).unwrap();
            let mut frame = Vec::new();
            for number in 0..1000 {
                sender.draw(&picture(&patch, number)).unwrap();
                sender.send(Duration::from_millis(number));
                // Each is waited for, so that this computer's speed does not matter.
                assert_eq!(panels.wait_for_frame(LONG, &mut frame), Some(number + 1));
                assert!(frame == picture(&patch, number), "{protocol:?} {calls:?} {number}");
            }
            for panel in panels.health() {
                let counts = panel.counts;
                assert_eq!((counts.shown, panel.state), (1000, State::Live));
                assert_eq!((counts.lost, counts.late, counts.wrong), (0, 0, 0), "{panel:?}");
            }
            assert!(sender.panels().iter().all(|panel| (panel.sent, panel.dropped) == (1000, 0)));
        }
    }
}

/// In a row with no pause, frames pile up in the sockets; those that arrive whole are not mixed.
#[test]
fn frames_that_pile_up_are_not_mixed() {
    for protocol in ALL {
        let (patch, panels) = Wall::new(protocol).open(OnLoss::Black);
        let mut sender = Sender::new(&patch, &settings(30.0), Calls::Many).unwrap();
        for number in 0..200 {
            sender.draw(&picture(&patch, number)).unwrap();
            sender.send(Duration::ZERO);
            if number % 10 == 0 {
                std::thread::sleep(Duration::from_millis(5));
            }
        }
        let (mut frame, mut frames) = (Vec::new(), 0);
        while panels.wait_for_frame(Duration::from_millis(500), &mut frame).is_some() {
            assert!(frame == picture(&patch, frame[0].into()), "{protocol:?} {frames}");
            frames += 1;
        }
        assert!(frames >= 20, "{protocol:?} {frames}");
    }
}

#[test]
fn no_byte_passes_the_ceiling_whatever_the_source_gives() {
    let wall = Wall { ceiling: 100, ..Wall::new(Protocol::E131) };
    let (patch, panels) = wall.open(OnLoss::Black);
    let white = Made(
        |_, into: &mut [u8]| {
            into.fill(255);
            Ok(Change::New)
        },
        0,
    );
    let player = play(&patch, 100.0, Box::new(white));
    let mut frame = Vec::new();
    panels.wait_for_frame(LONG, &mut frame).unwrap();
    assert!(frame[..frame.len() - 3].iter().all(|&byte| byte == 100));
    let health = player.stop();
    // Every byte of every new frame, less the pixel that nobody shows.
    let frames = health.sent - health.repeated;
    assert_eq!(health.held_bytes, frames * (frame.len() as u64 - 3));
}

#[test]
fn garbage_disturbs_nothing() {
    let (patch, panels) = Wall::new(Protocol::E131).open(OnLoss::Black);
    let player = play(&patch, 100.0, Numbered::new(&patch));
    let stranger = std::net::UdpSocket::bind("127.0.0.1:0").unwrap();
    let ports: Vec<_> = panels.health().iter().map(|panel| panel.at).collect();
    let mut frame = Vec::new();
    for round in 0..20u8 {
        for at in &ports {
            let garbage: Vec<u8> = (0..700).map(|n| (n as u8).wrapping_mul(round)).collect();
            stranger.send_to(&garbage[..35 * usize::from(round)], at).unwrap();
        }
        panels.wait_for_frame(LONG, &mut frame).unwrap();
        assert!(frame == picture(&patch, frame[0].into()));
    }
    until("garbage is counted", || panels.health().iter().all(|panel| panel.counts.wrong == 20));
    drop(player);
}

#[test]
fn the_last_frame_is_repeated_while_a_source_fails() {
    let (patch, panels) = Wall::new(Protocol::Ddp).open(OnLoss::Black);
    let drawn = patch.clone();
    let source = Made(
        move |number, into: &mut [u8]| match number {
            0..3 => {
                into.copy_from_slice(&picture(&drawn, number));
                Ok(Change::New)
            }
            3..6 => Ok(Change::Same),
            _ => Err(FrameError(format!("the disc is full of holes ({number})"))),
        },
        0,
    );
    let player = play(&patch, 100.0, Box::new(source));
    until("the source fails", || player.health().repeated >= 5);
    let health = player.health();
    assert!(health.source_error.unwrap().contains("full of holes"));
    assert!(health.source_errors >= 5, "{}", health.source_errors);
    let mut frame = Vec::new();
    until("the last frame is there", || {
        panels.picture(&mut frame);
        frame == picture(&patch, 2)
    });
    // "The same again" is no lack of frames. One that is late is, for a tick.
    let health = player.stop();
    let new = health.sent - health.repeated;
    assert!((1..=6).contains(&new) && new + health.overtaken <= 6, "{health:?}");
}

#[test]
fn a_source_that_breaks_down_leaves_the_last_frame() {
    let (patch, panels) = Wall::new(Protocol::ArtNet).open(OnLoss::Black);
    let drawn = patch.clone();
    let source = Made(
        move |number, into: &mut [u8]| {
            assert!(number < 2, "this source is made to break down");
            into.copy_from_slice(&picture(&drawn, number));
            Ok(Change::New)
        },
        0,
    );
    let player = play(&patch, 100.0, Box::new(source));
    until("the source breaks down", || player.health().source_error.is_some());
    let before = player.health().sent;
    until("sending goes on", || player.health().sent > before + 5);
    let mut frame = Vec::new();
    panels.picture(&mut frame);
    assert!(frame == picture(&patch, 1));
}

#[test]
fn the_rate_is_what_was_asked_for() {
    let (patch, _panels) = Wall::new(Protocol::E131).open(OnLoss::Black);
    let player = play(&patch, 50.0, Numbered::new(&patch));
    until("the rate is known", || player.health().rate.is_some());
    let health = player.health();
    let rate = health.rate.unwrap().0;
    // Generous: this computer may be busy, but it cannot be faster than asked.
    assert!((10.0..=55.0).contains(&rate), "{rate}");
    // Every tick is either sent or skipped.
    assert!(health.ticks + health.skipped >= 50 && health.ticks == health.sent, "{health:?}");
}

/// Packets that are spread over the frame arrive as all others, and every panel shows each frame.
#[test]
fn spread_packets_lose_nothing() {
    for protocol in ALL {
        let (patch, panels) = Wall::new(protocol).open(OnLoss::Black);
        let spread = Some(Duration::from_millis(4));
        let settings = glowloom_drive::Settings { spread, ..settings(30.0) };
        let mut sender = Sender::new(&patch, &settings, Calls::Many).unwrap();
        let mut frame = Vec::new();
        let start = std::time::Instant::now();
        for number in 0..50 {
            sender.draw(&picture(&patch, number)).unwrap();
            sender.send(Duration::from_millis(number));
            assert_eq!(panels.wait_for_frame(LONG, &mut frame), Some(number + 1));
            assert!(frame == picture(&patch, number), "{protocol:?} {number}");
        }
        // The last of the slots is not at once: a computer may be late, but never early.
        assert!(start.elapsed() > Duration::from_millis(50), "{:?}", start.elapsed());
    }
}
