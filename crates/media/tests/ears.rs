//! Sound that comes through ffmpeg, and that goes away.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::path::Path;
use std::time::{Duration, Instant};

use glowloom_media::{Ears, Ffmpeg, Input};
use glowloom_sound::{Fed, Feed};
use support::{HASTY, is_there, program, real};

fn microphone() -> Input {
    Input::device(
        vec!["-f".into(), "pulse".into(), "-i".into(), "default".into()],
        "the microphone",
    )
}

fn listen(folder: &Path, lines: &str) -> Ears {
    let ffmpeg = Ffmpeg::at(program(folder, lines)).with_patience(HASTY);
    Ears::open(&ffmpeg, &microphone()).unwrap()
}

/// Calls `feed` every 10 ms of made-up time until it is as wanted; at most 20 s of real time.
fn until(
    ears: &mut Ears,
    at: &mut Duration,
    mut like: impl FnMut(&Fed, &[f32]) -> bool,
) -> (Fed, Vec<f32>) {
    let start = Instant::now();
    loop {
        *at += Duration::from_millis(10);
        let mut samples = Vec::new();
        let fed = ears.feed(*at, &mut samples);
        if like(&fed, &samples) {
            return (fed, samples);
        }
        assert!(start.elapsed() < Duration::from_secs(20), "{fed:?} {}", samples.len());
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// A quarter of a second of samples of 1.0, as ffmpeg would send them.
const ONES: &str =
    "ones() { i=0; while [ $i -lt 12000 ]; do printf '\\000\\000\\200\\077'; i=$((i+1)); done; }";

/// It is heard, goes away and is told, is silent meanwhile, and is heard again by itself.
#[test]
fn a_microphone_that_goes_away_is_silent_told_and_tried_again() {
    let folder = tempfile::tempdir().unwrap();
    // The first child ends; the second and third fail; the fourth is well again.
    let lines = format!(
        "{ONES}\necho x >> \"$HERE/count\"\ncase $(wc -l < \"$HERE/count\") in\n\
         1) ones; exit 0;;\n2|3) echo 'default: No such device' >&2; exit 1;;\n\
         *) ones; exec sleep 60;; esac"
    );
    let mut ears = listen(folder.path(), &lines);
    let mut at = Duration::ZERO;
    until(&mut ears, &mut at, |fed, samples| *fed == Fed::Well && samples.contains(&1.0));
    let told = until(
        &mut ears,
        &mut at,
        |fed, _| matches!(fed, Fed::Silent(why) if why.contains("No such device")),
    );
    assert!(matches!(told.0, Fed::Silent(why) if why.contains("the microphone")));
    // Time goes on in silence: 480 samples for 10 ms.
    let silent = until(&mut ears, &mut at, |_, samples| !samples.is_empty());
    assert!(silent.1.contains(&1.0) || silent.1 == vec![0.0; 480], "{}", silent.1.len());
    until(&mut ears, &mut at, |fed, samples| *fed == Fed::Well && samples.contains(&1.0));
    let condition = ears.condition();
    assert!(condition.started >= 4, "{condition:?}");
    let process = condition.process;
    drop(ears);
    assert!(!process.is_some_and(is_there), "the child has ended with it");
}

/// One that sends nothing for 100 ms is silent, and no trouble yet.
#[test]
fn a_sound_that_stalls_is_silent() {
    let folder = tempfile::tempdir().unwrap();
    let mut ears = listen(folder.path(), "exec sleep 60");
    let mut given = Vec::new();
    for ms in (0..=200).step_by(10) {
        ears.feed(Duration::from_millis(ms), &mut given);
        if ms < 100 {
            assert!(given.is_empty());
        }
    }
    assert_eq!(given, vec![0.0; 11 * 480]);
}

/// How many samples wait for a frame is counted.
#[test]
fn lateness_is_counted() {
    let folder = tempfile::tempdir().unwrap();
    let mut ears = listen(folder.path(), &format!("{ONES}\nones; exec sleep 60"));
    let lateness = ears.lateness();
    assert_eq!(lateness.waiting(), None);
    let (mut at, mut all) = (Duration::ZERO, 0);
    until(&mut ears, &mut at, |_, samples| {
        all += samples.iter().filter(|sample| **sample == 1.0).count();
        all == 12_000
    });
    let (mean, most) = lateness.waiting().unwrap();
    assert!(0 < mean && mean <= most && most <= 12_000, "{mean} {most}");
    assert_eq!(lateness.lost(), 0);
}

/// A file of another kind is heard at its own pace: 440 Hz from ffmpeg's own encoder.
#[test]
fn a_file_is_heard_at_its_pace() {
    let Some(ffmpeg) = real("sound of a file") else { return };
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tone.flac");
    let made = std::process::Command::new("ffmpeg")
        .args([
            "-v",
            "error",
            "-f",
            "lavfi",
            "-i",
            "sine=frequency=440:sample_rate=44100:duration=1",
        ])
        .arg(&path)
        .status();
    assert!(made.unwrap().success());
    let mut ears = Ears::open(&ffmpeg, &Input::file(&path)).unwrap();
    assert_eq!(ears.first(Duration::from_secs(20)).trouble, None);
    let (mut at, mut all) = (Duration::ZERO, Vec::new());
    while at < Duration::from_secs(2) {
        at += Duration::from_millis(10);
        let before = all.len();
        assert_eq!(ears.feed(at, &mut all), Fed::Well);
        assert!(all.len() - before <= 480);
        // As fast as the machine goes: time is made up.
        std::thread::sleep(Duration::from_millis(10));
    }
    assert!(all.len() > 60_000, "{}", all.len());
    // Rises through 0, in a second of it that has begun.
    let sound: Vec<f32> = all.iter().copied().skip_while(|sample| *sample == 0.0).collect();
    let rises = sound[..44_000].windows(2).filter(|pair| pair[0] < 0.0 && pair[1] >= 0.0).count();
    assert!((398..=408).contains(&rises), "{rises} rises in 44000 of 48000 samples");
}
