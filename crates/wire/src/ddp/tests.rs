//! Packets worked out by hand from the specification, both ways.

use super::*;
use proptest::prelude::*;

/// Push, sequence 2, offset 1440, 6 bytes.
const PIXELS: [u8; 16] = [
    0x41, 0x02, 0x0b, 0x01, 0x00, 0x00, 0x05, 0xa0, 0x00, 0x06, 0xff, 0x00, 0x80, 0x01, 0x02, 0x03,
];
/// Timecode 0x12345678, sequence 3, 3 bytes.
const TIMED: [u8; 17] = [
    0x50, 0x03, 0x0b, 0x01, 0x00, 0x00, 0x00, 0x00, 0x00, 0x03, 0x12, 0x34, 0x56, 0x78, 0xff, 0x00,
    0x80,
];
/// What is your status?
const STATUS: [u8; 10] = [0x42, 0x00, 0x00, 0xfb, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00];

fn parse(bytes: &[u8]) -> Result<Message<'_>, Error> {
    Message::parse(&Packet::new_checked(bytes)?)
}

fn counted(number: u8, header: Header) -> Header {
    Header { sequence: Sequence::new(number).unwrap(), ..header }
}

fn pixels() -> Message<'static> {
    let header = counted(2, Header::new(DataType::RGB, 1440, true));
    Message { header, body: Body::Data(&[0xff, 0x00, 0x80, 0x01, 0x02, 0x03]) }
}

fn timed() -> Message<'static> {
    let header = counted(3, Header::new(DataType::RGB, 0, false));
    let header = Header { timecode: Some(0x1234_5678), ..header };
    Message { header, body: Body::Data(&[0xff, 0x00, 0x80]) }
}

fn status() -> Message<'static> {
    let header = Header { destination: 251, ..Header::new(DataType(0), 0, false) };
    Message { header, body: Body::Query(0) }
}

#[test]
fn there_and_back() {
    let pairs = [(pixels(), &PIXELS[..]), (timed(), &TIMED), (status(), &STATUS)];
    for (message, golden) in pairs {
        let mut bytes = [0xa5; 20];
        assert_eq!(message.emit(&mut bytes), Ok(golden.len()));
        assert_eq!(&bytes[..golden.len()], golden);
        assert!(bytes[golden.len()..].iter().all(|&byte| byte == 0xa5));
        assert_eq!(parse(golden), Ok(message));
        // Bytes beyond the stated length are left alone.
        assert_eq!(parse(&bytes), Ok(message));
    }
}

#[test]
fn the_view_reads_what_stands_there() {
    let packet = Packet::new_checked(TIMED).unwrap();
    assert_eq!((packet.version(), packet.push(), packet.is_query()), (1, false, false));
    assert_eq!((packet.is_reply(), packet.storage()), (false, false));
    assert_eq!((packet.sequence().get(), packet.data_type()), (3, DataType::RGB));
    assert_eq!((packet.destination(), packet.offset(), packet.length()), (DISPLAY, 0, 3));
    assert_eq!(packet.timecode(), Some(0x1234_5678));
    assert_eq!(packet.data(), [0xff, 0x00, 0x80]);
}

#[test]
fn a_query_asks_for_bytes_and_brings_none() {
    let mut bytes = STATUS;
    bytes[8..].copy_from_slice(&[0x02, 0x00]);
    assert_eq!(parse(&bytes).unwrap().body, Body::Query(512));
    // The same length in a packet of data is not there.
    bytes[0] = 0x40;
    assert_eq!(parse(&bytes), Err(Error::Short { wanted: 522, found: 10 }));
}

#[test]
fn every_part_of_a_packet_is_refused() {
    for golden in [&PIXELS[..], &TIMED, &STATUS] {
        for size in 0..golden.len() {
            let wanted = if size < HEADER { HEADER } else { golden.len() };
            assert_eq!(parse(&golden[..size]), Err(Error::Short { wanted, found: size }));
        }
    }
}

/// Every wrong byte of every field, save the bits that are sent as zero and not looked at.
#[test]
fn every_wrong_byte_shows() {
    for (golden, message) in [(&PIXELS[..], pixels()), (&TIMED, timed())] {
        for at in 0..golden.len() {
            for wrong in 1..=u8::MAX {
                let ignored = match at {
                    field::FLAGS => wrong == 0x20,
                    field::SEQUENCE => wrong & 0x0f == 0,
                    _ => false,
                };
                let mut packet = golden.to_vec();
                packet[at] ^= wrong;
                assert_eq!(parse(&packet) == Ok(message), ignored, "{at} {wrong}");
            }
        }
    }
}

#[test]
fn other_versions_are_refused() {
    for (flags, version) in [(0x01, 0), (0x81, 2), (0xc1, 3)] {
        let mut packet = PIXELS;
        packet[0] = flags;
        assert_eq!(parse(&packet), Err(Error::Version(version)));
    }
}

#[test]
fn what_cannot_be_sent_is_refused() {
    let long = Message { body: Body::Data(&[0; 65_536]), ..pixels() };
    assert_eq!(long.emit(&mut [0; 70_000]), Err(Error::Data(65_536)));
    assert_eq!(emit_header(&long.header, 65_536, &mut [0; 70_000]), Err(Error::Data(65_536)));
    let buffer = |wanted, found| Err(Error::Buffer { wanted, found });
    assert_eq!(pixels().emit(&mut [0; 15]), buffer(16, 15));
    assert_eq!(timed().emit(&mut [0; 16]), buffer(17, 16));
    assert_eq!(status().emit(&mut [0; 9]), buffer(10, 9));
    assert_eq!(emit_header(&timed().header, 3, &mut [0; 13]), buffer(14, 13));
}

#[test]
fn patching_equals_writing_anew() {
    let mut bytes = PIXELS;
    set_sequence(&mut bytes, Sequence::new(15).unwrap());
    let header = counted(15, pixels().header);
    assert_eq!(parse(&bytes), Ok(Message { header, ..pixels() }));
}

prop_compose! {
    fn any_header()(
        [push, reply, storage]: [bool; 3],
        number in 0..=15u8,
        data_type: u8,
        destination: u8,
        offset: u32,
        timecode: Option<u32>,
    ) -> Header {
        let sequence = Sequence::new(number).unwrap();
        let data_type = DataType(data_type);
        Header { push, reply, storage, sequence, data_type, destination, offset, timecode }
    }
}

proptest! {
    #[test]
    fn what_is_sent_arrives(
        header in any_header(),
        data in prop::collection::vec(any::<u8>(), 0..=1440),
        query: Option<u16>,
        dirt: u8,
    ) {
        let body = query.map_or(Body::Data(&data), Body::Query);
        let message = Message { header, body };
        let mut bytes = [dirt; 1454];
        let size = message.emit(&mut bytes).unwrap();
        prop_assert_eq!(parse(&bytes[..size]), Ok(message));
    }

    #[test]
    fn no_bytes_panic(
        bytes in prop::collection::vec(any::<u8>(), 0..1500),
        length in prop::option::of(0..2u8),
    ) {
        let mut bytes = bytes;
        // Few lengths fit by chance: help half of them.
        if let (Some(high), Some(byte)) = (length, bytes.get_mut(8)) {
            *byte = high;
        }
        if let Ok(packet) = Packet::new_checked(&bytes[..]) {
            let _ = (packet.version(), packet.push(), packet.is_reply(), packet.storage());
            let _ = (packet.sequence(), packet.data_type(), packet.destination());
            let _ = (packet.offset(), packet.timecode());
            let wanted = if packet.is_query() { 0 } else { packet.length().into() };
            prop_assert_eq!(packet.data().len(), wanted);
            let _ = Message::parse(&packet);
        }
    }
}
