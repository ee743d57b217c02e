//! Every field of every packet, one above and one below what is right: refused, unless the field may
//! have that value, and never a panic.

use std::ops::Range;

use glowloom_wire::patch::Protocol;
use glowloom_wire::{artnet, ddp, e131};

use super::OnLoss;
use super::testing::Bench;

/// What becomes of a packet in which a field is off by one.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fate {
    /// Its slots are not shown.
    Refused,
    /// The field may have that value.
    Shown,
}
use Fate::{Refused, Shown};

/// Data for the last two pixels, all of one level.
fn packet(protocol: Protocol, number: u8, level: u8) -> Vec<u8> {
    let slots = [level; 6];
    let mut bytes = vec![0; 200];
    let size = match protocol {
        Protocol::E131 => {
            let universe = e131::Universe::new(5).unwrap();
            let mut header =
                e131::data::Header::new(e131::Cid([7; 16]), e131::SourceName::new("x"), universe);
            header.sequence = number;
            e131::data::Data { header, slots: &slots }.emit(&mut bytes).unwrap()
        }
        Protocol::ArtNet => {
            let header = artnet::dmx::Header {
                sequence: artnet::Sequence::new(number).unwrap(),
                physical: 1,
                address: artnet::PortAddress::new(5).unwrap(),
            };
            artnet::dmx::Dmx { header, slots: &slots }.emit(&mut bytes).unwrap()
        }
        Protocol::Ddp => {
            let mut header = ddp::Header::new(ddp::DataType::RGB, 516, true);
            header.sequence = ddp::Sequence::new(number).unwrap();
            ddp::Message { header, body: ddp::Body::Data(&slots) }.emit(&mut bytes).unwrap()
        }
    };
    bytes.truncate(size);
    bytes
}

/// The field as one number, high byte first, off by one.
fn off(bytes: &[u8], field: Range<usize>, up: bool) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    for byte in bytes[field].iter_mut().rev() {
        let (new, carried) = if up { byte.overflowing_add(1) } else { byte.overflowing_sub(1) };
        *byte = new;
        if !carried {
            break;
        }
    }
    bytes
}

fn fate(protocol: Protocol, bytes: &[u8]) -> Fate {
    let mut bench = Bench::new(protocol, OnLoss::Keep);
    bench.hear(&packet(protocol, 3, 10));
    assert_eq!(bench.pixel(172), [10; 3]);
    bench.hear(bytes);
    let counts = bench.receiver.counts();
    let told = counts.wrong + counts.ignored + counts.late + counts.strangers;
    match bench.pixel(172) {
        [10, 10, 10] => {
            // What is not shown is counted, save DDP's bytes that wait for a push.
            let waits = protocol == Protocol::Ddp && bytes[0] & 1 == 0 && bytes[0] >> 6 == 1;
            assert!(told == 1 || waits, "{counts:?}");
            Refused
        }
        _ => Shown,
    }
}

fn check(protocol: Protocol, fields: &[(Range<usize>, &str, [Fate; 2])]) {
    let good = packet(protocol, 4, 20);
    let mut next = 0;
    for (field, name, wanted) in fields {
        assert_eq!(field.start, next, "{name}: every byte has its field");
        next = field.end;
        let found = [true, false].map(|up| fate(protocol, &off(&good, field.clone(), up)));
        assert_eq!(found, *wanted, "{protocol:?} {name}: one above, one below");
    }
    assert_eq!(next + 6, good.len());
    assert_eq!(fate(protocol, &good), Shown);
}

/// Fields as in E1.31-2018 Table 4-1.
#[test]
fn e131() {
    check(
        Protocol::E131,
        &[
            (0..2, "preamble size", [Refused; 2]),
            (2..4, "postamble size", [Refused; 2]),
            (4..16, "packet identifier", [Refused; 2]),
            (16..18, "root length", [Refused; 2]),
            (18..22, "root vector", [Refused; 2]),
            (22..38, "CID", [Refused; 2]),
            (38..40, "framing length", [Refused; 2]),
            (40..44, "framing vector", [Refused; 2]),
            (44..108, "source name", [Shown; 2]),
            (108..109, "priority", [Shown; 2]),
            // 1 is another universe to wait for, of which no packet has come yet; 65,535 is none.
            (109..111, "synchronization address", [Shown, Refused]),
            // One that is left out, and the one before.
            (111..112, "sequence", [Shown, Refused]),
            // Bit 0 is reserved, and ignored on receipt (6.2.6); 255 marks a preview.
            (112..113, "options", [Shown, Refused]),
            (113..115, "universe", [Refused; 2]),
            (115..117, "DMP length", [Refused; 2]),
            (117..118, "DMP vector", [Refused; 2]),
            (118..119, "address and data type", [Refused; 2]),
            (119..121, "first property address", [Refused; 2]),
            (121..123, "address increment", [Refused; 2]),
            (123..125, "property value count", [Refused; 2]),
            (125..126, "START code", [Refused; 2]),
        ],
    );
}

/// Fields as in the packet's definition on the protocol's site.
#[test]
fn artnet() {
    check(
        Protocol::ArtNet,
        &[
            (0..8, "identifier", [Refused; 2]),
            (8..10, "kind", [Refused; 2]),
            // A later version is taken, an earlier is not.
            (10..12, "version", [Shown, Refused]),
            (12..13, "sequence", [Shown, Refused]),
            (13..14, "physical", [Shown; 2]),
            (14..15, "sub-net and universe", [Refused; 2]),
            // Below 0 it is beyond 127.
            (15..16, "net", [Refused; 2]),
            (16..18, "length", [Refused; 2]),
        ],
    );
}

/// Fields as in the specification's text of 2022.
#[test]
fn ddp() {
    check(
        Protocol::Ddp,
        &[
            // A query has no bytes; without the push they wait.
            (0..1, "flags", [Refused; 2]),
            (1..2, "sequence", [Shown, Refused]),
            // Senders differ in what they write for eight bits.
            (2..3, "data type", [Shown; 2]),
            (3..4, "destination", [Refused; 2]),
            // One above passes the buffer; one below is a place in it.
            (4..8, "offset", [Refused, Shown]),
            // One below: the last byte is left alone.
            (8..10, "length", [Refused, Shown]),
        ],
    );
}
