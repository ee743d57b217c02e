//! Any bytes as a DDP packet: nothing panics, and what is taken can be sent again.

#![no_main]

use glowloom_wire::ddp::{Error, Message, Packet};
use libfuzzer_sys::fuzz_target;

fn parse(bytes: &[u8]) -> Result<Message<'_>, Error> {
    Message::parse(&Packet::new_checked(bytes)?)
}

fuzz_target!(|bytes: &[u8]| {
    let Ok(message) = parse(bytes) else { return };
    let _ = message.header.data_type.pixels();
    let mut again = vec![0xa5; bytes.len()];
    let size = message.emit(&mut again).expect("what was taken can be sent");
    assert_eq!(parse(&again[..size]), Ok(message));
});
