//! The receiver's project as it is written: compiled for every board, against headers of our own that declare
//! what the glue uses of the maker's kit. It shows that the project is whole and agrees with itself.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::process::Command;

use glowloom_book::Document;
use glowloom_book::receiver::{Project, documents};
use glowloom_design::Wall;
use glowloom_tests::checkers::can;

fn wall(receiver: &str) -> Wall {
    let text = format!(
        "format = 1\n[wall]\nname = \"Tide \\\"wall\\\" \u{e9}7\"\ncolumns = 4\nrows = 4\n[strip]\n\
         part = \"sk6812-rgbw-30\"\n[panel]\ncolumns = 2\nrows = 4\n[[panels]]\nname = \"a\"\nat = [0, 0]\n\
         [[panels]]\nname = \"b\"\nat = [2, 0]\n[receiver]\n{receiver}\n"
    );
    glowloom_design::read(text.as_bytes()).unwrap()
}

fn text_of(documents: &[Document<'_>], path: &str) -> String {
    let document = documents.iter().find(|document| document.path() == path).unwrap();
    let mut bytes = Vec::new();
    document.write(&mut bytes).unwrap();
    String::from_utf8(bytes).unwrap()
}

#[test]
fn the_project_compiles_for_every_board() {
    if !can("the compiler of the receiver's project", &[], &["g++"]) {
        return;
    }
    let sdk = glowloom_tests::at("receiver/boards/sdk");
    for (board, link, switches) in [
        ("esp8266", "wifi", &["-DGLOWLOOM_ESP8266"][..]),
        ("esp32", "wifi", &["-DGLOWLOOM_ESP32"]),
        ("esp32-ethernet", "ethernet", &["-DGLOWLOOM_ESP32", "-DGLOWLOOM_ETHERNET"]),
    ] {
        let wall = wall(&format!("board = \"{board}\"\nlink = \"{link}\""));
        let patch = glowloom_plan::patch(&wall).unwrap();
        let documents = documents(Project { wall: &wall, patch: &patch, key: Some(&[1; 32]) }, "");
        let folder = tempfile::tempdir().unwrap();
        for document in &documents {
            let path = folder.path().join(document.path());
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            document.write(&mut std::fs::File::create(path).unwrap()).unwrap();
        }
        let list = text_of(&documents, "main/CMakeLists.txt");
        for switch in switches {
            assert!(list.contains(&switch[2..]), "{switch} for {board}");
        }
        let sources = list.lines().filter_map(|line| line.trim().strip_prefix("\"../"));
        let sources: Vec<_> =
            sources.map(|line| folder.path().join(line.trim_end_matches('"'))).collect();
        assert!(sources.len() > 15);
        let compiled = Command::new("g++")
            .args([
                "-std=c++17",
                "-fsyntax-only",
                "-fno-exceptions",
                "-fno-rtti",
                "-Wall",
                "-Wextra",
                "-Werror",
            ])
            .arg("-I")
            .arg(folder.path().join("main"))
            .arg("-I")
            .arg(&sdk)
            .args(switches)
            .args(sources)
            .output()
            .unwrap();
        assert!(
            compiled.status.success(),
            "{board}: {}",
            String::from_utf8_lossy(&compiled.stderr)
        );
    }
}
