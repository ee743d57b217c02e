//! Any bytes as an ANSI E1.31 packet: nothing panics, and what is taken can be sent again.

#![no_main]

use glowloom_wire::e131::{Any, Universe};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(any) = Any::parse(bytes) else { return };
    let mut again = [0xa5; 1144];
    let size = match any {
        Any::Data(data) => data.emit(&mut again),
        Any::Sync(sync) => sync.emit(&mut again),
        Any::Discovery(page) => {
            let universes: Vec<Universe> = page.universes().collect();
            page.header.emit(&universes, &mut again)
        }
    };
    let size = size.expect("what was taken can be sent");
    assert_eq!(size, bytes.len());
    assert_eq!(Any::parse(&again[..size]), Ok(any));
});
