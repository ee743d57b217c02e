//! Any bytes as a WAV file: it opens and plays, or says why not; no sample passes what was due.

#![no_main]

use std::io::Cursor;
use std::time::Duration;

use glowloom_sound::{Analyser, Ballistics, Feed, Impression, Recording};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(mut recording) = Recording::open(Cursor::new(bytes)) else { return };
    let rate = recording.rate();
    let mut analyser = Analyser::new(rate, Ballistics::default());
    let mut impression = Impression::of(&analyser);
    let mut samples = Vec::new();
    for ms in [0, 20, 40, 41, 300, 5_000] {
        samples.clear();
        let _ = recording.feed(Duration::from_millis(ms), &mut samples);
        assert!(samples.len() <= rate.get() as usize / 4);
        analyser.hear(&samples, |heard| impression.take(&heard));
    }
    assert!(impression.bands().iter().all(|share| (0.0..=1.0).contains(share)));
});
