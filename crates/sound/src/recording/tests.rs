//! WAV files of every kind, whole and broken.

use std::io::Cursor;

use hound::{WavSpec, WavWriter};

use super::*;

fn spec(channels: u16, bits: u16, format: SampleFormat) -> WavSpec {
    WavSpec { channels, sample_rate: 8000, bits_per_sample: bits, sample_format: format }
}

/// A slope of 800 samples: 1/10 s.
fn slope(n: i32) -> f32 {
    n as f32 / 800.0 - 0.5
}

fn file(channels: u16, bits: u16, format: SampleFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = WavWriter::new(&mut bytes, spec(channels, bits, format)).unwrap();
    for n in 0..800 {
        for channel in 0..channels {
            // The mean of all is the slope.
            let apart = if channels == 2 { f32::from(channel) * 0.2 - 0.1 } else { 0.0 };
            let value = slope(n) + apart;
            match format {
                SampleFormat::Float => writer.write_sample(value).unwrap(),
                SampleFormat::Int => {
                    let full = 2f32.powi(i32::from(bits) - 1);
                    writer.write_sample((value * full) as i32).unwrap();
                }
            }
        }
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

#[test]
fn every_kind_is_read_to_its_last_bit() {
    for channels in [1, 2] {
        for (bits, format, step) in [
            (8, SampleFormat::Int, 1.0 / 128.0),
            (16, SampleFormat::Int, 1.0 / 32_768.0),
            (24, SampleFormat::Int, 1e-6),
            (32, SampleFormat::Int, 1e-6),
            (32, SampleFormat::Float, 1e-6),
        ] {
            let mut recording = Recording::open(Cursor::new(file(channels, bits, format))).unwrap();
            assert_eq!((recording.rate().get(), recording.length()), (8000, 800));
            let mut found = Vec::new();
            assert_eq!(recording.feed(Duration::from_millis(100), &mut found), Fed::Well);
            assert_eq!(found.len(), 800);
            for (n, found) in (0..).zip(&found) {
                assert!((found - slope(n)).abs() <= step, "{channels} x {bits}: {n} is {found}");
            }
        }
    }
}

#[test]
fn it_goes_round() {
    let bytes = file(1, 16, SampleFormat::Int);
    let mut recording = Recording::open(Cursor::new(bytes)).unwrap();
    let mut found = Vec::new();
    for ms in 1..=250 {
        assert_eq!(recording.feed(Duration::from_millis(ms), &mut found), Fed::Well);
    }
    assert_eq!(found.len(), 2000);
    assert_eq!(found[..800], found[800..1600]);
    assert_eq!(found[..400], found[1600..]);
    // After a long pause it is where it would have been.
    let (mut later, at) = (Vec::new(), Duration::from_millis(10_040));
    recording.feed(at, &mut later);
    assert_eq!(later.len(), 2000);
    assert_eq!(later[1999], found[319]);
}

#[test]
fn what_is_no_recording_is_told() {
    for bytes in [&b""[..], b"RIFF", b"RIFF\x24\0\0\0WAVEfmt ", &[0; 200]] {
        let error = Recording::open(Cursor::new(bytes.to_vec())).err().unwrap();
        assert!(error.to_string().contains("no WAV file"), "{error}");
    }
    let mut empty = Cursor::new(Vec::new());
    WavWriter::new(&mut empty, spec(1, 16, SampleFormat::Int)).unwrap().finalize().unwrap();
    let error = Recording::open(Cursor::new(empty.into_inner())).err().unwrap();
    assert!(matches!(error, RecordingError::Empty), "{error}");
    let mut slow = Cursor::new(Vec::new());
    let slow_spec = WavSpec { sample_rate: 100, ..spec(1, 16, SampleFormat::Int) };
    let mut writer = WavWriter::new(&mut slow, slow_spec).unwrap();
    writer.write_sample(1i16).unwrap();
    writer.finalize().unwrap();
    let error = Recording::open(Cursor::new(slow.into_inner())).err().unwrap();
    assert!(error.to_string().contains("8000 to 192000"), "{error}");
}

/// A file that was cut off: what there is of it plays, and it is told once in each round.
#[test]
fn a_file_that_was_cut_off_is_played_as_far_as_it_goes() {
    let mut bytes = file(1, 16, SampleFormat::Int);
    bytes.truncate(bytes.len() - 800);
    let mut recording = Recording::open(Cursor::new(bytes)).unwrap();
    let (mut found, mut told) = (Vec::new(), 0);
    for ms in 1..=200 {
        let fed = recording.feed(Duration::from_millis(ms), &mut found);
        told += u32::from(matches!(fed, Fed::Silent(why) if why.contains("begins anew")));
    }
    assert!(told >= 3, "{told}");
    assert!(found.len() > 1500, "{}", found.len());
    assert!((found[10] - slope(10)).abs() < 1e-3);
}
