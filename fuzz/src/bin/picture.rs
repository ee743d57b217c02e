//! Any bytes as a picture: nothing panics, it is shown or refused in words, and it plays on.

#![no_main]

use std::time::Duration;

use glowloom_show::picture::Picture;
use glowloom_show::{LinearFrame, Sizing};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let picture = match Picture::open(bytes) {
        Ok(picture) => picture,
        Err(error) => return assert!(!error.to_string().is_empty()),
    };
    let (width, height) = picture.size();
    // Large ones are allowed, but each takes a second.
    if u64::from(width) * u64::from(height) > 1 << 18 {
        return;
    }
    let mut source = picture.into_source(Sizing::Fit);
    let mut wall = LinearFrame::new(5, 4);
    for ms in [0, 100, 250, 1000, 100_000] {
        if let Err(error) = source.draw(Duration::from_millis(ms), &mut wall) {
            assert!(!error.to_string().is_empty());
        }
        assert!(!wall.is_blank());
    }
});
