//! Any bytes as a serial line, and as a packet on it. The first byte is the decoder's room.

#![no_main]

use glowloom_wire::slip::{Decoder, END, encode, encoded_len, longest};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Some((&room, bytes)) = bytes.split_first() else { return };
    let mut heard = 0;
    Decoder::new(vec![0xa5; room.into()]).feed(bytes, |found| {
        if let Ok(packet) = found {
            assert!((1..=room.into()).contains(&packet.len()));
            heard += packet.len();
        }
    });
    assert!(heard <= bytes.len());

    let mut line = vec![0xa5; longest(bytes.len())];
    let length = encode(bytes, &mut line).expect("the longest line has room");
    assert_eq!(length, encoded_len(bytes));
    assert!(!line[1..length - 1].contains(&END));
    let mut packets = Vec::new();
    Decoder::new(vec![0xa5; bytes.len()]).feed(&line[..length], |found| {
        packets.push(found.expect("our own line is clean").to_vec());
    });
    let wanted = if bytes.is_empty() { vec![] } else { vec![bytes.to_vec()] };
    assert_eq!(packets, wanted);
});
