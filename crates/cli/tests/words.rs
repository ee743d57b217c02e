//! Texts, clocks and raw frames, played as a person would.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::io::Write;
use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

use support::{ends, program, text};

/// A wall of 24 x 8 whose one panel is at a port of its own, so that tests do not meet.
fn folder(port: u16) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let wall = format!(
        "format = 1\n[wall]\nname = \"Reading\"\ncolumns = 24\nrows = 8\n[strip]\npart = \"ws2812b-30\"\n\
         [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 24\nrows = 8\naddress = \"127.0.0.1:{port}\"\n\
         [receiver]\nboard = \"esp32-ethernet\"\nlink = \"ethernet\"\nprotocol = \"ddp\"\n\
         frames_per_second = 30\n"
    );
    std::fs::write(folder.path().join("wall.toml"), wall).unwrap();
    folder
}

/// Plays, with some bytes on standard input, and gives every picture that a panel showed, without
/// repetitions, and what was said. Standard input stays open until the end.
fn played(at: &Path, show: &[&str], input: &[u8]) -> (Vec<Vec<bool>>, String) {
    let panels = program(at, &["panels", "wall.toml", "--save", "frames", "--for", "4s"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    std::thread::sleep(Duration::from_millis(700));
    let arguments = [&["show", "wall.toml"], show, &["--brightness", "1", "--for", "2s"]].concat();
    let mut playing = program(at, &arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut pipe = playing.stdin.take().unwrap();
    pipe.write_all(input).unwrap();
    // Taken out, so that the wait does not close it.
    let output = playing.wait_with_output().unwrap();
    drop(pipe);
    let said = format!("{}{}", text(&output.stdout), text(&output.stderr));
    assert!(output.status.success(), "{said}");
    assert!(panels.wait_with_output().unwrap().status.success());
    let mut names: Vec<_> =
        std::fs::read_dir(at.join("frames")).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    let mut frames: Vec<_> = names.iter().map(|name| lit(name)).collect();
    frames.dedup();
    (frames, said)
}

/// Which pixels of a saved picture are lit.
fn lit(path: &Path) -> Vec<bool> {
    let file = std::io::BufReader::new(std::fs::File::open(path).unwrap());
    let mut reader = png::Decoder::new(file).read_info().unwrap();
    let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut bytes).unwrap();
    assert_eq!((info.width, info.height), (24, 8));
    bytes
        .chunks(bytes.len() / (24 * 8))
        .map(|pixel| pixel[..3].iter().any(|&code| code > 0))
        .collect()
}

fn drawn(frames: &[Vec<bool>]) -> String {
    let mark = |lit: &bool| if *lit { '#' } else { '.' };
    let frame = |frame: &Vec<bool>| -> String {
        frame.chunks(24).flat_map(|row| row.iter().map(mark).chain(['\n'])).collect()
    };
    frames.iter().map(frame).collect::<Vec<_>>().join("\n")
}

fn drawing(rows: [&str; 8]) -> Vec<bool> {
    rows.iter().flat_map(|row| row.chars().map(|letter| letter == '#')).collect()
}

#[test]
fn a_text_is_on_the_wall() {
    let folder = folder(15_201);
    let (frames, said) = played(folder.path(), &["text,rows=6,colour=ff8800:Öl 5"], &[]);
    let wanted = drawing([
        "........................",
        "....#.#.##......###.....",
        ".....#...#......#.......",
        "....#.#..#......##......",
        "....#.#..#........#.....",
        ".....#..###.....##......",
        "........................",
        "........................",
    ]);
    assert!(frames.contains(&wanted), "{said}\n{}", drawn(&frames));
}

/// The line of seconds grows by one of 24 pixels in 2.5 s: how far it is, against the computer's clock.
#[test]
fn a_clock_runs() {
    let folder = folder(15_202);
    let second = || {
        let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap();
        since.as_secs_f64() % 60.0
    };
    // Not over the turn of a minute, where the line begins anew.
    if second() > 45.0 {
        std::thread::sleep(Duration::from_secs_f64(60.5 - second()));
    }
    let before = second();
    let clock = "clock,seconds=sweep,face=fixed,zone=UTC";
    let (frames, said) = played(folder.path(), &[clock], &[]);
    let after = second();
    let lines: Vec<usize> = frames
        .iter()
        .filter(|frame| frame[..24 * 7].contains(&true))
        .map(|frame| frame[24 * 7..].iter().filter(|&&lit| lit).count())
        .collect();
    let pixels = |second: f64| second / 2.5;
    assert!(!lines.is_empty(), "{said}");
    // A pixel that is lit a little counts as one, or as none at less than the darkest code.
    let could = pixels(before) - 1.0..pixels(after) + 1.0;
    assert!(lines.iter().all(|&lit| could.contains(&(lit as f64))), "{lines:?} {could:?}");
}

/// Three frames, each of one lit pixel, and a piece of a fourth; then silence.
#[test]
fn raw_frames_play_and_a_stall_keeps_the_last() {
    let folder = folder(15_203);
    let frame =
        |at: usize| (0..24 * 8).flat_map(move |n| if n == at { [255, 9, 200] } else { [0; 3] });
    let mut input: Vec<u8> = [5, 70, 191].into_iter().flat_map(frame).collect();
    input.extend([255; 100]);
    for name in ["-", "frames,rate=10"] {
        let (frames, said) = played(folder.path(), &[name], &input);
        let places: Vec<Vec<usize>> = frames
            .iter()
            .map(|frame| (0..frame.len()).filter(|&n| frame[n]).collect())
            .filter(|places: &Vec<usize>| !places.is_empty())
            .collect();
        assert_eq!(places, [[5], [70], [191]], "{name}: {said}");
        assert!(!said.contains("warning"), "{said}");
    }
}

/// Words of a file beside the wall file, the picture that it names, and what is wrong with it.
#[test]
fn data_are_on_the_wall() {
    let folder = folder(15_207);
    let at = folder.path();
    std::fs::create_dir(at.join("covers")).unwrap();
    let row = |n: u32| (0..24).flat_map(move |_| if n == 3 { [255; 3] } else { [0; 3] });
    let bytes: Vec<u8> = (0..8).flat_map(row).collect();
    let mut encoder =
        png::Encoder::new(std::fs::File::create(at.join("covers/a.png")).unwrap(), 24, 8);
    encoder.set_color(png::ColorType::Rgb);
    encoder.write_header().unwrap().write_image_data(&bytes).unwrap();
    std::fs::write(at.join("now.json"), "{\"t\": 4.96, \"cover\": \"covers/a.png\"}").unwrap();
    let (words, said) = played(at, &["data,rows=6,every=1:now.json {1:/t}"], &[]);
    let (text, _) = played(at, &["text,rows=6:5.0"], &[]);
    assert!(words.contains(text.last().unwrap()), "{said}\n{}", drawn(&words));
    let (cover, said) = played(at, &["album:now.json /cover"], &[]);
    let wanted: Vec<bool> = (0..24 * 8).map(|n| n / 24 == 3).collect();
    assert!(cover.contains(&wanted), "{said}\n{}", drawn(&cover));
    let (_, said) = played(at, &["data:now.json {/u}"], &[]);
    assert!(said.contains("the data have nothing at /u"), "{said}");
}

#[test]
fn frames_of_the_wrong_size_are_told() {
    let folder = folder(15_204);
    let (_, said) = played(folder.path(), &["frames"], &[7; 575]);
    let wanted = "no whole frame has come yet, 575 bytes so far; a frame of this wall has 576: 24 x 8 pixels";
    assert!(said.contains(wanted), "{said}");
}

#[test]
fn what_cannot_be_shown_ends_with_2() {
    let folder = folder(15_205);
    let at = folder.path();
    for (names, said) in [
        (&["text:\u{6F22}"][..], "write it another way"),
        (
            &["text,flow=still:far too long to stand still here"],
            "the wall is 24 x 8 pixels and this text takes",
        ),
        (&["text"], "after a colon"),
        (&["clock,date=ymd"], "a clock with a date takes"),
        (&["clock,zone=Europe/Atlantis"], "Europe/Paris"),
        (&["clock,colour=red"], "six hexadecimal digits"),
        (&["tide", "frames"], "play them alone"),
        (&["data:file:///etc/hostname {/a}"], "is no address that is fetched from"),
        (&["data:https:///a.json {/a}"], "is no address that is fetched from"),
        (&["data:a.json hello"], "has no place for data"),
    ] {
        let arguments = [&["show", "wall.toml"], names, &["--for", "1s"]].concat();
        let (out, err) = ends(2, at, &arguments);
        assert!(out.is_empty() && err.contains(said), "{names:?}: {err}");
    }
    let (_, err) = ends(2, at, &["plan", "wall.toml", "--picture", "frames"]);
    assert!(err.contains("raw frames"), "{err}");
}

/// Words take their turns in a running order like pictures, and a path that leaves the folder is none.
#[test]
fn a_running_order_has_words() {
    let folder = folder(15_206);
    let at = folder.path();
    let wall = std::fs::read_to_string(at.join("wall.toml")).unwrap();
    let order = |source: &str| {
        let order = format!("{wall}[[show.running_order]]\nsource = {source:?}\nseconds = 1\n");
        std::fs::write(at.join("order.toml"), order).unwrap();
    };
    order("text:../A");
    ends(0, at, &["show", "order.toml", "--for", "1s"]);
    order("../A.png");
    let (_, err) = ends(2, at, &["show", "order.toml", "--for", "1s"]);
    assert!(err.contains("outside the wall's folder"), "{err}");
    order("data:../now.json {/a}");
    let (_, err) = ends(2, at, &["show", "order.toml", "--for", "1s"]);
    assert!(err.contains("outside the wall's folder"), "{err}");
    order("text:too long for such a wall but it runs");
    ends(0, at, &["show", "order.toml", "--for", "1s"]);
}
