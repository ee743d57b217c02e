//! Words and pictures from a small server, drawn as they come.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

use glowloom_show::{Sizing, png};

use super::*;
use crate::fetch::WebAddress;
use crate::fetch::testing::{Answer, Server};

const WALL: (u32, u32) = (40, 8);

fn place(address: &str) -> Place {
    Place::Web(WebAddress::new(address).unwrap())
}

fn words(server: &Server, path: &str, every: Duration) -> Words {
    let template = Template::new("{/t}").unwrap();
    Words::start(place(&server.address(path)), every, template, TextStyle::default(), WALL).unwrap()
}

/// What a text by itself looks like.
fn alone(text: &str, light: f64) -> Vec<u16> {
    let value = (65_535.0 * light) as u16;
    let style = TextStyle { colour: Light([value; 3]), ..TextStyle::default() };
    let mut frame = LinearFrame::new(WALL.0, WALL.1);
    Text::new(text, style, WALL).unwrap().draw(Duration::ZERO, &mut frame).unwrap();
    frame.values().to_vec()
}

/// Draws through a frame that is lent again and again until it is as wanted; gives the last answer.
fn until(
    what: &str,
    source: &mut dyn Source,
    mut is: impl FnMut(&LinearFrame, &Result<Drawn, SourceError>) -> bool,
) {
    let mut frame = LinearFrame::new(WALL.0, WALL.1);
    let patience = Instant::now() + Duration::from_secs(20);
    loop {
        let drawn = source.draw(Duration::ZERO, &mut frame);
        if is(&frame, &drawn) {
            return;
        }
        assert!(Instant::now() < patience, "{what}: {drawn:?}");
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// What a server answers with, as the test goes on: one end for each.
fn stages() -> (Arc<AtomicUsize>, Arc<AtomicUsize>) {
    let stage = Arc::new(AtomicUsize::new(0));
    (Arc::clone(&stage), stage)
}

#[test]
fn words_change_with_the_data_and_dim_when_these_are_stale() {
    let (stage, told) = stages();
    let server = Server::start("127.0.0.1", move |_| match told.load(Ordering::SeqCst) {
        0 => Answer::whole(br#"{"t": 17.5}"#),
        1 => Answer::whole(br#"{"t": 18}"#),
        _ => Answer::whole(br#"{"u": 19}"#),
    });
    let words = words(&server, "/", Duration::from_millis(50));
    let mut source = words.source();
    let (first, second) = (alone("17.5", 1.0), alone("18", 1.0));
    until("the first come", &mut *source, |frame, drawn| {
        // Nothing is drawn before, and nothing is wrong.
        assert!(drawn.is_ok());
        frame.values() == first
    });
    stage.store(1, Ordering::SeqCst);
    until("then others", &mut *source, |frame, _| frame.values() == second);
    stage.store(2, Ordering::SeqCst);
    let stale = alone("18", STALE);
    until("then they are stale", &mut *source, |frame, drawn| {
        let told = drawn.as_ref().err().map(ToString::to_string);
        let wanted = "the data have nothing at /t; the last words stay, dimmed";
        frame.values() == stale && told.as_deref() == Some(wanted)
    });
    // Another turn of the same words begins as they are now.
    let mut frame = LinearFrame::new(WALL.0, WALL.1);
    assert!(words.source().draw(Duration::ZERO, &mut frame).is_err());
    assert_eq!(frame.values(), stale);
}

#[test]
fn no_words_are_no_frame() {
    let server = Server::start("127.0.0.1", |path| match path {
        "/silent" => Answer::Silent,
        _ => Answer::whole(b"<html>"),
    });
    let mut frame = LinearFrame::new(WALL.0, WALL.1);
    let silent = words(&server, "/silent", Duration::from_secs(60));
    assert_eq!(silent.source().draw(Duration::ZERO, &mut frame), Ok(Drawn::Same));
    assert!(frame.is_blank());
    let broken = words(&server, "/html", Duration::from_secs(60));
    until("it is told", &mut *broken.source(), |frame, drawn| {
        assert!(frame.values().iter().all(|&value| value == 0));
        let told = drawn.as_ref().err().map(ToString::to_string);
        told.is_some_and(|told| told.starts_with("the data are no JSON"))
    });
}

#[test]
fn letters_that_the_faces_lack_are_marked() {
    let server = Server::start("127.0.0.1", |_| Answer::whole("{\"t\": \"a\u{2603}\"}".as_bytes()));
    let wanted = alone("a?", 1.0);
    let words = words(&server, "/", Duration::from_secs(60));
    until("it is read", &mut *words.source(), |frame, _| frame.values() == wanted);
}

#[test]
fn a_picture_is_found_by_its_address_in_data() {
    let red = png::encode_rgb8(4, 2, &[255, 0, 0].repeat(8)).unwrap();
    let (stage, told) = stages();
    let server = Server::start("127.0.0.1", move |path| match path {
        "/red.png" => Answer::whole(&red),
        "/no.png" => Answer::whole(b"no picture at all"),
        _ => match told.load(Ordering::SeqCst) {
            0 => Answer::whole(br#"{"now": {"cover": "/red.png"}}"#),
            _ => Answer::whole(br#"{"now": {"cover": "/no.png"}}"#),
        },
    });
    let laying = Laying::from(Sizing::Stretch);
    let pointer = Pointer::new("/now/cover").unwrap();
    let every = Duration::from_millis(100);
    let cover = Cover::start(place(&server.address("/")), every, pointer, laying, WALL).unwrap();
    let mut source = cover.source();
    let is_red = |frame: &LinearFrame| {
        frame.values().as_chunks::<3>().0.iter().all(|p| *p == [65_535, 0, 0])
    };
    until("it comes", &mut *source, |frame, drawn| is_red(frame) && drawn.is_ok());
    stage.store(1, Ordering::SeqCst);
    until("it stays", &mut *source, |frame, drawn| {
        is_red(frame)
            && drawn.as_ref().is_err_and(|why| why.to_string().ends_with("the last picture stays"))
    });
}
