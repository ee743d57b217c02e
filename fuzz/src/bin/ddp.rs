//! Any bytes as a DDP packet: nothing panics, and what is taken can be sent again, unless it is
//! longer than what we send.

#![no_main]

use glowloom_wire::ddp::{Body, Error, MAX_DATA, Message, Packet};
use libfuzzer_sys::fuzz_target;

fn parse(bytes: &[u8]) -> Result<Message<'_>, Error> {
    Message::parse(&Packet::new_checked(bytes)?)
}

fuzz_target!(|bytes: &[u8]| {
    let Ok(message) = parse(bytes) else { return };
    let _ = message.header.data_type.pixels();
    let mut again = [0xa5; 1454];
    match (message.emit(&mut again), message.body) {
        (Ok(size), _) => assert_eq!(parse(&again[..size]), Ok(message)),
        (Err(error), Body::Data(data)) => {
            assert!(data.len() > MAX_DATA);
            assert_eq!(error, Error::Data(data.len()));
        }
        (Err(error), Body::Query(_)) => panic!("{error}"),
    }
});
