//! Pipes in which frames come in time, late, broken, or not at all.

use std::io;
use std::sync::mpsc;

use super::*;
use crate::FramesPerSecond;

const SIZE: (u32, u32) = (3, 2);
const BYTES: usize = 18;

fn ms(ms: u64) -> Duration {
    Duration::from_millis(ms)
}

fn rate(fps: f64) -> Rate {
    Rate::new(FramesPerSecond(fps)).unwrap()
}

/// Waits until the reader has read as far as it can.
fn until(piped: &Piped, what: impl Fn(&State) -> bool) {
    for _ in 0..2000 {
        if what(&piped.pipe.lock()) {
            return;
        }
        thread::sleep(ms(1));
    }
    panic!("the reader is stuck");
}

/// Frames whose bytes are all 10, 11, 12 and so on, and then some bytes more.
fn frames(count: u8, more: usize) -> Vec<u8> {
    let mut bytes: Vec<u8> = (0..count).flat_map(|n| [10 + n; BYTES]).collect();
    bytes.extend(vec![255; more]);
    bytes
}

/// What is shown, as the sRGB code that all of it has.
fn code(frame: &LinearFrame) -> u8 {
    let codes = frame.to_rgb8();
    assert!(codes.iter().all(|code| *code == codes[0]), "{codes:?}");
    codes[0]
}

/// A pipe that a test writes to, piece by piece.
struct Pieces(mpsc::Receiver<Vec<u8>>);

impl Read for Pieces {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let Ok(piece) = self.0.recv() else { return Ok(0) };
        assert!(piece.len() <= into.len(), "a test writes less than is asked for");
        into[..piece.len()].copy_from_slice(&piece);
        Ok(piece.len())
    }
}

/// At the wall's own rate every frame is seen once, whatever nanoseconds are rounded away.
#[test]
fn every_frame_is_shown_at_its_time() {
    for fps in [24.0, 25.0, 29.97, 30.0, 59.94, 60.0] {
        let rate = rate(fps);
        let mut piped = Piped::start(io::Cursor::new(frames(200, 0)), SIZE, rate).unwrap();
        let mut frame = LinearFrame::new(3, 2);
        for n in 0..200 {
            until(&piped, |state| !state.ready.is_empty());
            // The show has run for a while when the source begins.
            let at = rate.time_of(n + 7) - rate.time_of(7);
            assert_eq!(piped.draw(at, &mut frame), Ok(Drawn::New), "{n}");
            assert_eq!(u64::from(code(&frame)), 10 + n, "{fps}");
        }
    }
}

/// Ten frames a second on a wall of thirty: each stays for three.
#[test]
fn a_slower_rate_keeps_its_pace() {
    let mut piped = Piped::start(io::Cursor::new(frames(5, 0)), SIZE, rate(10.0)).unwrap();
    let (wall, mut frame) = (rate(30.0), LinearFrame::new(3, 2));
    let shown: Vec<u8> = (0..15)
        .map(|n| {
            until(&piped, |state| !state.ready.is_empty() || state.end.is_some());
            piped.draw(wall.time_of(n), &mut frame).unwrap();
            code(&frame)
        })
        .collect();
    assert_eq!(shown, [10, 10, 10, 11, 11, 11, 12, 12, 12, 13, 13, 13, 14, 14, 14]);
}

/// Frames whose time is past are passed over, as many as are there.
#[test]
fn a_late_show_passes_frames_over() {
    let mut piped = Piped::start(io::Cursor::new(frames(9, 0)), SIZE, rate(10.0)).unwrap();
    let mut frame = LinearFrame::new(3, 2);
    let mut at = |time| {
        until(&piped, |state| state.ready.len() == AHEAD);
        piped.draw(ms(time), &mut frame).unwrap();
        code(&frame)
    };
    assert_eq!([0, 50, 300].map(&mut at), [10, 10, 13]);
}

#[test]
fn a_short_end_is_left_out_and_the_last_frame_stays() {
    for more in [0, 1, 17] {
        let mut piped = Piped::start(io::Cursor::new(frames(2, more)), SIZE, rate(10.0)).unwrap();
        let mut frame = LinearFrame::new(3, 2);
        until(&piped, |state| state.end.is_some());
        assert_eq!(piped.draw(ms(0), &mut frame), Ok(Drawn::New));
        assert_eq!(piped.draw(ms(100), &mut frame), Ok(Drawn::New));
        for time in [200, 9000] {
            assert_eq!(piped.draw(ms(time), &mut frame), Ok(Drawn::Ended));
            assert_eq!(code(&frame), 11);
        }
        // A blank frame gets it again.
        frame.clear();
        piped.draw(ms(9100), &mut frame).unwrap();
        assert_eq!(code(&frame), 11);
    }
}

/// A frame in two pieces with a pause; then a long pause, after which the pace begins anew.
#[test]
fn a_stall_keeps_the_last_frame() {
    let (write, pieces) = mpsc::channel();
    let mut piped = Piped::start(Pieces(pieces), SIZE, rate(10.0)).unwrap();
    let mut frame = LinearFrame::new(3, 2);
    write.send(vec![40; BYTES]).unwrap();
    until(&piped, |state| !state.ready.is_empty());
    assert_eq!(piped.draw(ms(0), &mut frame), Ok(Drawn::New));
    write.send(vec![41; 5]).unwrap();
    until(&piped, |state| state.begun == 5);
    for time in [100, 1000, 60_000] {
        assert_eq!(piped.draw(ms(time), &mut frame), Ok(Drawn::Same));
        assert_eq!(code(&frame), 40);
    }
    write.send(vec![41; 13]).unwrap();
    write.send(vec![42; BYTES]).unwrap();
    until(&piped, |state| state.ready.len() == 2);
    let mut at = |time| {
        piped.draw(ms(time), &mut frame).unwrap();
        code(&frame)
    };
    // Both are overdue: the newer one is shown, and the next is due after a tenth of a second.
    assert_eq!(at(60_100), 42);
    write.send(vec![43; BYTES]).unwrap();
    until(&piped, |state| !state.ready.is_empty());
    let mut at = |time| {
        piped.draw(ms(time), &mut frame).unwrap();
        code(&frame)
    };
    assert_eq!([60_150, 60_200].map(&mut at), [42, 43]);
}

#[test]
fn what_is_no_frame_is_told() {
    let told = |piped: &mut Piped, time| {
        let mut frame = LinearFrame::new(3, 2);
        let said = piped.draw(ms(time), &mut frame).map_err(|error| error.to_string());
        assert!(!frame.is_blank(), "black is drawn all the same");
        said
    };
    let mut short = Piped::start(io::Cursor::new(vec![1; 17]), SIZE, rate(10.0)).unwrap();
    until(&short, |state| state.end.is_some());
    assert_eq!(
        told(&mut short, 0).unwrap_err(),
        "the frames ended after 17 bytes, before a whole one; a frame of this wall has 18: 3 x 2 pixels of \
         red, green, blue"
    );
    let (write, pieces) = mpsc::channel();
    let mut silent = Piped::start(Pieces(pieces), SIZE, rate(10.0)).unwrap();
    assert_eq!(told(&mut silent, 1999), Ok(Drawn::Same));
    assert!(
        told(&mut silent, 2000)
            .unwrap_err()
            .starts_with("no whole frame has come yet, 0 bytes so far")
    );
    write.send(vec![7; BYTES]).unwrap();
    until(&silent, |state| !state.ready.is_empty());
    assert_eq!(told(&mut silent, 2100), Ok(Drawn::New));
}

/// An error of the system; before it, one that only asks to try again.
struct Broken(u8);

impl Read for Broken {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.0 += 1;
        match self.0 {
            1 => Err(io::Error::from(ErrorKind::Interrupted)),
            2 => {
                into.fill(9);
                Ok(into.len())
            }
            _ => Err(io::Error::other("the cable fell out")),
        }
    }
}

#[test]
fn a_read_that_fails_is_told_and_the_last_frame_stays() {
    let mut piped = Piped::start(Broken(0), SIZE, rate(10.0)).unwrap();
    let mut frame = LinearFrame::new(3, 2);
    until(&piped, |state| state.end.is_some());
    let error = piped.draw(ms(0), &mut frame).unwrap_err();
    assert_eq!(
        error.to_string(),
        "frames can be read no more: the cable fell out; the last one stays"
    );
    assert_eq!(code(&frame), 9);
}

/// A program that writes as fast as it can is held back.
#[test]
fn only_a_few_frames_are_read_ahead() {
    let piped = Piped::start(io::repeat(5), SIZE, rate(10.0)).unwrap();
    until(&piped, |state| state.ready.len() == AHEAD && state.free.is_empty());
    let pipe = Arc::clone(&piped.pipe);
    drop(piped);
    for _ in 0..2000 {
        if Arc::strong_count(&pipe) == 1 {
            return;
        }
        thread::sleep(ms(1));
    }
    panic!("the reader does not end");
}
