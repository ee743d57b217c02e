//! `glowloom status`, and `glowloom show` with light from other senders.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::net::UdpSocket;
use std::process::Stdio;
use std::time::{Duration, Instant};

use support::{ends, program, text};
use tempfile::TempDir;

/// A wall of two panels at loopback addresses of their own, so that tests do not meet.
fn folder_with_wall(host: u8) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let wall = format!(
        "format = 1\n[wall]\nname = \"Jetty\"\ncolumns = 12\nrows = 6\n[strip]\npart = \"ws2812b-30\"\n\
         [panel]\ncolumns = 6\nrows = 6\n\
         [[panels]]\nname = \"a\"\nat = [0, 0]\naddress = \"127.0.0.{host}\"\n\
         [[panels]]\nname = \"b\"\nat = [6, 0]\naddress = \"127.0.0.{}\"\n\
         [power]\nfeeds = 6\n\
         [receiver]\nboard = \"esp32-ethernet\"\nlink = \"ethernet\"\nprotocol = \"ddp\"\n",
        host + 1
    );
    std::fs::write(folder.path().join("wall.toml"), wall).unwrap();
    folder
}

/// Waits until `status` ends with this code, and gives what it says.
fn until_code(folder: &TempDir, code: i32) -> String {
    let start = Instant::now();
    loop {
        let output = program(folder.path(), &["status", "wall.toml"]).output().unwrap();
        if output.status.code() == Some(code) {
            return text(&output.stdout);
        }
        assert!(start.elapsed() < Duration::from_secs(20), "{}", text(&output.stdout));
        std::thread::sleep(Duration::from_millis(100));
    }
}

#[test]
fn status_tells_of_a_show_while_it_plays() {
    let folder = folder_with_wall(101);
    let at = folder.path();
    let (said, _) = ends(1, at, &["status", "wall.toml"]);
    assert_eq!(said, "Jetty: nothing plays on it\n");
    let (said, _) = ends(1, at, &["status", "wall.toml", "--json"]);
    assert_eq!(said, "null\n");
    let start = |arguments: &[&str]| {
        let mut command = program(at, arguments);
        command.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap()
    };
    let mut panels = start(&["panels", "wall.toml", "--for", "30s"]);
    let mut show = start(&["show", "wall.toml", "drift", "--for", "30s"]);
    let said = until_code(&folder, 0);
    assert!(said.starts_with("Jetty: playing for "), "{said}");
    for panel in ["a  well     127.0.0.101:4048", "b  well     127.0.0.102:4048"] {
        assert!(said.contains(panel), "{said}");
    }
    let (said, _) = ends(0, at, &["status", "wall.toml", "--json"]);
    let told: serde_json::Value = serde_json::from_str(&said).unwrap();
    assert_eq!((&told["format"], &told["wall"]), (&1.into(), &"Jetty".into()));
    assert_eq!(told["process"], show.id());
    // Another show of the wall waits for the first.
    let (_, said) = ends(0, at, &["show", "wall.toml", "drift", "--for", "0s"]);
    assert!(said.contains(&format!("process {} plays this wall already", show.id())), "{said}");
    // A panel that is gone.
    panels.kill().unwrap();
    panels.wait().unwrap();
    let said = until_code(&folder, 1);
    assert!(said.contains("a  FAILING") && said.contains("refused"), "{said}");
    // A show that ends without a word is not believed for long.
    show.kill().unwrap();
    show.wait().unwrap();
    let start = Instant::now();
    while until_code(&folder, 1) != "Jetty: nothing plays on it\n" {
        assert!(start.elapsed() < Duration::from_secs(20));
        std::thread::sleep(Duration::from_millis(100));
    }
    // One that ends as it should leaves nothing behind.
    ends(0, at, &["show", "wall.toml", "drift", "--for", "1s"]);
    let left = std::fs::read_dir(at.join("run/glowloom")).unwrap();
    let left: Vec<_> = left.map(|entry| entry.unwrap().path()).collect();
    assert!(left.iter().all(|path| path.extension().unwrap() == "lock"), "{left:?}");
}

#[test]
fn other_senders_are_listened_to_by_the_name_of_their_protocol() {
    let folder = folder_with_wall(111);
    let at = folder.path();
    let port = UdpSocket::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    let listen = format!("127.0.0.1:{port}");
    let show = program(at, &["show", "wall.toml", "ddp", "--listen", &listen, "--for", "3s"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let sender = UdpSocket::bind("127.0.0.1:0").unwrap();
    let over = Instant::now() + Duration::from_secs(2);
    while Instant::now() < over {
        // Push, RGB, one pixel (the specification of DDP); it may not be listening yet.
        let _ = sender.send_to(b"\x41\x00\x0b\x01\x00\x00\x00\x00\x00\x03\x09\x09\x09", &listen);
        std::thread::sleep(Duration::from_millis(50));
    }
    let output = show.wait_with_output().unwrap();
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{err}");
    let from = sender.local_addr().unwrap();
    assert!(err.contains(&format!("ddp: showing {from}")), "{err}");
    let line = out.lines().find(|line| line.starts_with("ddp in: live, ")).unwrap();
    assert!(!line.contains("wrong") && !line.contains("live, 0 frames"), "{line}");
}

#[test]
fn what_cannot_be_listened_to_ends_with_2() {
    let folder = folder_with_wall(121);
    let at = folder.path();
    let (_, said) = ends(2, at, &["show", "wall.toml", "ddp", "--listen", "here"]);
    assert!(said.contains("--listen here is no address"), "{said}");
    let holder = UdpSocket::bind("127.0.0.1:0").unwrap();
    let held = holder.local_addr().unwrap().to_string();
    let (_, said) = ends(2, at, &["show", "wall.toml", "ddp", "--listen", &held]);
    assert!(said.contains("cannot listen on port"), "{said}");
    let far =
        ["show", "wall.toml", "art-net", "--listen", "127.0.0.1:0", "--first-universe", "40000"];
    let (_, said) = ends(2, at, &far);
    assert!(said.contains("the last is 32767"), "{said}");
    // A plan's picture is a file, whatever its name.
    let (_, said) = ends(2, at, &["plan", "wall.toml", "--picture", "ddp"]);
    assert!(said.contains("cannot read ddp"), "{said}");
}
