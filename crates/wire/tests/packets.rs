//! Every packet of `receiver/test/packets.txt` says here what it says there: the receiver's core is tested by
//! the same file.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::fmt::Write;

use glowloom_wire::{artnet, ddp, e131, slip};

const PACKETS: &str = include_str!("../../../receiver/test/packets.txt");

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        write!(text, "{byte:02x}").unwrap();
        text
    })
}

fn unhex(text: &str) -> Vec<u8> {
    let digits = text.as_bytes().chunks_exact(2);
    digits.map(|two| u8::from_str_radix(std::str::from_utf8(two).unwrap(), 16).unwrap()).collect()
}

fn e131_says(bytes: &[u8]) -> String {
    match e131::Any::parse(bytes) {
        Err(_) => "e131 wrong".into(),
        Ok(e131::Any::Discovery(_)) => "e131 discovery".into(),
        Ok(e131::Any::Sync(sync)) => {
            format!("e131 sync sequence={} sync={}", sync.sequence, sync.address.get())
        }
        Ok(e131::Any::Data(data)) => format!(
            "e131 data universe={} sequence={} priority={} sync={} options={:02x} start={:02x} slots={}",
            data.header.universe.get(),
            data.header.sequence,
            data.header.priority.get(),
            data.header.sync.map_or(0, e131::Universe::get),
            data.header.options.bits(),
            data.header.start_code,
            hex(data.slots),
        ),
    }
}

fn artnet_says(bytes: &[u8]) -> String {
    match artnet::Any::parse(bytes) {
        Err(artnet::Error::OpCode(_)) => "artnet other".into(),
        Err(_) => "artnet wrong".into(),
        Ok(artnet::Any::Sync(_)) => "artnet sync".into(),
        Ok(artnet::Any::Poll(_)) => "artnet poll".into(),
        Ok(artnet::Any::Reply(_)) => "artnet reply".into(),
        Ok(artnet::Any::Dmx(dmx)) => format!(
            "artnet dmx address={} sequence={} slots={}",
            dmx.header.address.get(),
            dmx.header.sequence.get(),
            hex(dmx.slots)
        ),
    }
}

fn ddp_says(bytes: &[u8]) -> String {
    let Ok(message) =
        ddp::Packet::new_checked(bytes).and_then(|packet| ddp::Message::parse(&packet))
    else {
        return "ddp wrong".into();
    };
    let header = message.header;
    match message.body {
        ddp::Body::Query(_) => "ddp query".into(),
        ddp::Body::Data(_) if header.reply => "ddp reply".into(),
        ddp::Body::Data(_) if header.storage => "ddp storage".into(),
        ddp::Body::Data(data) => format!(
            "ddp data push={} sequence={} type={:02x} destination={} offset={} data={}",
            u8::from(header.push),
            header.sequence.get(),
            header.data_type.0,
            header.destination,
            header.offset,
            hex(data)
        ),
    }
}

#[test]
fn the_packets_of_the_receiver_are_read_alike() {
    let mut count = 0;
    for line in PACKETS.lines().filter(|line| !line.starts_with('#')) {
        let (wanted, bytes) = line.split_once(" = ").unwrap();
        let bytes = unhex(bytes);
        let found = match wanted.split_once(' ').unwrap() {
            ("e131", _) => e131_says(&bytes),
            ("artnet", _) => artnet_says(&bytes),
            ("ddp", _) => ddp_says(&bytes),
            ("slip", packet) => {
                let mut on_line = vec![0; slip::longest(packet.len())];
                let size = slip::encode(&unhex(packet), &mut on_line).unwrap();
                assert_eq!(hex(&on_line[..size]), hex(&bytes));
                wanted.into()
            }
            (other, _) => panic!("{other} is no protocol"),
        };
        assert_eq!(found, wanted);
        count += 1;
    }
    assert!(count > 60);
}
