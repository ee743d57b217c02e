//! Light from another sender, all the way: its packets in, through the pipeline with its guards, and
//! out to virtual panels.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

mod support;

use std::net::{SocketAddr, UdpSocket};
use std::sync::Arc;
use std::time::{Duration, Instant};

use glowloom_drive::{Arranged, Incoming, Listening, Live, OnLoss, Player};
use glowloom_show::{Brightness, Channels, Finish, Pipeline};
use glowloom_wire::Patch;
use glowloom_wire::ddp::{Body, DataType, Header, Message};
use glowloom_wire::guard::{Guard, GuardRow};
use glowloom_wire::patch::Protocol;
use support::{Wall, settings, until};

/// A wall of E1.31 panels that plays what comes by DDP, and where to send it.
fn play(patch: &Arc<Patch>) -> (Player, Incoming) {
    let listening = Listening {
        protocol: Protocol::Ddp,
        at: SocketAddr::from(([127, 0, 0, 1], 0)),
        arranged: Arranged::Rows { first_universe: 1 },
        on_loss: OnLoss::Black,
        own_cid: [0; 16],
        name: "test".into(),
    };
    let incoming = Incoming::open(patch, &listening).unwrap();
    let common = patch.common();
    let finish = Finish { channels: Channels::Rgb, ceiling: common.ceiling };
    let mut pipeline = Pipeline::new(common.columns, common.rows, finish, Brightness::FULL);
    pipeline.show(incoming.source(), Duration::ZERO);
    let (live, _) = Live::new(pipeline, patch).unwrap();
    let player = Player::start(Arc::clone(patch), settings(60.0), Box::new(live)).unwrap();
    (player, incoming)
}

/// All pixels of one level.
fn send(socket: &UdpSocket, incoming: &Incoming, patch: &Patch, level: u8) {
    let size = patch.frame_bytes();
    let mut offset = 0;
    while offset < size {
        let count = (size - offset).min(1440);
        let push = offset + count == size;
        let header = Header::new(DataType::RGB, offset as u32, push);
        let mut bytes = vec![0; 10 + count];
        Message { header, body: Body::Data(&vec![level; count]) }.emit(&mut bytes).unwrap();
        socket.send_to(&bytes, incoming.at().unwrap()).unwrap();
        offset += count;
    }
}

#[test]
fn levels_come_through_under_the_ceiling_and_go_when_the_sender_does() {
    let wall = Wall { ceiling: 200, ..Wall::new(Protocol::E131) };
    let (patch, panels) = wall.open(OnLoss::Keep);
    let patch = Arc::new(patch);
    let (player, incoming) = play(&patch);
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    let mut frame = Vec::new();
    let level = |frame: &[u8]| frame[300];
    until("half of full light is half of the ceiling", || {
        send(&socket, &incoming, &patch, 128);
        std::thread::sleep(Duration::from_millis(10));
        panels.picture(&mut frame);
        // 128 / 255 of 200, rounded either way.
        (100..=101).contains(&level(&frame))
    });
    until("full light is the ceiling", || {
        send(&socket, &incoming, &patch, 255);
        std::thread::sleep(Duration::from_millis(10));
        panels.picture(&mut frame);
        level(&frame) == 200
    });
    let silent = Instant::now();
    until("it goes dark", || {
        panels.picture(&mut frame);
        level(&frame) == 0
    });
    assert!(silent.elapsed() > Duration::from_millis(2300), "{:?}", silent.elapsed());
    let health = player.stop();
    assert_eq!((health.held_bytes, health.source_errors), (0, 0));
}

/// Ten flashes a second come in; three a second leave, and three more at the very start. They are counted
/// over the whole time: when a frame is seen here depends on how busy the computer is. What leaves in any
/// one second is held against a clock that is handed in, in `glowloom-show`.
///
/// A change among states of 0.80 of full light and more is no flash (WCAG 2.3.1), and the guard lets it pass.
/// Where frames come late it may hold the wall bright between two flashes, so that counts here.
#[test]
fn the_flash_guard_stands_behind_it() {
    let (patch, panels) = Wall::new(Protocol::E131).open(OnLoss::Keep);
    let patch = Arc::new(patch);
    let (player, incoming) = play(&patch);
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    let (mut frame, mut rises, mut low, mut high) = (Vec::new(), 0u32, u8::MAX, 0);
    let mut rising = false;
    // 0.80 of full light, less half a step of rounding.
    let dark = |level: u8| level < 203;
    let start = Instant::now();
    while start.elapsed() < Duration::from_secs(4) {
        let phase = start.elapsed().as_millis() / 50 % 2;
        send(&socket, &incoming, &patch, if phase == 0 { 255 } else { 0 });
        if panels.wait_for_frame(Duration::from_millis(10), &mut frame).is_some() {
            let level = frame[300];
            // A rise or fall by a tenth of full light (the guard's own, WCAG 2.x), less rounding.
            if !rising && dark(low) && level > low.saturating_add(26) {
                (rising, high) = (true, level);
                rises += 1;
            } else if rising && dark(level) && level.saturating_add(26) < high {
                (rising, low) = (false, level);
            }
            (low, high) = (low.min(level), high.max(level));
        }
    }
    assert!(rises > 0, "nothing was shown at all");
    // Frames are drawn up to three ticks ahead; three rises come in each second but a millisecond.
    let seconds = start.elapsed().as_secs_f64() + 3.0 / 60.0;
    let most = 3 * ((seconds / 0.999) as u32 + 1);
    assert!(rises <= most, "{rises} flashes in {seconds} s");
    assert!(incoming.health().counts.shown > 100);
    player.stop();
}

/// A limit that full white is far beyond: the frame that would pass it leaves dimmed.
#[test]
fn the_supply_guard_stands_behind_it() {
    let (patch, panels) = Wall::new(Protocol::E131).open(OnLoss::Keep);
    // A quarter of what all pixels of a panel at full white add up to.
    let row = |panel: &glowloom_wire::patch::PanelPatch| {
        let lit = panel.lines.iter().flat_map(|line| &line.pixels).flatten().count();
        let limit = lit as f32 * 3.0 / 4.0;
        vec![GuardRow { about: "a supply".into(), first: 0, weights: vec![1.0; lit], limit }]
    };
    let kinds = patch.panels().iter().map(row).collect();
    let guard = Guard::new(kinds, vec![0, 1, 2], f64::INFINITY).unwrap();
    let patch = Arc::new(patch.with_guard(guard).unwrap());
    let (player, incoming) = play(&patch);
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    let mut frame = Vec::new();
    until("frames are dimmed", || {
        send(&socket, &incoming, &patch, 255);
        std::thread::sleep(Duration::from_millis(10));
        player.health().dimmed > 20
    });
    panels.picture(&mut frame);
    // A quarter of 255, a whole byte down at most for rounding.
    assert!((61..=63).contains(&frame[300]), "{}", frame[300]);
    player.stop();
}
