//! What the pictures of a sound show, from impressions made by hand and from sounds.

use std::io::Cursor;

use glowloom_sound::Recording;

use super::*;

const SIZE: (u32, u32) = (60, 32);

fn painted(name: &str, at: u64, heard: &Impression) -> LinearFrame {
    let hearing = pictures_of_sound().iter().find(|hearing| hearing.name == name).unwrap();
    let mut frame = LinearFrame::new(SIZE.0, SIZE.1);
    hearing.picture().paint(Duration::from_millis(at), heard, &mut frame);
    frame
}

/// Light of a part of a frame, mean of its pixels, 0 to 1.
fn light(frame: &LinearFrame, columns: std::ops::Range<u32>, rows: std::ops::Range<u32>) -> f32 {
    let count = (columns.len() * rows.len() * 3) as f32 * 65_535.0;
    rows.flat_map(|row| columns.clone().map(move |column| (column, row)))
        .flat_map(|(column, row)| frame.pixel(column, row).unwrap())
        .map(f32::from)
        .sum::<f32>()
        / count
}

/// Ten bands: loud in the lower half, silent above.
fn low() -> Impression {
    let mut heard = Impression::silence(10);
    heard.set(|n| if n < 5 { 1.0 } else { 0.0 }, 0.8, false);
    heard
}

#[test]
fn names_are_single_words_and_differ() {
    let mut names: Vec<_> = pictures_of_sound().iter().map(|hearing| hearing.name).collect();
    assert!(names.iter().all(|name| name.bytes().all(|b| b.is_ascii_lowercase())));
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), pictures_of_sound().len());
}

/// Every pixel is written, at any size, and silence is quiet: no picture is bright without a sound.
#[test]
fn silence_is_dim() {
    let silent = Impression::silence(24);
    for hearing in pictures_of_sound() {
        for (columns, rows) in [(1, 1), (60, 32), (3, 40), (0, 0)] {
            let (mut one, mut other) =
                (LinearFrame::new(columns, rows), LinearFrame::new(columns, rows));
            one.values_mut().fill(0xA5A5);
            hearing.picture().paint(Duration::from_secs(3), &silent, &mut one);
            hearing.picture().paint(Duration::from_secs(3), &silent, &mut other);
            assert_eq!(one.values(), other.values(), "{} {columns} x {rows}", hearing.name);
        }
        let frame = painted(hearing.name, 3000, &silent);
        assert!(light(&frame, 0..60, 0..32) < 0.15, "{}", hearing.name);
    }
}

#[test]
fn the_sea_rises_where_it_is_loud() {
    let frame = painted("swell", 0, &low());
    // Water is greener than the sky; at half the height it is there on the left alone.
    let [left, right] = [10, 50].map(|column| frame.pixel(column, 16).unwrap());
    assert!(left[1] > 4 * right[1], "{left:?} {right:?}");
}

#[test]
fn lamps_burn_for_their_tones_and_shine_in_the_water() {
    let frame = painted("lamps", 0, &low());
    for rows in [6..14, 20..26] {
        let (left, right) = (light(&frame, 0..25, rows.clone()), light(&frame, 35..60, rows));
        assert!(left > 2.0 * right, "{left} {right}");
    }
}

#[test]
fn a_ring_spreads_from_where_a_drop_fell_and_fades() {
    let mut picture = Rings::default();
    let mut frame = LinearFrame::new(SIZE.0, SIZE.1);
    let mut heard = Impression::silence(10);
    let mut lit = |picture: &mut Rings, ms: u64, heard: &Impression| {
        picture.paint(Duration::from_millis(ms), heard, &mut frame);
        let bright = |pixel: &&[u16; 3]| pixel[0] > 6_000;
        frame.values().as_chunks::<3>().0.iter().filter(bright).count()
    };
    assert_eq!(lit(&mut picture, 0, &heard), 0);
    heard.set(|_| 0.0, 0.0, true);
    let fallen = lit(&mut picture, 20, &heard);
    let spread = lit(&mut picture, 420, &heard);
    assert!(0 < fallen && fallen < spread, "{fallen} {spread}");
    assert_eq!(lit(&mut picture, 2_600, &heard), 0, "gone");
}

/// A beat lights up, and is gone again a second later.
#[test]
fn beats_are_seen_and_pass() {
    for name in ["swell", "lamps"] {
        let hearing = pictures_of_sound().iter().find(|hearing| hearing.name == name).unwrap();
        let mut picture = hearing.picture();
        let mut frame = LinearFrame::new(SIZE.0, SIZE.1);
        let mut heard = Impression::silence(10);
        let mut all = |ms: u64, heard: &Impression| {
            picture.paint(Duration::from_millis(ms), heard, &mut frame);
            light(&frame, 0..60, 0..32)
        };
        let before = all(0, &heard);
        heard.set(|_| 0.0, 0.0, true);
        let (with, after) = (all(33, &heard), all(1_400, &heard));
        assert!(with > 1.15 * before, "{name}: {before} {with}");
        assert!((after / before - 1.0).abs() < 0.1, "{name}: {before} {after}");
    }
}

/// A WAV file of a second: a low tone in its first half, a high one in its second.
fn two_tones() -> Vec<u8> {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 16_000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for n in 0..16_000 {
        let frequency = if n < 8_000 { 200.0 } else { 5_000.0 };
        let value = (std::f32::consts::TAU * frequency * n as f32 / 16_000.0).sin();
        writer.write_sample((value * 20_000.0) as i16).unwrap();
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

/// From a file to the wall: the sea is high where the tone of the moment belongs.
#[test]
fn a_recording_is_seen_as_it_sounds() {
    let recording = Recording::open(Cursor::new(two_tones())).unwrap();
    let mut source = Sounding::new(Box::new(recording), Box::new(Swell::default()));
    let mut frame = LinearFrame::new(SIZE.0, SIZE.1);
    let highest = |frame: &LinearFrame| {
        (0..60).max_by_key(|&column| frame.pixel(column, 8).unwrap()[1]).unwrap()
    };
    let mut seen = Vec::new();
    for ms in (0..2_000).step_by(20) {
        assert_eq!(source.draw(Duration::from_millis(ms), &mut frame), Ok(Drawn::New));
        if ms % 500 == 480 {
            seen.push(highest(&frame));
        }
    }
    let [low, high, again, high_again] = seen[..] else { panic!("{seen:?}") };
    assert!(low < 30 && again < 30, "{seen:?}");
    assert!(high > 35 && high_again > 35, "{seen:?}");
}

/// A feed that has failed is told, and what is drawn goes quiet.
#[test]
fn silence_is_told_and_seen() {
    struct Gone(u32);
    impl Feed for Gone {
        fn rate(&self) -> Rate {
            Rate::USUAL
        }
        fn feed(&mut self, _: Duration, into: &mut Vec<f32>) -> Fed {
            self.0 += 1;
            if self.0 <= 50 {
                into.extend((0..960).map(|n| (n as f32 * 0.13).sin()));
                return Fed::Well;
            }
            into.extend([0.0; 960]);
            Fed::Silent("the microphone is gone".into())
        }
    }
    let mut source = Sounding::new(Box::new(Gone(0)), Box::new(Swell::default()));
    let mut frame = LinearFrame::new(SIZE.0, SIZE.1);
    let mut lights = Vec::new();
    for n in 0..200 {
        let drawn = source.draw(Duration::from_millis(20 * n), &mut frame);
        assert_eq!(drawn.is_err(), n >= 50);
        lights.push(light(&frame, 0..60, 0..28));
    }
    let quiet = light(&painted("swell", 4000, &Impression::silence(24)), 0..60, 0..28);
    assert!(lights[49] > 1.3 * quiet, "{} {quiet}", lights[49]);
    assert!((lights[199] / quiet - 1.0).abs() < 0.1, "{} {quiet}", lights[199]);
}
