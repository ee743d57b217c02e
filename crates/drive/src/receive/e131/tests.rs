//! The rules of ANSI E1.31, each by itself.

use super::*;
use crate::receive::testing::{Bench, SHOWN, panel};
use crate::receive::{Event, OnLoss, State};
use glowloom_wire::e131::data::{Data, Header};
use glowloom_wire::e131::{SourceName, discovery};
use glowloom_wire::patch::Protocol;

const US: Cid = Cid([1; 16]);
const OTHER: Cid = Cid([2; 16]);
/// The universes of the panel and their slots.
const ALL: [(u16, usize); 3] = [(1, 510), (2, 6), (5, 6)];

fn universe(number: u16) -> e131::Universe {
    e131::Universe::new(number).unwrap()
}

fn header(number: u16, sequence: u8) -> Header {
    let header = Header::new(US, SourceName::new("test"), universe(number));
    Header { sequence, ..header }
}

fn data(header: Header, slots: usize, level: u8) -> Vec<u8> {
    let mut bytes = vec![0; 126 + slots];
    Data { header, slots: &vec![level; slots] }.emit(&mut bytes).unwrap();
    bytes
}

fn sync(cid: Cid, sequence: u8, address: u16) -> Vec<u8> {
    let mut bytes = vec![0; 49];
    e131::sync::Sync { cid, sequence, address: universe(address) }.emit(&mut bytes).unwrap();
    bytes
}

fn bench(on_loss: OnLoss) -> Bench {
    Bench::new(Protocol::E131, on_loss)
}

/// All universes of a frame, waiting for synchronization address 9.
fn hear_frame(bench: &mut Bench, sequence: u8, level: u8) -> [Event; 3] {
    let sync = Some(universe(9));
    ALL.map(|(number, slots)| {
        bench.hear(&data(Header { sync, ..header(number, sequence) }, slots, level))
    })
}

/// A bench whose panel runs synchronized: frame 0 at level 10, seen to be shown.
fn synchronized(on_loss: OnLoss) -> Bench {
    let mut bench = bench(on_loss);
    assert_eq!(hear_frame(&mut bench, 0, 10), [Event::Drawn, Event::Drawn, SHOWN]);
    assert_eq!(bench.hear(&sync(US, 0, 9)), Event::Nothing);
    assert_eq!(bench.pixel(0), [10; 3]);
    bench
}

#[test]
fn slots_go_where_the_panel_has_them() {
    let mut bench = bench(OnLoss::Black);
    let slots: Vec<u8> = (0..=255).chain(0..=253).collect();
    let mut first = vec![0; 126 + 510];
    Data { header: header(1, 0), slots: &slots }.emit(&mut first).unwrap();
    assert_eq!(bench.hear(&first), Event::Drawn);
    assert_eq!(bench.hear(&data(header(2, 0), 6, 20)), Event::Drawn);
    assert_eq!(bench.hear(&data(header(5, 0), 3, 30)), SHOWN);
    let picture = bench.picture();
    // The spare takes the first three slots.
    assert_eq!(picture[..507], slots[3..]);
    // Pixels 169 and 170 are on universe 2; 172 comes before 171, and only its slots were sent.
    assert_eq!(picture[507..513], [20; 6]);
    assert_eq!(picture[513..], [0, 0, 0, 30, 30, 30]);
    assert_eq!(panel().pixels(), 174);
}

#[test]
fn data_waits_for_synchronization() {
    let mut bench = synchronized(OnLoss::Black);
    assert_eq!(hear_frame(&mut bench, 1, 20), [Event::Nothing; 3]);
    assert_eq!(bench.pixel(0), [10; 3]);
    // Another address is not for us.
    assert_eq!(bench.hear(&sync(US, 1, 8)), Event::Nothing);
    assert_eq!(bench.hear(&sync(US, 1, 9)), SHOWN);
    assert_eq!((bench.pixel(0), bench.pixel(173)), ([20; 3], [20; 3]));
    // Nothing new to show.
    assert_eq!(bench.hear(&sync(US, 2, 9)), Event::Nothing);
    let counts = bench.receiver.counts();
    assert_eq!((counts.packets, counts.shown, counts.wrong, counts.lost), (10, 2, 1, 0));
}

#[test]
fn data_without_an_address_is_shown_at_once() {
    let mut bench = synchronized(OnLoss::Black);
    assert_eq!(bench.hear(&data(header(5, 1), 6, 90)), Event::Drawn);
    assert_eq!((bench.pixel(0), bench.pixel(173)), ([10; 3], [90; 3]));
}

/// 2.5 s without synchronization: 6.2.6, as quoted by open implementations.
#[test]
fn lost_synchronization_keeps_the_look_unless_forced() {
    for (force, wanted) in [(false, Event::Nothing), (true, Event::Drawn)] {
        let mut bench = synchronized(OnLoss::Black);
        let options = Options { force_synchronization: force, ..Options::default() };
        let hear = |bench: &mut Bench, sequence| {
            let header = Header { sync: Some(universe(9)), options, ..header(5, sequence) };
            bench.hear(&data(header, 6, 50))
        };
        bench.wait(2400);
        assert_eq!(hear(&mut bench, 1), Event::Nothing);
        bench.wait(100);
        assert_eq!(hear(&mut bench, 2), wanted);
        assert_eq!(bench.pixel(173)[0], if force { 50 } else { 10 });
        // It comes back, and all is as before.
        assert_eq!(bench.hear(&sync(US, 1, 9)), Event::Shown { frames: 2 });
        assert_eq!(bench.pixel(173)[0], 50);
        assert_eq!(hear(&mut bench, 3), Event::Nothing);
    }
}

#[test]
fn late_packets_are_thrown_away_and_gaps_counted() {
    let mut bench = bench(OnLoss::Black);
    let levels: Vec<u8> = [(250, 1), (255, 2), (0, 3), (254, 4), (0, 5), (3, 6)]
        .into_iter()
        .map(|(sequence, level)| {
            bench.hear(&data(header(5, sequence), 6, level));
            bench.pixel(173)[0]
        })
        .collect();
    assert_eq!(levels, [1, 2, 3, 3, 3, 6]);
    let counts = bench.receiver.counts();
    assert_eq!((counts.lost, counts.late), (6, 2));
}

#[test]
fn what_is_not_light_is_left_alone() {
    let mut bench = bench(OnLoss::Black);
    let preview = Options { preview: true, ..Options::default() };
    bench.hear(&data(Header { options: preview, ..header(5, 0) }, 6, 9));
    bench.hear(&data(Header { start_code: 0xdd, ..header(5, 0) }, 6, 9));
    bench.hear(&sync(US, 0, 9));
    let mut list = [0; 122];
    let head = discovery::Header { cid: US, source: SourceName::new("x"), page: 0, last_page: 0 };
    head.emit(&[universe(5)], &mut list).unwrap();
    bench.hear(&list);
    assert_eq!(bench.receiver.counts().ignored, 4);
    bench.hear(&data(header(3, 0), 6, 9));
    bench.hear(b"not a packet");
    bench.hear(&data(header(5, 0), 6, 9)[..100]);
    assert_eq!(bench.receiver.counts().wrong, 3);
    assert_eq!((bench.pixel(173), bench.receiver.state()), ([0; 3], State::Waiting));
}

#[test]
fn the_higher_priority_wins_and_the_first_of_equals() {
    let mut bench = bench(OnLoss::Black);
    let mut hear = |cid, priority, level| {
        let priority = Priority::new(priority).unwrap();
        bench.hear(&data(Header { cid, priority, ..header(5, level) }, 6, level));
        (bench.pixel(173)[0], bench.receiver.counts().strangers)
    };
    assert_eq!(hear(US, 100, 1), (1, 0));
    assert_eq!(hear(OTHER, 100, 2), (1, 1));
    assert_eq!(hear(OTHER, 99, 3), (1, 2));
    assert_eq!(hear(OTHER, 101, 4), (4, 2));
    assert_eq!(hear(US, 100, 5), (4, 3));
    // The one that is shown may lower its own.
    assert_eq!(hear(OTHER, 50, 6), (6, 3));
    assert_eq!(hear(US, 100, 7), (7, 3));
}

/// 2.5 s: 6.7.1 and Appendix A, as quoted by open implementations.
#[test]
fn silence_is_loss() {
    for (on_loss, first, spare) in
        [(OnLoss::Black, 0, 0), (OnLoss::Keep, 10, 10), (OnLoss::Glow, 8, 0)]
    {
        let mut bench = synchronized(on_loss);
        assert_eq!(bench.wait(2499), Event::Nothing);
        assert_eq!(bench.wait(1), Event::Lost);
        assert_eq!((bench.pixel(1), bench.pixel(0)), ([first; 3], [spare; 3]));
        assert_eq!(bench.receiver.state(), State::Lost);
        assert_eq!(bench.wait(9000), Event::Nothing);
        // Anyone may send then, with any number, and is shown at once.
        let header = Header { cid: OTHER, sync: Some(universe(9)), ..header(5, 0) };
        assert_eq!(bench.hear(&data(header, 6, 60)), Event::Drawn);
        assert_eq!((bench.pixel(173), bench.pixel(1)), ([60; 3], [first; 3]));
    }
}

#[test]
fn a_stream_ends_with_its_last_universe() {
    let mut bench = synchronized(OnLoss::Black);
    let end = |number, sequence| {
        data(Header { options: Options::END, ..header(number, sequence) }, 6, 255)
    };
    assert_eq!(bench.hear(&end(1, 1)), Event::Nothing);
    assert_eq!(bench.hear(&end(2, 1)), Event::Nothing);
    assert_eq!(bench.pixel(0), [10; 3]);
    assert_eq!(bench.hear(&end(5, 1)), Event::Lost);
    assert_eq!(bench.pixel(0), [0; 3]);
    for (number, sequence) in [(1, 2), (5, 2), (1, 3), (5, 3)] {
        assert_eq!(bench.hear(&end(number, sequence)), Event::Nothing);
    }
    let counts = bench.receiver.counts();
    assert_eq!((counts.strangers, counts.wrong, counts.late), (0, 0, 0));
    assert_eq!(bench.receiver.state(), State::Lost);
}

/// A universe that ends takes its part of the frame with it.
#[test]
fn a_frame_is_not_whole_without_a_universe_that_has_ended() {
    let mut bench = bench(OnLoss::Keep);
    assert_eq!(bench.hear(&data(header(1, 0), 510, 10)), Event::Drawn);
    assert_eq!(bench.hear(&data(header(2, 0), 6, 10)), Event::Drawn);
    let ends = Header { options: Options::END, ..header(1, 1) };
    assert_eq!(bench.hear(&data(ends, 510, 10)), Event::Nothing);
    assert_eq!(bench.hear(&data(header(5, 0), 6, 10)), Event::Drawn);
    let whole = bench.hear(&data(header(1, 2), 510, 20));
    assert!(matches!(whole, Event::Shown { .. }), "{whole:?}");
}
