//! The project is whole, and compiles where there is a compiler.

use std::path::Path;

use super::*;

fn wall(receiver: &str) -> Wall {
    let text = format!(
        "format = 1\n[wall]\nname = \"Tide \\\"wall\\\" \u{e9}7\"\ncolumns = 4\nrows = 4\n[strip]\npart = \"sk6812-rgbw-30\"\n\
         [panel]\ncolumns = 2\nrows = 4\n[[panels]]\nname = \"a\"\nat = [0, 0]\n[[panels]]\nname = \"b\"\n\
         at = [2, 0]\n[receiver]\n{receiver}\n"
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
fn no_source_is_missing() {
    let receiver = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../receiver");
    for folder in ["core", "boards"] {
        for entry in std::fs::read_dir(receiver.join(folder)).unwrap() {
            let name = entry.unwrap().file_name().into_string().unwrap();
            let path = format!("{folder}/{name}");
            let listed = sources::ALL.iter().any(|(listed, _)| *listed == path);
            assert_eq!(listed, name.ends_with("pp"), "{path}");
        }
    }
}

#[test]
fn the_key_is_only_where_it_is_asked_for() {
    let wall = wall("");
    let patch = glowloom_plan::patch(&wall).unwrap();
    let key = [0xa5; 32];
    let with = documents(Project { wall: &wall, patch: &patch, key: Some(&key) }, "");
    let without = documents(Project { wall: &wall, patch: &patch, key: None }, "receiver/");
    for document in &with {
        let holds = text_of(&with, document.path()).contains("0xa5, 0xa5");
        assert_eq!(holds, document.path() == "main/key.hpp", "{}", document.path());
    }
    assert!(text_of(&without, "receiver/main/key.hpp").starts_with("#error"));
}

#[test]
fn settings_are_those_of_the_wall() {
    let wall = wall("");
    let patch = glowloom_plan::patch(&wall).unwrap();
    let documents = documents(Project { wall: &wall, patch: &patch, key: None }, "");
    let settings = text_of(&documents, "main/settings.hpp");
    for wanted in [
        r#"WALL[] = "Tide \042wall\042 \303\2517""#,
        "MOST_PIXELS = 64",
        "{glowloom::Shape::ShortOne, 1250, 300, false, 4, 0x4b}",
        "PINS = 1",
    ] {
        assert!(settings.contains(wanted), "{wanted} in {settings}");
    }
}
