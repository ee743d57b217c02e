//! Films as people write them, rightly and wrongly.

use super::super::{Worded, read};
use super::*;

fn filmed(name: &str) -> Filmed {
    match read(name).unwrap() {
        Some(Worded::Filmed(filmed)) => filmed,
        other => panic!("{name}: {other:?}"),
    }
}

fn said(name: &str) -> String {
    let failure = read(name).unwrap_err();
    format!("{}; {}", failure.message(), failure.remedy().unwrap_or_default())
}

#[test]
fn films_have_their_choices() {
    let film = filmed("film,from=1.5min,once:C:/films/a,b.mp4");
    assert_eq!(film.path(), Some(Path::new("C:/films/a,b.mp4")));
    assert_eq!((film.from, film.looped), (Duration::from_secs(90), false));
    let inside = film.in_folder(Path::new("/walls"));
    assert_eq!(inside.path(), Some(Path::new("/walls/C:/films/a,b.mp4")));
    let stream = filmed("film,pace=newest:https://quay.example/live");
    assert_eq!(stream.input().pace(), Pace::Newest);
    assert!(stream.looped && stream.path().is_none());
    assert_eq!(filmed("rtsp://quay.example/one").input().shown(), "rtsp://quay.example/one");
}

#[test]
fn a_test_picture_has_its_choices() {
    let arguments =
        filmed("test-picture,kind=bars,size=64x36,rate=10").input().arguments(Duration::ZERO, true);
    assert!(arguments.iter().any(|word| word == "smptebars=size=64x36:rate=10"));
}

/// What was found, and what to write.
#[test]
fn wrong_words_are_told() {
    for (name, found, wanted) in [
        ("film", "no name", "film,from=90s:regatta.mp4"),
        ("film:", "no name", "after a colon"),
        ("film,from=soon:a", "\"from=soon\"", "a time"),
        ("film,from=3s:http://quay.example/", "from where it is", "leave out"),
        ("film,pace=newest:a.mp4", "\"pace=newest\"", "from (of a file), once"),
        ("film,once=2:a", "\"once=2\"", "once"),
        ("screen:0", "no text after a colon", "screen,rate=25"),
        ("screen,size=640", "\"size=640\"", "640x360"),
        ("screen,size=0x5", "\"size=0x5\"", "640x360"),
        ("screen,rate=0", "\"rate=0\"", "1 to 240"),
        ("screen,rate=nan", "\"rate=nan\"", "1 to 240"),
        ("screen,of=3", "\"of=3\"", "at, size, rate, display, pointer"),
        ("window", "does not say which", "window:0x1e00007"),
        ("camera,size=axb", "\"size=axb\"", "640x360"),
        ("test-picture,kind=sea", "\"kind=sea\"", "one of moving, bars"),
        ("file:///etc/hostname", "no stream that can be shown", "URL"),
    ] {
        let said = said(name);
        assert!(said.contains(found) && said.contains(wanted), "{name}: {said}");
    }
}

#[test]
fn names_tell_which_files_are_pictures() {
    for (name, picture) in [("a.PNG", true), ("a.jpeg", true), ("a.mp4", false), ("png", false)] {
        assert_eq!(is_named_as_picture(Path::new(name)), picture, "{name}");
    }
}
