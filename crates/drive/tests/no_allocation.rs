//! Once it runs, sending takes no memory. The counting allocator is that of `allocation-counter`,
//! which counts for the thread that asks.

mod support;

use std::time::Duration;

use glowloom_drive::block::Block;
use glowloom_drive::ring::Ring;
use glowloom_drive::{
    Calls, Frames, FramesPerSecond, Live, OnLoss, Piped, Rate, Sender, Timepiece, Zone,
};
use glowloom_show::lettering::{ClockPicture, ClockStyle, Seconds};
use glowloom_show::{
    Brightness, Channels, Drawn, Finish, LinearFrame, Pipeline, Source, SourceError,
};
use glowloom_wire::guard::{Guard, GuardRow};
use glowloom_wire::patch::Protocol;
use glowloom_wire::{Balance, Patch};
use support::{ALL, Wall, picture, settings};

#[test]
fn a_hundred_frames_take_no_memory() {
    for protocol in ALL {
        for calls in [Calls::Many, Calls::One] {
            let (patch, panels) = Wall::new(protocol).open(OnLoss::Black);
            let mut sender = Sender::new(&patch, &settings(30.0), calls).unwrap();
            let frame = picture(&patch, 1);
            let ring = Ring::new(2, patch.frame_bytes());
            let mut send = |tick: u64| {
                let mut drawn = ring.take(tick).unwrap();
                drawn.bytes.copy_from_slice(&frame);
                ring.put(drawn);
                let drawn = ring.latest(tick).unwrap();
                sender.draw(&drawn.bytes).unwrap();
                ring.give_back(drawn);
                sender.send(Duration::from_millis(tick));
            };
            // The first frame opens the sockets.
            send(0);
            let counted = allocation_counter::measure(|| (1..=100).for_each(&mut send));
            assert_eq!(counted.count_total, 0, "{protocol:?} {calls:?}");
            assert!(sender.panels().iter().all(|panel| panel.sent == 101), "{protocol:?}");
            drop(panels);
        }
    }
}

/// Black and white in turn: every other frame is held back by the supply guard.
struct Blinking(bool);

impl Source for Blinking {
    fn draw(&mut self, _: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        self.0 = !self.0;
        into.values_mut().fill(if self.0 { 65_535 } else { 3_000 });
        Ok(Drawn::New)
    }
}

/// From the source to the packets: dither, panels that keep part of their light, the supply guard.
#[test]
fn a_hundred_pictures_take_no_memory() {
    let (patch, _panels) = Wall::new(Protocol::E131).open(OnLoss::Black);
    let count = patch.panels().len();
    let dim = Balance::new([0.9, 1.0, 0.8, 1.0]).unwrap();
    let row = GuardRow { about: "a feed".into(), first: 0, weights: vec![1.0; 2], limit: 2.0 };
    let guard = Guard::new(vec![vec![row]], vec![0; count], 1e9).unwrap();
    let patch = Patch::clone(&patch).with_balances(vec![dim; count]).unwrap();
    let patch = patch.with_guard(guard).unwrap();
    let common = patch.common();
    let finish = Finish { channels: Channels::Rgb, ceiling: common.ceiling };
    let mut pipeline = Pipeline::new(common.columns, common.rows, finish, Brightness::FULL);
    pipeline.set_dither(true);
    pipeline.show(Box::new(Blinking(false)), Duration::ZERO);
    let (mut live, _remote) = Live::new(pipeline, &patch).unwrap();
    let mut block = Block::new(&patch, &settings(60.0)).unwrap();
    let mut bytes = vec![0; patch.frame_bytes()];
    let mut show = |tick: u32| {
        live.frame(Duration::from_secs(2) * tick, &mut bytes).unwrap();
        assert_eq!(block.draw(&bytes).unwrap(), 0);
    };
    show(0);
    let counted = allocation_counter::measure(|| (1..=100).for_each(&mut show));
    assert_eq!(counted.count_total, 0);
    assert!(live.dimmed() >= 50, "{}", live.dimmed());
}

/// Bytes that rise, without an end, each time that somebody waits for it.
struct Rising(u8, std::sync::mpsc::SyncSender<()>);

impl std::io::Read for Rising {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        self.0 = self.0.wrapping_add(1);
        into.fill(self.0);
        self.1.send(()).map_err(std::io::Error::other)?;
        Ok(into.len())
    }
}

/// From a pipe to device bytes.
#[test]
fn a_hundred_piped_frames_take_no_memory() {
    let (patch, _panels) = Wall::new(Protocol::E131).open(OnLoss::Black);
    let common = patch.common();
    let size = (common.columns, common.rows);
    let rate = Rate::new(FramesPerSecond(50.0)).unwrap();
    let (read, reads) = std::sync::mpsc::sync_channel(0);
    let piped = Piped::start(Rising(0, read), size, rate).unwrap();
    let finish = Finish { channels: Channels::Rgb, ceiling: common.ceiling };
    let mut pipeline = Pipeline::new(common.columns, common.rows, finish, Brightness::FULL);
    pipeline.show(Box::new(piped), Duration::ZERO);
    let (mut live, _remote) = Live::new(pipeline, &patch).unwrap();
    let mut bytes = vec![0; patch.frame_bytes()];
    let mut changes = 0;
    let mut last = 0;
    let mut show = |tick: u64| {
        reads.recv().unwrap();
        live.frame(rate.time_of(tick), &mut bytes).unwrap();
        changes += u32::from(std::mem::replace(&mut last, bytes[0]) != bytes[0]);
    };
    (0..10).for_each(&mut show);
    let counted = allocation_counter::measure(|| (10..110).for_each(&mut show));
    assert_eq!(counted.count_total, 0);
    assert!(changes > 20, "{changes}");
}

/// The time of a zone with rules, read and drawn.
#[test]
fn a_hundred_frames_of_a_clock_take_no_memory() {
    let style = ClockStyle { seconds: Seconds::Sweep, ..ClockStyle::default() };
    let picture = ClockPicture::new(style, (60, 32)).unwrap();
    let mut clock = Timepiece::new(picture, Zone::named("Europe/Paris").unwrap());
    let mut frame = LinearFrame::new(60, 32);
    let mut drawn = || assert_eq!(clock.draw(Duration::ZERO, &mut frame), Ok(Drawn::New));
    drawn();
    let counted = allocation_counter::measure(|| (0..100).for_each(|_| drawn()));
    assert_eq!(counted.count_total, 0);
}

/// Without which the tests above could not fail.
#[test]
fn the_counter_counts() {
    let counted = allocation_counter::measure(|| drop(std::hint::black_box(vec![0u8; 100])));
    assert_eq!(counted.count_total, 1);
}
