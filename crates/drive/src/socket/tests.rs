//! Frames sent over a real WebSocket, by a client of the same library and by bytes of the standard.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};

use tungstenite::client::IntoClientRequest;
use tungstenite::stream::MaybeTlsStream;
use tungstenite::{Message, WebSocket};

use super::*;
use crate::FramesPerSecond;

type Client = WebSocket<MaybeTlsStream<TcpStream>>;

fn open() -> (Arc<Hall>, Listener) {
    let hall = Hall::new((2, 1), FramesPerSecond(25.0));
    let at = SocketAddr::from(([127, 0, 0, 1], 0));
    let listener = Listener::open(Arc::clone(&hall), at, Vec::new()).unwrap();
    (hall, listener)
}

fn client(listener: &Listener) -> Client {
    tungstenite::connect(format!("ws://{}/", listener.at())).unwrap().0
}

fn text(client: &mut Client) -> String {
    match client.read().unwrap() {
        Message::Text(text) => text.to_string(),
        other => panic!("{other:?}"),
    }
}

fn until(what: &str, mut is: impl FnMut() -> bool) {
    let patience = Instant::now() + Duration::from_secs(20);
    while !is() {
        assert!(Instant::now() < patience, "{what}");
        std::thread::sleep(Duration::from_millis(2));
    }
}

#[test]
fn a_frame_that_is_sent_is_drawn() {
    let (hall, listener) = open();
    let mut client = client(&listener);
    assert_eq!(text(&mut client), "hello 1 2 1 25");
    let mut source = hall.source();
    let mut frame = LinearFrame::new(2, 1);
    assert_eq!(source.draw(Duration::ZERO, &mut frame), Ok(Drawn::Same));
    assert!(frame.is_blank());
    client.send(Message::binary(vec![255, 0, 128, 0, 255, 0])).unwrap();
    assert_eq!(text(&mut client), "turn yes");
    assert_eq!(source.draw(Duration::ZERO, &mut frame), Ok(Drawn::New));
    assert_eq!(frame.values(), [65_535, 0, 14_146, 0, 65_535, 0]);
    assert_eq!(source.draw(Duration::ZERO, &mut frame), Ok(Drawn::Same));
    // Who goes leaves the last frame, and that is told; another may go on.
    client.close(None).unwrap();
    until("it has gone", || !hall.is_sent_to(Instant::now()));
    frame.values_mut().fill(7);
    let told = source.draw(Duration::ZERO, &mut frame).unwrap_err().to_string();
    assert_eq!(told, "nobody sends frames any more; the last one stays");
    assert_eq!(frame.values()[0], 65_535);
}

#[test]
fn a_frame_of_another_size_ends_the_connection_with_a_word() {
    for wrong in [5, 7, 100_000] {
        let (hall, listener) = open();
        let mut client = client(&listener);
        text(&mut client);
        // A long one may be broken off in the middle.
        let _ = client.send(Message::binary(vec![0; wrong]));
        if wrong < 100 {
            assert!(text(&mut client).starts_with(&format!("wrong a frame has {wrong} bytes")));
        }
        until("it is closed", || client.read().is_err());
        assert_eq!(hall.version(), 0);
    }
}

#[test]
fn pages_from_elsewhere_are_refused() {
    let (_hall, listener) = open();
    for (origin, may) in
        [("http://example.net", false), ("null", false), ("http://localhost:8000", true)]
    {
        let mut request = format!("ws://{}/", listener.at()).into_client_request().unwrap();
        request.headers_mut().insert("Origin", origin.parse().unwrap());
        match tungstenite::connect(request) {
            Ok((mut client, _)) => {
                assert!(may, "{origin}");
                assert_eq!(text(&mut client), "hello 1 2 1 25");
            }
            Err(tungstenite::Error::Http(response)) => {
                assert!(!may, "{origin}");
                assert_eq!(response.status(), 403);
            }
            Err(other) => panic!("{origin}: {other}"),
        }
    }
}

/// By hand: the handshake whose answer RFC 6455 gives (1.3), then a frame with its mask (5.2).
#[test]
fn the_bytes_are_those_of_the_standard() {
    let (hall, listener) = open();
    let mut stream = TcpStream::connect(listener.at()).unwrap();
    let request = format!(
        "GET / HTTP/1.1\r\nHost: {}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\
         Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nSec-WebSocket-Version: 13\r\n\r\n",
        listener.at()
    );
    stream.write_all(request.as_bytes()).unwrap();
    let (mut head, mut byte) = (Vec::new(), [0]);
    while !head.ends_with(b"\r\n\r\n") {
        stream.read_exact(&mut byte).unwrap();
        head.extend(byte);
    }
    let head = String::from_utf8(head).unwrap();
    assert!(head.starts_with("HTTP/1.1 101 "), "{head}");
    assert!(head.contains("s3pPLMBiTxaQ9kYGzzhZRbK+xOo="), "{head}");
    let mut hello = [0; 2 + 14];
    stream.read_exact(&mut hello).unwrap();
    assert_eq!((hello[0], hello[1], &hello[2..]), (0x81, 14, &b"hello 1 2 1 25"[..]));
    let mask = [0x37, 0xfa, 0x21, 0x3d];
    let frame: Vec<u8> =
        (1..=6u8).zip(mask.iter().cycle()).map(|(value, mask)| value ^ mask).collect();
    stream.write_all(&[&[0x82, 0x86][..], &mask, &frame].concat()).unwrap();
    until("it came", || hall.version() == 1);
    hall.frame(|frame| assert_eq!(frame, [1, 2, 3, 4, 5, 6]));
    // One without a mask is against the standard: the connection fails.
    stream.write_all(&[0x82, 0x06, 1, 1, 1, 1, 1, 1]).unwrap();
    let mut rest = Vec::new();
    stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    let _ = stream.read_to_end(&mut rest);
    assert_eq!(hall.version(), 1);
}

#[test]
fn guests_are_told_when_the_show_is_over() {
    let (_hall, listener) = open();
    let mut client = client(&listener);
    text(&mut client);
    drop(listener);
    assert_eq!(text(&mut client), "wrong the show is over");
}
