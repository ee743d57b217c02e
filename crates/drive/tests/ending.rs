//! How a show ends.

mod support;

use std::net::UdpSocket;
use std::sync::Arc;
use std::time::{Duration, Instant};

use glowloom_drive::receive::State;
use glowloom_drive::{Change, OnLoss, Player, Settings};
use glowloom_wire::Patch;
use glowloom_wire::e131::{Any, Options};
use glowloom_wire::patch::{Address, Protocol};
use support::{ALL, Made, Numbered, Wall, picture, settings, until};

const LONG: Duration = Duration::from_secs(20);

#[test]
fn a_show_ends_in_black() {
    for protocol in ALL {
        // What is kept is what was sent last.
        let (patch, panels) = Wall::new(protocol).open(OnLoss::Keep);
        let patch = Arc::new(patch);
        let player =
            Player::start(Arc::clone(&patch), settings(100.0), Numbered::new(&patch)).unwrap();
        let mut frame = Vec::new();
        panels.wait_for_frame(LONG, &mut frame).unwrap();
        assert!(frame.iter().any(|&byte| byte > 0));
        player.stop();
        until("all is black", || {
            panels.picture(&mut frame);
            frame.iter().all(|&byte| byte == 0)
        });
        if protocol == Protocol::E131 {
            until("the stream has ended", || {
                panels.health().iter().all(|panel| panel.state == State::Lost)
            });
            assert!(panels.health().iter().all(|panel| panel.counts.strangers == 0));
        }
    }
}

#[test]
fn a_show_may_leave_the_wall_lit() {
    for protocol in ALL {
        let (patch, panels) = Wall::new(protocol).open(OnLoss::Keep);
        let patch = Arc::new(patch);
        let settings = Settings { leave_lit: true, ..settings(100.0) };
        let player = Player::start(Arc::clone(&patch), settings, Numbered::new(&patch)).unwrap();
        let mut frame = Vec::new();
        panels.wait_for_frame(LONG, &mut frame).unwrap();
        player.stop();
        if protocol == Protocol::E131 {
            until("the stream has ended", || {
                panels.health().iter().all(|panel| panel.state == State::Lost)
            });
        }
        // What is still on its way arrives.
        while panels.wait_for_frame(Duration::from_millis(200), &mut frame).is_some() {}
        panels.picture(&mut frame);
        assert!(frame == picture(&patch, frame[0].into()), "{protocol:?}");
        assert!(frame.iter().any(|&byte| byte > 0), "{protocol:?}");
    }
}

/// The packets themselves: three black frames, then three packets of each universe with
/// Stream_Terminated and rising numbers (E1.31-2018, 6.2.6, as quoted by open implementations).
#[test]
fn the_last_packets_are_those_of_the_standard() {
    let receiver = UdpSocket::bind("127.0.0.1:0").unwrap();
    receiver.set_read_timeout(Some(Duration::from_millis(500))).unwrap();
    let port = receiver.local_addr().unwrap().port();
    let wall = Wall { panels: 1, ..Wall::new(Protocol::E131) };
    let patch = Arc::new(wall.patch(&[Address::Virtual { port }]));
    let mut chosen = settings(100.0);
    (chosen.source_name, chosen.ask) = ("Tidewall".into(), false);
    let player = Player::start(Arc::clone(&patch), chosen, Numbered::new(&patch)).unwrap();
    until("some frames are sent", || player.health().sent >= 3);
    player.stop();

    let mut buffer = [0; 2000];
    let (mut data, mut syncs) = (Vec::new(), Vec::new());
    while let Ok(size) = receiver.recv(&mut buffer) {
        match Any::parse(&buffer[..size]).unwrap() {
            Any::Data(packet) => {
                assert_eq!(packet.header.source.as_str(), "Tidewall");
                assert_eq!(packet.header.sync.unwrap().get(), 5000);
                let black = packet.slots.iter().all(|&slot| slot == 0);
                let header = packet.header;
                data.push((header.universe.get(), header.sequence, header.options, black));
            }
            Any::Sync(sync) => syncs.push((sync.sequence, data.len())),
            Any::Discovery(_) => panic!("nobody but this computer listens"),
        }
    }
    // Four universes a frame, in order, and each counts on its own.
    for (nth, (universe, sequence, options, black)) in data.iter().enumerate() {
        let frame = nth / 4;
        assert_eq!((usize::from(*universe), usize::from(*sequence)), (nth % 4 + 1, frame % 256));
        let from_the_end = data.len() / 4 - frame;
        assert_eq!(*options == Options::END, from_the_end <= 3, "{from_the_end}");
        assert_eq!(*options == Options::default(), from_the_end > 3, "{from_the_end}");
        assert_eq!(*black, from_the_end <= 6, "{from_the_end}");
    }
    // One synchronization packet after each frame, but not after the end.
    let frames = data.len() / 4 - 3;
    assert_eq!(data.len() % 4, 0);
    let wanted: Vec<_> = (0..frames).map(|nth| (nth as u8, (nth + 1) * 4)).collect();
    assert_eq!(syncs, wanted);
}

#[test]
fn a_source_that_is_stuck_does_not_hold_up_the_end() {
    let (patch, panels) = Wall::new(Protocol::E131).open(OnLoss::Keep);
    let (_never, forever) = std::sync::mpsc::channel::<()>();
    let source = Made(
        move |number, into: &mut [u8]| {
            if number >= 3 {
                let _ = forever.recv();
            }
            into.fill(50);
            Ok(Change::New)
        },
        0,
    );
    let player = Player::start(Arc::new(patch), settings(100.0), Box::new(source)).unwrap();
    until("frames are repeated", || player.health().repeated >= 3);
    let before = Instant::now();
    player.stop();
    // Far more than the 200 ms that are promised, for a busy computer.
    assert!(before.elapsed() < Duration::from_secs(2), "{:?}", before.elapsed());
    let mut frame = Vec::new();
    until("all is black", || {
        panels.picture(&mut frame);
        frame.iter().all(|&byte| byte == 0)
    });
}

#[test]
fn a_show_that_never_had_a_frame_ends_without_a_word() {
    let receiver = UdpSocket::bind("127.0.0.1:0").unwrap();
    receiver.set_read_timeout(Some(Duration::from_millis(200))).unwrap();
    let port = receiver.local_addr().unwrap().port();
    let wall = Wall { panels: 1, ..Wall::new(Protocol::E131) };
    let patch = wall.patch(&[Address::Virtual { port }]);
    let (_never, forever) = std::sync::mpsc::channel::<()>();
    let source = Made(
        move |_, _: &mut [u8]| {
            let _ = forever.recv();
            Ok(Change::New)
        },
        0,
    );
    let player = Player::start(
        Arc::new(patch),
        Settings { ask: false, ..settings(100.0) },
        Box::new(source),
    )
    .unwrap();
    std::thread::sleep(Duration::from_millis(50));
    let before = Instant::now();
    assert_eq!(player.stop().sent, 0);
    assert!(before.elapsed() < Duration::from_secs(2), "{:?}", before.elapsed());
    assert!(receiver.recv(&mut [0; 2000]).is_err());
}

#[test]
fn a_slow_rate_does_not_hold_up_the_end() {
    let (patch, _panels) = Wall::new(Protocol::E131).open(OnLoss::Black);
    let patch = Arc::new(patch);
    let player = Player::start(Arc::clone(&patch), settings(1.0), Numbered::new(&patch)).unwrap();
    until("a frame is sent", || player.health().sent >= 1);
    let before = Instant::now();
    drop(player);
    assert!(before.elapsed() < Duration::from_millis(900), "{:?}", before.elapsed());
}

/// One player goes on where another stopped: no black, no end of stream, no packet taken for late; and a
/// panel that nobody sends to any more goes dark.
#[test]
fn another_player_goes_on_without_a_black_frame() {
    for protocol in ALL {
        let (patch, panels) = Wall::new(protocol).open(OnLoss::Keep);
        let patch = Arc::new(patch);
        let lit = |shade: u8| {
            let draw = move |_, into: &mut [u8]| {
                into.fill(shade);
                Ok(Change::New)
            };
            Box::new(Made(draw, 0))
        };
        let mut player = Player::start(Arc::clone(&patch), settings(100.0), lit(1)).unwrap();
        let mut frame = Vec::new();
        for shade in 2..9 {
            until("it is lit", || {
                panels.wait_for_frame(Duration::from_secs(20), &mut frame);
                frame[0] == shade - 1
            });
            let before = player.hand_over().unwrap();
            let next = Arc::clone(&patch);
            player = Player::start_after(Some(&before), next, settings(100.0), lit(shade)).unwrap();
            before.dismiss(&settings(100.0), protocol, |_| true);
            for _ in 0..10 {
                panels.wait_for_frame(Duration::from_secs(20), &mut frame).unwrap();
                assert!(frame[0] == shade || frame[0] == shade - 1, "{protocol:?} {}", frame[0]);
            }
        }
        for panel in panels.health() {
            assert_eq!((panel.counts.late, panel.counts.lost), (0, 0), "{protocol:?} {panel:?}");
        }
        // From now on without the third panel.
        let two = Patch::new(patch.common().clone(), patch.panels()[..2].to_vec()).unwrap();
        let before = player.hand_over().unwrap();
        let player = Player::start_after(Some(&before), Arc::new(two), settings(100.0), lit(50));
        before.dismiss(&settings(100.0), protocol, |panel| panel < 2);
        until("the third is dark and the others are not", || {
            panels.picture(&mut frame);
            let row = &frame[..90];
            row[..60].iter().all(|&byte| byte == 50) && row[60..].iter().all(|&byte| byte == 0)
        });
        drop(player);
    }
}
