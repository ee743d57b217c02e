//! Whole commands, as a person gives them: what they print, what they write, how they end.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use tempfile::TempDir;

use support::{ends, text};

/// A folder with a wall of two panels whose virtual panels nobody else uses.
fn folder_with_wall(port: u16) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("wall.toml");
    let wall = format!(
        "format = 1\n[wall]\nname = \"Jetty\"\ncolumns = 12\nrows = 6\n[strip]\npart = \"ws2812b-30\"\n\
         [panel]\ncolumns = 6\nrows = 6\n\
         [[panels]]\nname = \"a\"\nat = [0, 0]\naddress = \"127.0.0.1:{port}\"\n\
         [[panels]]\nname = \"b\"\nat = [6, 0]\naddress = \"127.0.0.1:{}\"\n\
         [power]\nfeeds = 6\n[receiver]\nboard = \"esp32-ethernet\"\nlink = \"ethernet\"\n",
        port + 1
    );
    std::fs::write(&path, wall).unwrap();
    (folder, path)
}

fn files_in(folder: &Path) -> Vec<String> {
    let names = std::fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        names.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn every_command_has_help_with_an_example() {
    let folder = tempfile::tempdir().unwrap();
    let (help, _) = ends(0, folder.path(), &["--help"]);
    for command in
        ["demo", "new", "check", "plan", "book", "done", "map", "show", "panels", "completions"]
    {
        assert!(help.contains(command), "{help}");
        let (help, _) = ends(0, folder.path(), &[command, "--help"]);
        assert!(help.contains(&format!("glowloom {command}")), "{help}");
    }
    ends(2, folder.path(), &["shwo"]);
    ends(2, folder.path(), &[]);
}

#[test]
fn check_tells_by_its_exit_code() {
    let folder = tempfile::tempdir().unwrap();
    let walls = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/walls");
    let wall = |name: &str| walls.join(name).to_string_lossy().into_owned();
    ends(0, folder.path(), &["check", &wall("tidewall.toml")]);
    let (out, _) = ends(1, folder.path(), &["check", &wall("slipway.toml")]);
    assert!(out.contains("hazard") && out.contains("slipway.toml:28:1"), "{out}");
    assert!(!out.contains('\u{1b}'), "no styles in a pipe");
}

#[test]
fn bad_wall_files_end_with_2_and_write_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::create_dir(at.join("folder")).unwrap();
    std::fs::write(at.join("empty.toml"), "").unwrap();
    std::fs::write(at.join("bytes.toml"), b"format = 1\n\xff").unwrap();
    std::fs::write(at.join("typo.toml"), "format = 1\n[wall]\ncolums = 3\n").unwrap();
    let long = std::fs::File::create(at.join("long.toml")).unwrap();
    long.set_len(100 << 20).unwrap();
    let before = files_in(at);
    for (file, said) in [
        ("folder", "folder"),
        ("empty.toml", "`format` is missing"),
        ("bytes.toml", "not UTF-8"),
        ("typo.toml", "did you mean `columns`?"),
        ("long.toml", "larger than 4 MiB"),
        ("gone.toml", "gone.toml"),
    ] {
        for command in [
            &["check", file][..],
            &["plan", file],
            &["map", file, "--csv"],
            &["show", file, "tide"],
            &["panels", file],
        ] {
            let (out, err) = ends(2, at, command);
            assert_eq!(out, "", "{command:?}");
            assert!(err.contains(said), "{command:?}: {err}");
        }
    }
    assert_eq!(files_in(at), before);
}

#[test]
fn new_never_overwrites_unless_told() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let flags = ["--columns", "24", "--rows", "12", "--panels", "2", "--mains", "us"];
    ends(0, at, &[&["new", "wall.toml", "--name", "Loft"][..], &flags].concat());
    let first = std::fs::read(at.join("wall.toml")).unwrap();
    ends(0, at, &["check", "wall.toml"]);
    let (_, err) = ends(2, at, &["new", "wall.toml"]);
    assert!(err.contains("--force"), "{err}");
    assert_eq!(std::fs::read(at.join("wall.toml")).unwrap(), first);
    ends(0, at, &["new", "wall.toml", "--force"]);
    assert_ne!(std::fs::read(at.join("wall.toml")).unwrap(), first);
    for wrong in [
        &["new", "x.toml", "--strip", "ws2812-30"][..],
        &["new", "x.toml", "--columns", "0"],
        &["new", "x.toml", "--columns", "4", "--panels", "5"],
        &["new", "x.toml", "--columns", "65535", "--rows", "65535"],
        &["new", "nowhere/x.toml"],
    ] {
        ends(2, at, wrong);
    }
    assert_eq!(files_in(at), ["wall.toml"]);
}

#[test]
fn plan_prints_one_document() {
    let (folder, _) = folder_with_wall(15_001);
    let (out, err) = ends(0, folder.path(), &["plan", "wall.toml", "--json"]);
    let plan: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(plan["format"], 1);
    assert_eq!(plan["geometry"]["pixels"], 72);
    assert_eq!(err, "");
    let (out, _) = ends(0, folder.path(), &["plan", "wall.toml"]);
    assert!(out.contains("Jetty") && out.contains("frame rate"), "{out}");
}

/// A wall with a baffle; `more` are further lines of it.
fn folder_with_baffle(more: &str) -> TempDir {
    let (folder, path) = folder_with_wall(15_005);
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, format!("{text}[baffle]\n{more}\n")).unwrap();
    folder
}

#[test]
fn book_writes_parts() {
    let folder = folder_with_baffle("rim = \"1.2 mm\"");
    let (out, _) = ends(0, folder.path(), &["book", "wall.toml", "-o", "book"]);
    assert!(
        out.contains("Wrote book") && out.contains("2 tiles of 1 kind and 8 strips of a rim"),
        "{out}"
    );
    assert_eq!(
        files_in(&folder.path().join("book")),
        [
            "book.pdf",
            "contents.json",
            "index.html",
            "lists",
            "parts",
            "plan.json",
            "sheets",
            "steps.txt",
            "wall.toml"
        ]
    );
    let parts = folder.path().join("book/parts");
    assert_eq!(
        files_in(&parts),
        [
            "list.csv",
            "list.txt",
            "rim-201.2mm.3mf",
            "rim-201.2mm.stl",
            "tile-6x6-both-ends.3mf",
            "tile-6x6-both-ends.stl",
        ]
    );
    let csv = std::fs::read_to_string(parts.join("list.csv")).unwrap();
    assert_eq!(csv.lines().count(), 3, "{csv}");
    let list = std::fs::read_to_string(parts.join("list.txt")).unwrap();
    assert!(list.starts_with("Jetty: parts to print\n=====================\n"), "{list}");
    assert!(list.contains("a: from the left 6; from the top 6"), "{list}");
    assert!(list.lines().all(|line| line.chars().count() <= 100), "{list}");
    // It is compared with the wall as it is now, and replaced.
    let (out, _) = ends(0, folder.path(), &["book", "wall.toml", "-o", "book", "--check"]);
    assert_eq!(out, "book is the book of wall.toml as it is now\n");
    let stl = parts.join("tile-6x6-both-ends.stl");
    let before = std::fs::read(&stl).unwrap();
    std::fs::write(&stl, "scribble").unwrap();
    let (out, _) = ends(1, folder.path(), &["book", "wall.toml", "-o", "book", "--check"]);
    assert!(out.contains("tile-6x6-both-ends.stl is stale or was changed by hand"), "{out}");
    ends(0, folder.path(), &["book", "wall.toml", "-o", "book"]);
    assert_eq!(std::fs::read(&stl).unwrap(), before);
    // Never over what is not its own.
    std::fs::write(parts.join("notes.txt"), "mine").unwrap();
    let (_, err) = ends(2, folder.path(), &["book", "wall.toml", "-o", "book"]);
    assert!(err.contains("notes.txt, which is no part of a book"), "{err}");
    let (_, err) = ends(2, folder.path(), &["book", "wall.toml", "-o", "."]);
    assert!(err.contains("is no book of this program"), "{err}");
    assert_eq!(std::fs::read(&stl).unwrap(), before);
}

/// One corrected page is reprinted, not a book; its number and bytes are those of the book.
#[test]
fn some_sheets_alone() {
    let (folder, _) = folder_with_wall(15_009);
    let at = |path: &str| folder.path().join(path);
    ends(0, folder.path(), &["book", "wall.toml", "-o", "book"]);
    let few = ["book", "wall.toml", "-o", "few", "--sheet", "mains"];
    let (out, _) = ends(0, folder.path(), &few);
    assert!(out.contains("1 sheet, together in sheets.pdf"), "{out}");
    assert_eq!(files_in(&at("few")), ["contents.json", "sheets", "sheets.pdf"]);
    let names = files_in(&at("few/sheets"));
    assert!(names.len() == 1 && names[0].ends_with("-mains.svg"), "{names:?}");
    let bytes = |folder: &str| std::fs::read(at(folder).join("sheets").join(&names[0])).unwrap();
    assert_eq!(bytes("few"), bytes("book"));
    let (_, err) = ends(2, folder.path(), &["book", "wall.toml", "-o", "x", "--sheet", "attic"]);
    assert!(err.contains("no sheet \"attic\"") && err.contains("1 At a glance"), "{err}");
    let (_, err) = ends(2, folder.path(), &["book", "wall.toml", "-o", "x", "--panel", "z"]);
    assert!(err.contains("no sheet of panel \"z\""), "{err}");
    // The whole book is not written over.
    let over = ["book", "wall.toml", "-o", "book", "--sheet", "mains"];
    ends(2, folder.path(), &over);
    assert!(at("book/book.pdf").exists() && !at("x").exists());
}

#[test]
fn book_without_parts_says_why() {
    let (folder, _) = folder_with_wall(15_007);
    let (out, _) = ends(0, folder.path(), &["book", "wall.toml", "-o", "book"]);
    assert!(out.contains("no parts to print: the wall has no [baffle]"), "{out}");
    assert!(!folder.path().join("book/parts").exists());
    // A bed smaller than a cell is a fault, and the book is written all the same.
    let folder = folder_with_baffle("bed = [\"30 mm\", \"30 mm\"]");
    let (out, _) = ends(1, folder.path(), &["check", "wall.toml"]);
    assert!(out.contains("the printer's bed is smaller than one cell"), "{out}");
    let (out, _) = ends(0, folder.path(), &["book", "wall.toml", "-o", "book"]);
    assert!(out.contains("contradict each other"), "{out}");
    // No flow is an error of the file, and nothing is written.
    let folder = folder_with_baffle("flow = \"0 mm3/s\"");
    let (_, err) = ends(2, folder.path(), &["book", "wall.toml", "-o", "book"]);
    assert!(err.contains("`flow` is \"0 mm3/s\"") && err.contains("0.001 mm3/s"), "{err}");
    assert!(!folder.path().join("book").exists());
    ends(2, folder.path(), &["book", "wall.toml"]);
}

#[test]
fn plan_says_what_is_printed() {
    let folder = folder_with_baffle("rim = \"1.2 mm\"\nspool = \"250 g\"");
    let (out, _) = ends(0, folder.path(), &["plan", "wall.toml"]);
    assert!(out.contains("6 x 6 cells, both ends") && out.contains("spools"), "{out}");
    let (folder, _) = folder_with_wall(15_009);
    let (out, _) = ends(0, folder.path(), &["plan", "wall.toml"]);
    assert!(!out.contains("Baffle"), "{out}");
}

#[test]
fn map_has_three_forms() {
    let (folder, _) = folder_with_wall(15_003);
    let (csv, _) = ends(0, folder.path(), &["map", "wall.toml", "--csv"]);
    assert_eq!(csv.lines().count(), 1 + 72);
    assert_eq!(
        csv.lines().next(),
        Some("column,row,panel,data_line,index,universe,slot,x_mm,y_mm")
    );
    let (json, _) = ends(0, folder.path(), &["map", "wall.toml", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["pixels"].as_array().map(Vec::len), Some(72));
    let (svg, _) = ends(0, folder.path(), &["map", "wall.toml", "--svg"]);
    assert!(svg.starts_with("<?xml") || svg.starts_with("<svg"), "{svg}");
    ends(2, folder.path(), &["map", "wall.toml"]);
    ends(2, folder.path(), &["map", "wall.toml", "--csv", "--json"]);
}

#[test]
fn a_closed_pipe_is_no_failure() {
    let (folder, _) = folder_with_wall(15_005);
    let mut map = Command::new(env!("CARGO_BIN_EXE_glowloom"))
        .args(["map", "wall.toml", "--json"])
        .current_dir(folder.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(map.stdout.take());
    let output = map.wait_with_output().unwrap();
    assert_eq!((output.status.code(), text(&output.stderr)), (Some(0), String::new()));
}

#[test]
fn bad_pictures_end_with_2() {
    let (folder, _) = folder_with_wall(15_007);
    let at = folder.path();
    std::fs::write(at.join("words.png"), "no picture").unwrap();
    std::fs::write(at.join("nothing.gif"), "").unwrap();
    for (name, said) in [
        ("words.png", "words.png"),
        ("nothing.gif", "nothing.gif"),
        ("gone.jpg", "gone.jpg"),
        (".", "folder"),
    ] {
        let (out, err) = ends(2, at, &["show", "wall.toml", name, "--for", "1s"]);
        assert!(out.is_empty() && err.contains(said), "{name}: {err}");
    }
    let (_, err) = ends(2, at, &["show", "wall.toml"]);
    assert!(err.contains("running order"), "{err}");
    ends(2, at, &["show", "wall.toml", "tide", "--brightness", "2"]);
    ends(2, at, &["show", "wall.toml", "tide", "--for", "soon"]);
}

/// The main job: one program sends, another receives, and the picture is there.
#[test]
fn show_and_panels_meet() {
    let (folder, _) = folder_with_wall(15_009);
    let at = folder.path();
    let panels = Command::new(env!("CARGO_BIN_EXE_glowloom"))
        .args(["panels", "wall.toml", "--no-discovery", "--save", "frames", "--for", "4s"])
        .current_dir(at)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    std::thread::sleep(std::time::Duration::from_millis(700));
    // A colour whose three codes differ: 255, 188 and 0 are 1, 0.503 and 0 of light (IEC 61966-2-1).
    let picture = at.join("plain.png");
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, 1, 1);
    encoder.set_color(png::ColorType::Rgb);
    encoder.write_header().unwrap().write_image_data(&[255, 188, 0]).unwrap();
    std::fs::write(&picture, file).unwrap();
    ends(
        0,
        at,
        &["show", "wall.toml", "plain.png", "--brightness", "1", "--for", "2s", "--leave-lit"],
    );
    let output = panels.wait_with_output().unwrap();
    let log = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{log}");
    assert!(
        log.lines().rev().take(2).all(|line| line.contains("0 packets lost, 0 late, 0 wrong")),
        "{log}"
    );
    let frames = files_in(&at.join("frames"));
    assert!(frames.len() > 20, "{frames:?}");
    // The brightness comes up within half a second; by the end it is whole.
    let last = std::fs::File::open(at.join("frames").join(&frames[frames.len() - 2])).unwrap();
    let mut reader = png::Decoder::new(std::io::BufReader::new(last)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    assert_eq!((info.width, info.height), (12, 6));
    assert!(pixels.chunks(3).all(|pixel| pixel == [255, 128, 0]), "{pixels:?}");
}

#[test]
fn the_demo_plays_and_overwrites_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let (out, _) = ends(0, at, &["demo", "--for", "1s"]);
    assert!(out.contains("Tidewall") && out.contains("Try next"), "{out}");
    let wall = at.join("tidewall/tidewall.toml");
    let changed = std::fs::read_to_string(&wall).unwrap().replace("Tidewall", "Ebbwall");
    std::fs::write(&wall, &changed).unwrap();
    let (out, _) = ends(0, at, &["demo", "--for", "1s"]);
    assert!(out.contains("Ebbwall"), "{out}");
    assert_eq!(std::fs::read_to_string(&wall).unwrap(), changed);
    assert_eq!(files_in(&at.join("tidewall/pictures")), ["harbour.png", "tide.gif"]);
}

#[test]
fn completions_for_shells() {
    let folder = tempfile::tempdir().unwrap();
    let (bash, _) = ends(0, folder.path(), &["completions", "bash"]);
    assert!(bash.contains("glowloom"), "{bash}");
}

/// Each table is there where the wall has what it is of, with the plan's own figures in it.
#[test]
fn plan_tells_masses_light_and_money() {
    let folder = tempfile::tempdir().unwrap();
    let walls = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/walls");
    let wall = |name: &str| walls.join(name).to_string_lossy().into_owned();
    let (whole, _) = ends(0, folder.path(), &["plan", &wall("tidewall.toml")]);
    for line in [
        "Structure\n",
        "safety factor ",
        "Seen\n",
        "114.59  m      cells merge from here on",
        "To buy\n",
        "L brown, N blue, PE green-and-yellow",
        "Cost\n",
        "Without a price, and in no total: supply 5v-60a;",
    ] {
        assert!(whole.contains(line), "{line}: {whole}");
    }
    // Neither hanging nor prices are in this file.
    let (bare, _) = ends(0, folder.path(), &["plan", &wall("lantern.toml")]);
    assert!(bare.contains("Seen\n") && bare.contains("To buy\n"), "{bare}");
    assert!(!bare.contains("Structure\n") && !bare.contains("Cost\n"), "{bare}");
    let (us, _) = ends(0, folder.path(), &["plan", &wall("netloft.toml")]);
    assert!(us.contains("L black, N white, G green") && !us.contains("brown"), "{us}");
}
