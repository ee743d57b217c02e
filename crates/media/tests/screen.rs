//! Screens and windows of a display that is in memory only (Xvfb), painted by a few requests of the X11
//! protocol, and seen through ffmpeg.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::io::{BufRead, BufReader, Read, Write};
use std::os::unix::net::UnixStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use glowloom_media::{Film, Input, Platform, Screen, Showing, Window};
use glowloom_show::{LinearFrame, Sizing, Source, srgb};
use support::real;

/// A display in memory; `None`, with a word, where there is none to be had.
struct Display {
    server: Child,
    name: String,
}

impl Display {
    fn open() -> Option<Self> {
        let server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "320x240x24", "-nolisten", "tcp", "-ac"])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn();
        let Ok(mut server) = server else {
            let required = std::env::var_os("GLOWLOOM_OUTSIDE").is_some_and(|v| v == "required");
            assert!(!required, "Xvfb is not there, and outside checks are required");
            #[allow(clippy::print_stderr, reason = "whoever runs the tests is told")]
            {
                eprintln!("left out, the screen: Xvfb is not there");
            }
            return None;
        };
        let mut number = String::new();
        BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
        Some(Self { server, name: format!(":{}", number.trim()) })
    }
}

impl Drop for Display {
    fn drop(&mut self) {
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// Someone who paints on it: requests of the X Window System protocol, version 11.
struct Painter {
    socket: UnixStream,
    base: u32,
    root: u32,
    made: u32,
}

fn bytes(words: &[u32]) -> Vec<u8> {
    words.iter().flat_map(|word| word.to_le_bytes()).collect()
}

fn both(low: u16, high: u16) -> u32 {
    u32::from(low) | u32::from(high) << 16
}

impl Painter {
    fn at(display: &Display) -> Self {
        let path = format!("/tmp/.X11-unix/X{}", display.name.trim_start_matches(':'));
        let mut socket = UnixStream::connect(path).unwrap();
        // Little-endian, version 11.0, no names, no data.
        socket.write_all(&[b'l', 0, 11, 0, 0, 0, 0, 0, 0, 0, 0, 0]).unwrap();
        let mut head = [0; 8];
        socket.read_exact(&mut head).unwrap();
        assert_eq!(head[0], 1, "the display lets us in");
        let mut setup = vec![0; usize::from(u16::from_le_bytes([head[6], head[7]])) * 4];
        socket.read_exact(&mut setup).unwrap();
        let word = |at: usize| u32::from_le_bytes(setup[at..at + 4].try_into().unwrap());
        let vendor = usize::from(u16::from_le_bytes([setup[16], setup[17]]));
        let first_screen = 32 + vendor.div_ceil(4) * 4 + usize::from(setup[21]) * 8;
        Self { base: word(4), root: word(first_screen), socket, made: 0 }
    }

    fn name(&mut self) -> u32 {
        self.made += 1;
        self.base + self.made
    }

    /// Fills a rectangle of the root window.
    fn fill(&mut self, colour: u32, (x, y): (u16, u16), (width, height): (u16, u16)) {
        let (context, root) = (self.name(), self.root);
        // CreateGC with a foreground, PolyFillRectangle.
        let mut request = bytes(&[both(55, 5), context, root, 4, colour]);
        request.extend(bytes(&[both(70, 5), root, context, both(x, y), both(width, height)]));
        self.socket.write_all(&request).unwrap();
        self.wait();
    }

    /// A window of one colour. Its number.
    fn window(&mut self, colour: u32, (x, y): (u16, u16), (width, height): (u16, u16)) -> u32 {
        let (window, root) = (self.name(), self.root);
        // CreateWindow of its parent's depth and class, with a background; MapWindow.
        let place = [both(x, y), both(width, height), both(0, 1), 0, 2, colour];
        let mut request = bytes(&[both(1, 9), window, root]);
        request.extend(bytes(&place));
        request.extend(bytes(&[both(8, 2), window]));
        self.socket.write_all(&request).unwrap();
        self.wait();
        window
    }

    /// Until all has been done: GetInputFocus is answered after what came before it.
    fn wait(&mut self) {
        self.socket.write_all(&bytes(&[both(43, 1)])).unwrap();
        let mut answer = [0; 32];
        loop {
            self.socket.read_exact(&mut answer).unwrap();
            assert_ne!(answer[0], 0, "error {} of the display", answer[1]);
            if answer[0] == 1 {
                return;
            }
        }
    }
}

/// Waits until all of the wall has this colour.
fn shows(film: &mut Film, colour: u32) {
    let [_, red, green, blue] = colour.to_be_bytes();
    let wanted = [red, green, blue].map(srgb::linear);
    let mut frame = LinearFrame::new(8, 4);
    let start = Instant::now();
    loop {
        let drawn = film.draw(start.elapsed(), &mut frame);
        if frame.values().as_chunks::<3>().0.iter().all(|pixel| *pixel == wanted) {
            return;
        }
        assert!(start.elapsed() < Duration::from_secs(60), "{drawn:?} {:?}", frame.pixel(0, 0));
        std::thread::sleep(Duration::from_millis(5));
    }
}

fn film(input: Input) -> Showing {
    Showing {
        input,
        from: Duration::ZERO,
        looped: true,
        laying: Sizing::Stretch.into(),
        wall: (8, 4),
        tick: Duration::from_millis(20),
    }
}

#[test]
fn a_part_of_the_screen_and_a_window_are_seen() {
    let Some(ffmpeg) = real("the screen") else { return };
    let Some(display) = Display::open() else { return };
    let platform = Platform::Linux { display: Some(display.name.clone()) };
    let mut painter = Painter::at(&display);
    painter.fill(0x0000_00FF, (0, 0), (320, 240));
    painter.fill(0x00FF_8000, (10, 20), (40, 20));
    let whole = Screen { name: None, at: (0, 0), size: None, rate: 25.0, pointer: false };
    let part = Screen { at: (10, 20), size: Some((40, 20)), ..whole.clone() };
    let mut part = Film::start(&ffmpeg, &film(part.input(&platform).unwrap())).unwrap();
    shows(&mut part, 0x00FF_8000);
    // What moves is seen.
    painter.fill(0x0010_C040, (10, 20), (40, 20));
    shows(&mut part, 0x0010_C040);
    let window = painter.window(0x00C0_1020, (100, 100), (64, 48));
    let window = Window { name: format!("{window:#x}"), rate: 25.0, pointer: false };
    let mut window = Film::start(&ffmpeg, &film(window.input(&platform).unwrap())).unwrap();
    shows(&mut window, 0x00C0_1020);
    painter.fill(0x0080_8080, (0, 0), (320, 240));
    painter.window(0x0080_8080, (0, 0), (320, 240));
    let mut whole = Film::start(&ffmpeg, &film(whole.input(&platform).unwrap())).unwrap();
    shows(&mut whole, 0x0080_8080);
    // A screen that goes away: the last picture stays. (ffmpeg 5.1 goes on with it and says nothing.)
    drop(display);
    std::thread::sleep(Duration::from_millis(200));
    shows(&mut whole, 0x0080_8080);
}

/// A display that is not there is told in ffmpeg's own words.
#[test]
fn no_screen_is_told() {
    let Some(ffmpeg) = real("no screen") else { return };
    let platform = Platform::Linux { display: Some(":32000".into()) };
    let screen = Screen { name: None, at: (0, 0), size: None, rate: 25.0, pointer: true };
    let film = Film::start(&ffmpeg, &film(screen.input(&platform).unwrap())).unwrap();
    let why = film.first(Duration::from_secs(60)).unwrap_err();
    assert!(why.starts_with("the screen: ffmpeg ended with code 1: "), "{why}");
    assert!(why.contains(":32000"), "{why}");
}
