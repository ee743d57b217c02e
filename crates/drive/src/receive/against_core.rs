//! The receiver of this room and the core of a real board get the same packets, good, bad and changed by
//! chance, and must agree in everything: what came of each, what is lit, what is counted.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::net::SocketAddr;
use std::time::Duration;

use glowloom_core_host::{Core, CoreEvent, CoreOnLoss, CoreState};
use glowloom_wire::patch::{Common, Protocol};
use glowloom_wire::{artnet, ddp, e131};
use proptest::prelude::*;

use super::testing::{common, panel};
use super::{Event, OnLoss, Receiver, State};

/// A packet that a sender might send.
#[derive(Clone, Debug)]
struct Sent {
    /// Milliseconds after the one before.
    wait: u64,
    sender: u8,
    kind: u8,
    place: usize,
    sequence: u8,
    level: u8,
    /// Options of E1.31, push of DDP.
    switches: u8,
    slots: usize,
    /// One byte changed, and a cut.
    change: Option<(usize, u8)>,
    cut: Option<usize>,
}

fn sent() -> impl Strategy<Value = Sent> {
    let waits =
        prop_oneof![5 => 0..40u64, 2 => 900..1600u64, 1 => 2400..2600u64, 1 => 3900..10_100u64];
    // Mostly one sender, whose numbers go up.
    let sender = prop_oneof![8 => Just(7u8), 1 => 6..9u8];
    let slots = prop_oneof![Just(510usize), Just(6), 0..512usize];
    let changes = prop::option::weighted(0.15, (0..140usize, any::<u8>()));
    let cuts = prop::option::weighted(0.05, 0..200usize);
    let first = (waits, sender, 0..20u8, 0..5usize, any::<u8>());
    (first, (any::<u8>(), 0..12u8, slots, changes, cuts)).prop_map(|(first, rest)| {
        let (wait, sender, kind, place, sequence) = first;
        let (level, switches, slots, change, cut) = rest;
        Sent { wait, sender, kind, place, sequence, level, switches, slots, change, cut }
    })
}

fn e131(sent: &Sent, sequence: u8) -> Vec<u8> {
    let cid = e131::Cid([sent.sender; 16]);
    let universe = e131::Universe::new([1, 2, 5, 5, 9][sent.place]).unwrap();
    let sync = e131::Universe::new(if sent.switches == 11 { 8 } else { 9 }).unwrap();
    let mut bytes = vec![0; 700];
    let size = if sent.kind < 5 {
        e131::sync::Sync { cid, sequence, address: sync }.emit(&mut bytes).unwrap()
    } else if sent.kind == 5 {
        let source = e131::SourceName::new("x");
        let header = e131::discovery::Header { cid, source, page: 0, last_page: 0 };
        header.emit(&[universe], &mut bytes).unwrap()
    } else {
        let mut header = e131::data::Header::new(cid, e131::SourceName::new("x"), universe);
        header.sequence = sequence;
        header.sync = (!sent.switches.is_multiple_of(3)).then_some(sync);
        header.options = e131::Options {
            preview: sent.switches == 10,
            terminated: sent.switches == 9,
            force_synchronization: sent.switches % 2 == 1,
        };
        header.priority = e131::Priority::new(99 + sent.sender / 8 * 2).unwrap();
        let slots = vec![sent.level; sent.slots.min(512)];
        e131::data::Data { header, slots: &slots }.emit(&mut bytes).unwrap()
    };
    bytes.truncate(size);
    bytes
}

fn art_net(sent: &Sent, sequence: u8) -> Vec<u8> {
    let mut bytes = vec![0; 700];
    let size = match sent.kind {
        0..=2 => artnet::sync::Sync.emit(&mut bytes).unwrap(),
        3 => artnet::poll::Poll::default().emit(&mut bytes).unwrap(),
        _ => {
            let header = artnet::dmx::Header {
                sequence: artnet::Sequence::new(sequence).unwrap(),
                physical: 0,
                address: artnet::PortAddress::new([1, 2, 5, 5, 9][sent.place]).unwrap(),
            };
            let slots = vec![sent.level; sent.slots.clamp(1, 512)];
            artnet::dmx::Dmx { header, slots: &slots }.emit(&mut bytes).unwrap()
        }
    };
    bytes.truncate(size);
    bytes
}

fn of_ddp(sent: &Sent, sequence: u8) -> Vec<u8> {
    let data_type = [0x0b, 0x0b, 0x0b, 0x01, 0x00, 0x1b, 0x8c, 0x23][usize::from(sent.kind % 8)];
    let offset = [0, 3, 510, 516, 519][sent.place];
    let mut header =
        ddp::Header::new(ddp::DataType(data_type), offset, sent.switches.is_multiple_of(2));
    header.sequence = ddp::Sequence::new(sequence % 16).unwrap();
    header.destination = if sent.switches == 11 { ddp::ALL } else { ddp::DISPLAY };
    header.timecode = (sent.switches == 9).then_some(7);
    let data = vec![sent.level; sent.slots.min(522 - offset as usize)];
    let body = if sent.switches == 7 { ddp::Body::Query(9) } else { ddp::Body::Data(&data) };
    let mut bytes = vec![0; 700];
    let size = ddp::Message { header, body }.emit(&mut bytes).unwrap();
    bytes.truncate(size);
    bytes
}

fn bytes_of(protocol: Protocol, sent: &Sent, counted: u8) -> Vec<u8> {
    // Most packets are numbered in turn, some anyhow.
    let sequence = if sent.sequence < 200 { counted } else { sent.sequence };
    let mut bytes = match protocol {
        Protocol::E131 => e131(sent, sequence),
        Protocol::ArtNet => art_net(sent, sequence),
        Protocol::Ddp => of_ddp(sent, sequence),
    };
    if let Some((at, byte)) = sent.change
        && let Some(place) = bytes.get_mut(at)
    {
        *place = byte;
    }
    bytes.truncate(sent.cut.unwrap_or(usize::MAX));
    bytes
}

fn same_event(ours: Event, theirs: CoreEvent) -> bool {
    match (ours, theirs) {
        (Event::Nothing, CoreEvent::Nothing)
        | (Event::Drawn, CoreEvent::Drawn)
        | (Event::Lost, CoreEvent::Lost) => true,
        // The core's guard lets through what it had held back: light of its own.
        (Event::Nothing, CoreEvent::Drawn) => true,
        (Event::Shown { frames: a }, CoreEvent::Shown { frames: b }) => a == b,
        _ => false,
    }
}

fn agree(ours: &Receiver, core: &Core, common: &Common) -> Result<(), TestCaseError> {
    let (a, b) = (ours.counts(), core.counts());
    prop_assert_eq!(
        (a.packets, a.lost, a.late, a.wrong, a.ignored, a.strangers, a.shown),
        (b.packets, b.lost, b.late, b.wrong, b.ignored, b.strangers, b.shown)
    );
    prop_assert_eq!(ours.lit(), core.lit());
    prop_assert_eq!(ours.from(), core.from());
    let state = match core.state() {
        CoreState::Waiting => State::Waiting,
        CoreState::Live => State::Live,
        CoreState::Lost => State::Lost,
    };
    prop_assert_eq!(ours.state(), state);
    prop_assert!(core.shown().iter().all(|&byte| byte <= common.ceiling));
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]
    #[test]
    fn the_core_and_this_room_agree(
        all in prop::collection::vec(sent(), 1..60),
        which in 0..3usize,
        loss in 0..3usize,
        // Near the wrap of the core's clock, too.
        start in prop_oneof![Just(0u64), Just((1 << 32) - 9000), 0..1u64 << 40],
    ) {
        let protocol = [Protocol::E131, Protocol::ArtNet, Protocol::Ddp][which];
        let (common, panel) = (common(protocol), panel());
        let on_loss = [OnLoss::Black, OnLoss::Keep, OnLoss::Glow][loss];
        let core_loss = [CoreOnLoss::Black, CoreOnLoss::Keep, CoreOnLoss::Glow][loss];
        let mut ours = Receiver::new(&common, &panel, on_loss);
        let mut core = Core::new(&common, &panel, core_loss).unwrap();
        let mut now = Duration::from_millis(start);
        let mut counted = [0u8; 10];
        for sent in all {
            now += Duration::from_millis(sent.wait);
            let (a, b) = (ours.wait(now), core.wait(now));
            prop_assert!(same_event(a, b), "{a:?} {b:?}");
            let number = &mut counted[if protocol == Protocol::Ddp { 0 } else { sent.place }];
            *number = if *number == 255 { 1 } else { *number + 1 };
            let number = if protocol == Protocol::Ddp { (*number - 1) % 15 + 1 } else { *number };
            let bytes = bytes_of(protocol, &sent, number);
            let from = SocketAddr::from(([192, 0, 2, sent.sender], 4000));
            let (a, b) = (ours.packet(now, from, &bytes), core.packet(now, from, &bytes));
            prop_assert!(same_event(a, b) && !(a == Event::Nothing && b == CoreEvent::Drawn), "{a:?} {b:?}");
            agree(&ours, &core, &common)?;
        }
    }
}
