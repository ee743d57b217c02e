//! Programs that stand in for ffmpeg: a few lines of shell, and films in NUT that are written here.

#![allow(dead_code, reason = "each test uses a part of it")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use glowloom_media::supervisor::Condition;
use glowloom_media::{Ffmpeg, Film, Input, Patience, Showing};
use glowloom_show::{LinearFrame, Sizing};

/// For children that do not hang, however slow the machine is.
pub const CALM: Patience = Patience { silence: Duration::from_secs(60), ..HASTY };

/// Short, so that tests do not wait.
pub const HASTY: Patience = Patience {
    silence: Duration::from_millis(300),
    pause: Duration::from_millis(10),
    longest_pause: Duration::from_millis(50),
    well: Duration::from_secs(60),
};

/// A number as NUT has it.
fn number(mut value: u64) -> Vec<u8> {
    let mut bytes = vec![(value & 0x7F) as u8];
    while value > 0x7F {
        value >>= 7;
        bytes.insert(0, (value & 0x7F) as u8 | 0x80);
    }
    bytes
}

fn numbers(values: &[u64]) -> Vec<u8> {
    values.iter().flat_map(|value| number(*value)).collect()
}

fn packet(start: u64, body: &[u8]) -> Vec<u8> {
    let mut bytes = start.to_be_bytes().to_vec();
    bytes.extend(number(body.len() as u64 + 4));
    bytes.extend(body);
    bytes.extend([0; 4]);
    bytes
}

/// What stands ahead of the pictures. Times are in milliseconds.
pub fn head(width: u64, height: u64) -> Vec<u8> {
    let mut bytes = b"nut/multimedia container\0".to_vec();
    // Version, streams, distance, one measure of time; one kind of frame: key, with its time and size.
    let mut main = numbers(&[3, 1, 65_536, 1, 1, 1000]);
    main.extend(numbers(&[1 + 8 + 32, 6, 0, 1, 0, 0, 0, 255]));
    bytes.extend(packet(0x4E4D_7A56_1F5F_04AD, &main));
    let mut stream = numbers(&[0, 0, 4]);
    stream.extend(b"RGB\x18");
    stream.extend(numbers(&[0, 7, 0, 0, 0, 0, width, height, 0, 0, 0]));
    bytes.extend(packet(0x4E53_1140_5BF2_F9DB, &stream));
    bytes
}

/// One picture.
pub fn picture(milliseconds: u64, bytes: &[u8]) -> Vec<u8> {
    let mut frame = vec![0];
    frame.extend(numbers(&[milliseconds + 128, bytes.len() as u64]));
    frame.extend(bytes);
    frame
}

/// A film of plain pictures: when each comes, and its grey.
pub fn film(width: u64, height: u64, pictures: &[(u64, u8)]) -> Vec<u8> {
    let mut bytes = head(width, height);
    for (at, grey) in pictures {
        bytes.extend(picture(*at, &vec![*grey; (width * height * 3) as usize]));
    }
    bytes
}

/// A program of these lines of shell, which find `$HERE` in its folder. It is written by another process: a
/// file that this one has open for writing, while it starts others, could not be started.
pub fn program(folder: &Path, lines: &str) -> PathBuf {
    let path = folder.join("ffmpeg");
    let text = format!("#!/bin/sh\nHERE='{}'\n{lines}\n", folder.display());
    let mut shell = Command::new("/bin/sh");
    shell
        .args(["-c", "printf '%s' \"$2\" > \"$1\" && chmod 755 \"$1\"", "sh"])
        .arg(&path)
        .arg(text);
    assert!(shell.status().unwrap().success());
    path
}

/// A wall of 2 x 1 pixels that shows what the program sends.
pub fn showing(looped: bool) -> Showing {
    Showing {
        input: Input::file(Path::new("harbour.mkv")),
        from: Duration::ZERO,
        looped,
        laying: Sizing::Fill.into(),
        wall: (2, 1),
        tick: Duration::from_millis(20),
    }
}

pub fn start(program: &Path, showing: &Showing) -> Film {
    let ffmpeg = Ffmpeg::at(program).with_patience(CALM);
    Film::start(&ffmpeg, showing).unwrap()
}

/// Waits until it goes like this with a film; a minute is long enough for any machine.
pub fn until(film: &Film, like: impl Fn(&Condition) -> bool) -> Condition {
    let start = Instant::now();
    loop {
        let condition = film.condition();
        if like(&condition) {
            return condition;
        }
        assert!(start.elapsed() < Duration::from_secs(20), "{condition:?}");
        std::thread::sleep(Duration::from_millis(2));
    }
}

pub fn blank() -> LinearFrame {
    LinearFrame::new(2, 1)
}

/// Whether a process is there, zombies too. Only where the system tells by a file.
pub fn is_there(process: u32) -> bool {
    Path::new(&format!("/proc/{process}")).exists()
}

/// The real program, for checks against it; says why not where they are left out.
pub fn real(what: &str) -> Option<Ffmpeg> {
    let ffmpeg = Ffmpeg::default();
    let there = Command::new("ffmpeg")
        .arg("-version")
        .stdin(Stdio::null())
        .output()
        .is_ok_and(|output| output.status.success());
    if there {
        return Some(ffmpeg);
    }
    let required = std::env::var_os("GLOWLOOM_OUTSIDE").is_some_and(|value| value == "required");
    assert!(!required, "{what}: ffmpeg is not there, and outside checks are required");
    #[allow(clippy::print_stderr, reason = "whoever runs the tests is told")]
    {
        eprintln!("left out, {what}: ffmpeg is not there");
    }
    None
}
