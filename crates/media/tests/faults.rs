//! Children that fail in every way that they can, and what is shown meanwhile. The children are scripts.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::path::Path;
use std::time::{Duration, Instant};

use glowloom_media::{Ffmpeg, Film, Patience};
use glowloom_show::{Drawn, Source, SourceError, srgb};
use support::{CALM, HASTY, blank, film, head, is_there, picture, program, showing, start, until};

fn ms(ms: u64) -> Duration {
    Duration::from_millis(ms)
}

fn told(drawn: Result<Drawn, SourceError>) -> String {
    drawn.unwrap_err().to_string()
}

/// Writes a film beside the program.
fn put(folder: &Path, name: &str, bytes: &[u8]) {
    std::fs::write(folder.join(name), bytes).unwrap();
}

fn number(folder: &Path, name: &str) -> u32 {
    let start = Instant::now();
    loop {
        let text = std::fs::read_to_string(folder.join(name)).unwrap_or_default();
        if let Some(number) = text.strip_suffix('\n') {
            return number.parse().unwrap();
        }
        assert!(start.elapsed() < Duration::from_secs(60), "{name} is not written");
        std::thread::sleep(ms(2));
    }
}

fn gone(process: u32) {
    let start = Instant::now();
    while is_there(process) {
        assert!(start.elapsed() < Duration::from_secs(60), "process {process} is still there");
        std::thread::sleep(ms(2));
    }
}

#[test]
fn pictures_are_shown_at_their_times() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "film", &film(2, 1, &[(0, 10), (100, 20), (200, 30)]));
    let program = program(folder.path(), "exec cat \"$HERE/film\"");
    let mut film = start(&program, &showing(false));
    until(&film, |condition| condition.over);
    let mut frame = blank();
    // The show's clock is its own.
    for (at, drawn, grey) in [
        (5000, Drawn::New, 10),
        (5099, Drawn::Same, 10),
        (5100, Drawn::New, 20),
        (5150, Drawn::Same, 20),
        (5200, Drawn::New, 30),
        (9000, Drawn::Ended, 30),
    ] {
        let found = film.draw(ms(at), &mut frame).unwrap();
        assert_eq!((found, frame.values()[0]), (drawn, srgb::linear(grey)), "{at}");
    }
    frame.clear();
    assert_eq!(film.draw(ms(9001), &mut frame), Ok(Drawn::New));
    assert_eq!(frame.values(), [srgb::linear(30); 6], "a blank frame is drawn whatever happens");
}

/// Killed from outside: the last picture stays, and the next child goes on where it was.
#[test]
fn a_child_that_is_killed_is_followed_by_another() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "first", &film(2, 1, &[(0, 10), (40, 20)]));
    put(folder.path(), "second", &film(2, 1, &[(0, 30)]));
    let lines = "echo \"$@\" >> \"$HERE/lines\"\n\
                 if [ -e \"$HERE/again\" ]; then cat \"$HERE/second\"; exec sleep 1000; fi\n\
                 touch \"$HERE/again\"; cat \"$HERE/first\"; exec sleep 1000";
    let program = program(folder.path(), lines);
    let ffmpeg = Ffmpeg::at(&program).with_patience(CALM);
    let mut film = Film::start(&ffmpeg, &showing(false)).unwrap();
    let mut frame = blank();
    let first = until(&film, |condition| condition.units == 2).process.unwrap();
    assert_eq!(film.draw(ms(0), &mut frame), Ok(Drawn::New));
    assert!(
        std::process::Command::new("kill")
            .args(["-9", &first.to_string()])
            .status()
            .unwrap()
            .success()
    );
    let second = until(&film, |condition| condition.units == 3);
    assert_eq!((second.started, second.trouble), (2, None));
    assert_eq!(film.draw(ms(40), &mut frame), Ok(Drawn::New));
    assert_eq!(frame.values(), [srgb::linear(20); 6]);
    // It comes when the one before has been shown for as long as that one's forerunner.
    assert_eq!(film.draw(ms(80), &mut frame), Ok(Drawn::New));
    assert_eq!(frame.values(), [srgb::linear(30); 6]);
    let lines = std::fs::read_to_string(folder.path().join("lines")).unwrap();
    let lines: Vec<_> = lines.lines().collect();
    assert!(lines[0].contains("-protocol_whitelist file,crypto -i file:harbour.mkv"), "{lines:?}");
    assert!(lines[1].contains("-ss 0.080000 -i file:harbour.mkv"), "{lines:?}");
    gone(first);
    drop(film);
    gone(second.process.unwrap());
}

#[test]
fn a_child_that_hangs_is_ended_with_all_it_started() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "film", &film(2, 1, &[(0, 10)]));
    let lines = "cat \"$HERE/film\"\nsleep 1000 &\necho $! > \"$HERE/sleeper.$$\"\n\
                 [ -e \"$HERE/first\" ] || echo $$ > \"$HERE/first\"\nwait";
    let program = program(folder.path(), lines);
    let ffmpeg = Ffmpeg::at(&program).with_patience(HASTY);
    let mut film = Film::start(&ffmpeg, &showing(true)).unwrap();
    let mut frame = blank();
    until(&film, |condition| condition.units >= 1);
    assert_eq!(film.draw(ms(0), &mut frame), Ok(Drawn::New));
    let trouble = until(&film, |condition| condition.trouble.is_some()).trouble.unwrap();
    assert!(trouble.contains("ffmpeg sent nothing for 0."), "{trouble}");
    // It stays.
    let _ = film.draw(ms(1000), &mut frame);
    assert_eq!(frame.values(), [srgb::linear(10); 6]);
    let started = until(&film, |condition| condition.started >= 3);
    assert!(started.units >= 2);
    let first = number(folder.path(), "first");
    gone(first);
    gone(number(folder.path(), &format!("sleeper.{first}")));
}

/// A child that waits for us does not hang.
#[test]
fn a_child_that_is_held_back_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let pictures: Vec<_> = (0..100).map(|n| (n * 40, n as u8)).collect();
    put(folder.path(), "film", &film(2, 1, &pictures));
    let program = program(folder.path(), "cat \"$HERE/film\"; exec sleep 1000");
    let patience = Patience { silence: ms(1500), ..HASTY };
    let ffmpeg = Ffmpeg::at(&program).with_patience(patience);
    let film = Film::start(&ffmpeg, &showing(false)).unwrap();
    let before = until(&film, |condition| condition.units == 8);
    std::thread::sleep(patience.silence + ms(500));
    assert_eq!(film.condition(), before);
    assert_eq!(before.started, 1);
}

#[test]
fn a_program_that_is_missing_is_told_with_its_package() {
    let mut film = start(Path::new("/nowhere/ffmpeg"), &showing(true));
    let why = film.first(ms(60_000)).unwrap_err();
    for part in [
        "harbour.mkv: ",
        "/nowhere/ffmpeg is not there",
        "install the package ffmpeg",
        "GLOWLOOM_FFMPEG",
    ] {
        assert!(why.contains(part), "{why}");
    }
    let mut frame = blank();
    assert_eq!(told(film.draw(ms(0), &mut frame)), why);
    assert!(!frame.is_blank(), "black is drawn");
}

/// However much a child complains, it is not held up, and a few lines are kept.
#[test]
fn complaints_are_read_and_bounded() {
    let folder = tempfile::tempdir().unwrap();
    let pictures: Vec<_> = (0..5).map(|n| (n * 40, 9)).collect();
    put(folder.path(), "film", &film(2, 1, &pictures));
    let lines = "yes 'the tide is out' | head -c 3000000 >&2\ncat \"$HERE/film\"\n\
                 yes 'the tide is in' | head -c 3000000 >&2\nexit 3";
    let program = program(folder.path(), lines);
    let film = start(&program, &showing(true));
    let found = until(&film, |condition| condition.trouble.is_some());
    assert_eq!(found.units, 5);
    let why = found.trouble.unwrap();
    assert!(why.starts_with("ffmpeg ended with code 3: "), "{why}");
    assert!(why.contains("the tide is in") && why.len() < 800, "{why}");
}

#[test]
fn a_picture_of_another_size_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let mut bytes = film(2, 1, &[(0, 10)]);
    bytes.extend(picture(40, &[20; 5]));
    put(folder.path(), "film", &bytes);
    let program = program(folder.path(), "cat \"$HERE/film\"; exec sleep 1000");
    let mut film = start(&program, &showing(true));
    let why = until(&film, |condition| condition.trouble.is_some()).trouble.unwrap();
    assert!(why.contains("a picture of 5 bytes, where 2 x 1 pixels have 6"), "{why}");
    let mut frame = blank();
    assert_eq!(film.draw(ms(0), &mut frame), Ok(Drawn::New));
    assert_eq!(frame.values(), [srgb::linear(10); 6]);
}

#[test]
fn what_is_no_film_is_told() {
    for (bytes, part) in [
        (&b"Hello, this is the wrong program altogether"[..], "no NUT"),
        (&b""[..], "it sent nothing"),
        (&head(2, 1)[..], "it sent nothing"),
        (&head(60_000, 60_000)[..40], "ends in the middle"),
    ] {
        let folder = tempfile::tempdir().unwrap();
        put(folder.path(), "film", bytes);
        let program = program(folder.path(), "exec cat \"$HERE/film\"");
        let film = start(&program, &showing(true));
        let why = film.first(ms(60_000)).unwrap_err();
        assert!(why.contains(part), "{why}");
    }
}

/// What comes after a stall is shown at once, and paced from there on; meanwhile the last picture stays.
#[test]
fn a_film_that_stalls_keeps_its_last_picture() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "first", &film(2, 1, &[(0, 10), (40, 20)]));
    let rest: Vec<u8> =
        [(80, 30), (120, 40)].iter().flat_map(|(at, grey)| picture(*at, &[*grey; 6])).collect();
    put(folder.path(), "rest", &rest);
    let lines = "cat \"$HERE/first\"\nwhile ! [ -e \"$HERE/go\" ]; do sleep 0.01; done\n\
                 cat \"$HERE/rest\"; exec sleep 1000";
    let program = program(folder.path(), lines);
    let ffmpeg = Ffmpeg::at(&program).with_patience(CALM);
    let mut film = Film::start(&ffmpeg, &showing(false)).unwrap();
    let mut frame = blank();
    until(&film, |condition| condition.units == 2);
    assert_eq!(film.draw(ms(0), &mut frame), Ok(Drawn::New));
    assert_eq!(film.draw(ms(40), &mut frame), Ok(Drawn::New));
    for at in [80, 1000, 5000] {
        assert_eq!(film.draw(ms(at), &mut frame), Ok(Drawn::Same));
    }
    put(folder.path(), "go", b"");
    until(&film, |condition| condition.units == 4);
    // Both are due by now, and neither is caught up with: the later one is shown.
    assert_eq!(film.draw(ms(6000), &mut frame), Ok(Drawn::New));
    assert_eq!(frame.values(), [srgb::linear(40); 6]);
}

/// A film of which nobody takes pictures any more is ended with its child.
#[test]
fn a_film_that_is_dropped_ends_its_child() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "film", &film(2, 1, &[(0, 10)]));
    let lines = "cat \"$HERE/film\"\ntrap '' TERM INT HUP\nwhile :; do sleep 1000; done";
    let program = program(folder.path(), lines);
    for _ in 0..5 {
        let film = start(&program, &showing(true));
        let process = until(&film, |condition| condition.units == 1).process.unwrap();
        drop(film);
        gone(process);
    }
}
