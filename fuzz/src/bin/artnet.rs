//! Any bytes as an Art-Net packet: nothing panics, and what is taken can be sent again.

#![no_main]

use glowloom_wire::artnet::Any;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(any) = Any::parse(bytes) else { return };
    let mut again = [0xa5; 530];
    let size = match any {
        Any::Dmx(dmx) => dmx.emit(&mut again),
        Any::Sync(sync) => sync.emit(&mut again),
        Any::Poll(poll) => poll.emit(&mut again),
        // A reply may be longer than what is read of it.
        Any::Reply(_) => return,
    };
    let size = size.expect("what was taken can be sent");
    assert!(size <= bytes.len());
    assert_eq!(Any::parse(&again[..size]), Ok(any));
});
