//! The data packet against packets worked out by hand, and what must hold for all.

use super::*;
use crate::e131::golden;
use proptest::prelude::*;

fn parse(bytes: &[u8]) -> Result<Data<'_>, Error> {
    Data::parse(&Packet::new_checked(bytes)?)
}

#[test]
fn there_and_back() {
    let mut bytes = [0xa5; golden::DATA.len() + 1];
    assert_eq!(golden::data().emit(&mut bytes), Ok(golden::DATA.len()));
    assert_eq!(bytes[..golden::DATA.len()], golden::DATA);
    assert_eq!(bytes[golden::DATA.len()], 0xa5);
    assert_eq!(parse(&golden::DATA), Ok(golden::data()));
}

#[test]
fn the_view_reads_what_stands_there() {
    let packet = Packet::new_checked(golden::DATA).unwrap();
    assert_eq!(packet.cid(), golden::CID);
    assert_eq!(packet.source_name().as_str(), "Glowloom");
    assert_eq!((packet.priority(), packet.sync_address()), (100, 7000));
    assert_eq!((packet.sequence(), packet.universe(), packet.start_code()), (7, 1, 0));
    assert_eq!(packet.options(), Options::default());
    assert_eq!(packet.slots(), [0xff, 0x00, 0x80, 0x01, 0x02, 0x03]);
}

/// Computed from Table 4-1; those of 512 slots equal to what the library `sacn` 1.11.0 sends.
#[test]
fn lengths_follow_the_slots() {
    let cases = [
        (6, 132, [0x7074, 0x705e, 0x7011, 0x0007]),
        (384, 510, [0x71ee, 0x71d8, 0x718b, 0x0181]),
        (510, 636, [0x726c, 0x7256, 0x7209, 0x01ff]),
        (512, 638, [0x726e, 0x7258, 0x720b, 0x0201]),
    ];
    for (slots, size, words) in cases {
        let data = Data { slots: &[0; 512][..slots], ..golden::data() };
        let mut bytes = [0xa5; 638];
        assert_eq!(data.emit(&mut bytes), Ok(size));
        let places = [field::ROOT_LENGTH, field::FRAMING_LENGTH, field::DMP_LENGTH, field::COUNT];
        assert_eq!(places.map(|place| u16_at(&bytes[place])), words);
        assert_eq!(parse(&bytes[..size]), Ok(data));
    }
}

#[test]
fn patching_equals_writing_anew() {
    let mut patched = [0xa5; golden::DATA.len()];
    golden::data().emit(&mut patched).unwrap();
    let mut data = golden::data();
    (data.header.sequence, data.header.options) = (255, Options::END);
    set_sequence(&mut patched, 255);
    set_options(&mut patched, Options::END);
    assert_eq!(parse(&patched), Ok(data));
    assert_eq!((patched[111], patched[112]), (255, 0x40));
}

#[test]
fn every_part_of_a_packet_is_refused() {
    for size in 0..golden::DATA.len() {
        let found = parse(&golden::DATA[..size]);
        let wanted = if size < 18 { 126 } else { golden::DATA.len() };
        assert_eq!(found, Err(Error::Short { wanted, found: size }));
    }
}

#[test]
fn every_broken_field_is_named() {
    let broken = |at: usize, bytes: &[u8]| {
        let mut packet = golden::DATA;
        packet[at..at + bytes.len()].copy_from_slice(bytes);
        parse(&packet).unwrap_err()
    };
    assert_eq!(broken(1, &[0x11]), Error::Preamble);
    assert_eq!(broken(3, &[1]), Error::Preamble);
    assert_eq!(broken(4, b"a"), Error::Identifier);
    assert_eq!(broken(16, &[0x60]), Error::Flags(Layer::Root));
    let length = |layer, stated, found| Error::Length { layer, stated, found };
    assert_eq!(broken(16, &[0x70, 0x73]), length(Layer::Root, 0x73, 0x74));
    assert_eq!(broken(38, &[0x70, 0x5f]), length(Layer::Framing, 0x5f, 0x5e));
    assert_eq!(broken(115, &[0x70, 0x10]), length(Layer::Dmp, 0x10, 0x11));
    let vector = |layer, found| Error::Vector { layer, found };
    assert_eq!(broken(18, &[0, 0, 0, 8]), vector(Layer::Root, 8));
    assert_eq!(broken(40, &[0, 0, 0, 1]), vector(Layer::Framing, 1));
    assert_eq!(broken(117, &[1]), vector(Layer::Dmp, 1));
    assert_eq!(broken(108, &[201]), Error::Priority(201));
    assert_eq!(broken(109, &64_000u16.to_be_bytes()), Error::SyncAddress(64_000));
    assert_eq!(broken(113, &[0, 0]), Error::Universe(0));
    assert_eq!(broken(118, &[0xa2]), Error::Addressing);
    assert_eq!(broken(122, &[2]), Error::Addressing);
    assert_eq!(broken(123, &[0, 8]), Error::Count { stated: 8, found: 7 });
    let long: Vec<u8> = golden::DATA.into_iter().chain([0]).collect();
    assert_eq!(parse(&long), Err(length(Layer::Root, 0x74, 0x75)));
}

/// Every wrong byte of every field that decides something: no bit of them is without effect.
#[test]
fn every_wrong_byte_shows() {
    // Once the name has ended, nothing in its field counts.
    let name = field::SOURCE_NAME.start + "Glowloom".len()..field::SOURCE_NAME.end;
    for at in (0..golden::DATA.len()).filter(|at| !name.contains(at)) {
        for wrong in 1..=u8::MAX {
            let without_effect = at == field::OPTIONS && wrong & 0xe0 == 0;
            let mut packet = golden::DATA;
            packet[at] ^= wrong;
            assert_eq!(parse(&packet) == Ok(golden::data()), without_effect, "{at} {wrong}");
        }
    }
}

#[test]
fn too_much_is_refused() {
    let data = Data { slots: &[0; 513], ..golden::data() };
    assert_eq!(data.emit(&mut [0; 1000]), Err(Error::Slots(513)));
    assert_eq!(emit_header(&data.header, 513, &mut [0; 1000]), Err(Error::Slots(513)));
    let buffer = |wanted, found| Err(Error::Buffer { wanted, found });
    assert_eq!(golden::data().emit(&mut [0; 131]), buffer(132, 131));
    assert_eq!(emit_header(&data.header, 6, &mut [0; 125]), buffer(126, 125).map(|_: usize| ()));
    // A whole, well-formed packet of 513 slots.
    let mut bytes = [0; 639];
    golden::data().emit(&mut bytes).unwrap();
    for at in [field::ROOT_LENGTH, field::FRAMING_LENGTH, field::DMP_LENGTH] {
        layer::emit_length(&mut bytes, 639, at);
    }
    assert_eq!(parse(&bytes), Err(Error::Slots(513)));
}

fn any_header() -> impl Strategy<Value = Header> {
    let universe = || (1..=63_999u16).prop_map(|number| Universe::new(number).unwrap());
    (
        any::<[u8; 16]>(),
        "\\PC{0,70}",
        0..=200u8,
        prop::option::of(universe()),
        any::<[u8; 3]>(),
        universe(),
    )
        .prop_map(|(cid, name, priority, sync, [sequence, options, start_code], universe)| {
            Header {
                cid: Cid(cid),
                source: SourceName::new(&name),
                priority: Priority::new(priority).unwrap(),
                sync,
                sequence,
                options: Options::from_bits(options),
                universe,
                start_code,
            }
        })
}

proptest! {
    #[test]
    fn what_is_sent_arrives(
        header in any_header(),
        slots in prop::collection::vec(any::<u8>(), 0..=512),
        dirt in any::<u8>(),
    ) {
        let data = Data { header, slots: &slots };
        let mut bytes = [dirt; 638];
        let size = data.emit(&mut bytes).unwrap();
        prop_assert_eq!(size, 126 + slots.len());
        prop_assert_eq!(parse(&bytes[..size]), Ok(data));
    }

    #[test]
    fn no_bytes_panic(
        bytes in prop::collection::vec(any::<u8>(), 0..700),
        start in 0..=golden::DATA.len(),
    ) {
        // Good beginnings take the parser deep into bad bytes.
        let bytes: Vec<u8> = golden::DATA[..start].iter().copied().chain(bytes).collect();
        if let Ok(packet) = Packet::new_checked(&bytes[..]) {
            let _ = (packet.cid(), packet.source_name(), packet.priority());
            let _ = (packet.sync_address(), packet.sequence(), packet.options());
            let _ = (packet.universe(), packet.start_code());
            prop_assert_eq!(packet.slots().len() + SLOTS, bytes.len());
            let _ = Data::parse(&packet);
        }
    }
}
