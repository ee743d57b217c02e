//! WAV files with bytes changed at random: they play, or are refused in words.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod tracks;

use std::io::Cursor;
use std::time::Duration;

use glowloom_sound::{Feed, Recording};
use tracks::Chance;

fn file(channels: u16, bits: u16) -> Vec<u8> {
    let spec = hound::WavSpec {
        channels,
        sample_rate: 8000,
        bits_per_sample: bits,
        sample_format: hound::SampleFormat::Int,
    };
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for n in 0..20 * i32::from(channels) {
        writer.write_sample(n - 30).unwrap();
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

#[test]
fn any_change_of_a_few_bytes_is_borne() {
    let mut chance = Chance(99);
    let mut below = |most: usize| ((chance.next() + 1.0) / 2.0 * most as f32) as usize % most;
    let (mut played, mut refused) = (0, 0);
    for (channels, bits) in [(1, 16), (2, 24), (1, 8), (3, 32)] {
        let whole = file(channels, bits);
        for _ in 0..500 {
            let mut bytes = whole.clone();
            for _ in 0..=below(4) {
                let at = below(bytes.len().min(80));
                bytes[at] = [0, 1, 2, 0x7F, 0x80, 0xFF, below(256) as u8][below(7)];
            }
            bytes.truncate(bytes.len() - below(2) * below(bytes.len()));
            match Recording::open(Cursor::new(bytes)) {
                Err(error) => {
                    assert!(!error.to_string().is_empty());
                    refused += 1;
                }
                Ok(mut recording) => {
                    let most = recording.rate().get() as usize / 4;
                    let mut samples = Vec::new();
                    for ms in [0, 1, 20, 300, 5_000] {
                        samples.clear();
                        let _ = recording.feed(Duration::from_millis(ms), &mut samples);
                        assert!(samples.len() <= most);
                    }
                    played += 1;
                }
            }
        }
    }
    assert!(played > 200 && refused > 200, "{played} {refused}");
}
