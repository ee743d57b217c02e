//! Any bytes as a receiver's status: nothing panics, and what is taken can be sent again.

#![no_main]

use glowloom_wire::status::{self, Status};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let _ = status::is_question(bytes);
    let Ok(status) = Status::parse(bytes) else { return };
    // Escapes make texts longer than they came.
    if let Ok(again) = status.packet() {
        assert_eq!(Status::parse(&again), Ok(status));
    }
});
