//! Power, as the commands tell it: tables, a map of volts, a picture's figures, and a show that is held
//! to what is safe.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::process::{Command, Stdio};

use tempfile::TempDir;

use support::{ends, glowloom, tidewall};

/// The panel of 16 strips of 36 pixels with 3 feeds of 16 AWG: far beyond its limits at full white.
fn folder(port: u16) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let wall = format!(
        "format = 1\n[wall]\nname = \"Sixteen\"\ncolumns = 16\nrows = 36\n[strip]\npart = \"ws2812b-30\"\n\
         [[panels]]\nname = \"only\"\nat = [0, 0]\ncolumns = 16\nrows = 36\naddress = \"127.0.0.1:{port}\"\n\
         [power]\nfeeds = 3\nfeed_wire = {{ gauge = \"16 AWG\", length = \"4 ft\" }}\n"
    );
    std::fs::write(folder.path().join("wall.toml"), wall).unwrap();
    folder
}

#[test]
fn a_table_for_each_kind_and_a_map_of_volts() {
    let folder = folder(0);
    let wall = std::fs::read_to_string(folder.path().join("wall.toml")).unwrap();
    let wall = wall.replace(":0\"", ":17001\"");
    std::fs::write(folder.path().join("wall.toml"), wall).unwrap();
    let (out, _) = ends(0, folder.path(), &["plan", "wall.toml"]);
    assert!(out.contains("Power at full white on only\n"), "{out}");
    let lines: Vec<&str> = out.lines().collect();
    let line = |start: &str| {
        *lines
            .iter()
            .find(|line| line.trim_start().starts_with(start))
            .unwrap_or_else(|| panic!("{start}: {out}"))
    };
    assert!(line("lowest pixel").contains("2.51  V"), "{out}");
    assert!(line("8  near").contains("11.4 A") && line("8  near").ends_with("none"), "{out}");
    assert!(line("safe ceiling").contains("32.4"), "{out}");
    // 16 x 18 digits, and a legend from high to low.
    let map: Vec<&&str> = lines
        .iter()
        .filter(|line| line.starts_with("    ") && line.split_whitespace().count() == 16)
        .filter(|line| line.split_whitespace().all(|field| field.len() == 1))
        .collect();
    assert_eq!(map.len(), 12, "{out}");
    assert!(out.contains("1  2.5 to 3.0 V  below the wanted voltage"), "{out}");
    assert!(!out.contains('\u{1b}'), "no colours in a pipe");
}

/// A dark picture and a white one: their currents, under the same names in the document.
#[test]
fn figures_at_a_picture() {
    let folder = folder(17011);
    let (out, _) = ends(0, folder.path(), &["plan", "wall.toml", "--json", "--picture", "count"]);
    let plan: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(plan["power"]["picture"], "count");
    let amps = plan["power"]["panels"][0]["amps"].as_f64().unwrap();
    // It begins dark: 576 pixels idle at 1 mA.
    assert!((amps - 0.576).abs() < 1e-9, "{amps}");
    // A white picture is full white.
    std::fs::write(folder.path().join("white.png"), white()).unwrap();
    let (out, _) =
        ends(0, folder.path(), &["plan", "wall.toml", "--json", "--picture", "white.png"]);
    let lit: serde_json::Value = serde_json::from_str(&out).unwrap();
    let amps = lit["power"]["panels"][0]["amps"].as_f64().unwrap();
    assert!((amps - 31.742361).abs() < 1e-6, "{amps}");
    let (white, _) = ends(0, folder.path(), &["plan", "wall.toml", "--json"]);
    let white: serde_json::Value = serde_json::from_str(&white).unwrap();
    assert!(white["power"]["picture"].is_null());
    // What is safe, and what there is to say, is of full white.
    assert_eq!(plan["findings"], white["findings"]);
    assert_eq!(plan["power"]["highest_safe_brightness"], white["power"]["highest_safe_brightness"]);
    let (out, _) = ends(0, folder.path(), &["plan", "wall.toml", "--picture", "count"]);
    assert!(out.contains("Power at count on only"), "{out}");
    let wrong = glowloom(folder.path(), &["plan", "wall.toml", "--picture", "nothing.png"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(wrong.stdout.is_empty());
}

/// White on a wall that is safe up to 32.4 %: no byte above 82, unless told otherwise; less than white may
/// be brighter.
#[test]
fn a_show_is_held_to_what_is_safe() {
    let folder = folder(17021);
    let shown = |arguments: &[&str], file: &str| {
        let panels = Command::new(env!("CARGO_BIN_EXE_glowloom"))
            .args(["panels", "wall.toml", "--no-discovery", "--save", file, "--for", "6s"])
            .current_dir(folder.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_millis(700));
        let all =
            [&["show", "wall.toml", "white.png", "--brightness", "1", "--for", "2s"], arguments];
        let (_, err) = ends(0, folder.path(), &all.concat());
        assert!(panels.wait_with_output().unwrap().status.success());
        let mut brightest = 0;
        for entry in std::fs::read_dir(folder.path().join(file)).unwrap() {
            let bytes = std::fs::read(entry.unwrap().path()).unwrap();
            brightest = brightest.max(brightest_of(&bytes));
        }
        (err, brightest)
    };
    std::fs::write(folder.path().join("white.png"), white()).unwrap();
    let (err, brightest) = shown(&[], "held");
    assert!(err.contains("full white to 32.4 %"), "{err}");
    assert!(err.contains("--above-safe"), "{err}");
    let (err, more) = shown(&["--above-safe"], "free");
    assert!(err.contains("hazard: playing up to 100 % of full white"), "{err}");
    // Frames are saved as the LEDs get them. 82 of 255 is the highest that white may have.
    assert!((78..=82).contains(&brightest), "{brightest}");
    // Red draws a third of white's current, and may be three times as bright.
    std::fs::write(folder.path().join("white.png"), picture([255, 0, 0])).unwrap();
    let (_, red) = shown(&[], "red");
    assert!(red > 230, "{red}");
    std::fs::write(folder.path().join("white.png"), white()).unwrap();
    assert_eq!(more, 255);
}

/// A white picture of 4 x 4.
fn white() -> Vec<u8> {
    picture([255; 3])
}

fn picture(colour: [u8; 3]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 4, 4);
    encoder.set_color(png::ColorType::Rgb);
    encoder.write_header().unwrap().write_image_data(&colour.repeat(16)).unwrap();
    bytes
}

fn brightest_of(png: &[u8]) -> u8 {
    let mut reader = png::Decoder::new(std::io::Cursor::new(png)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut pixels).unwrap();
    pixels.into_iter().max().unwrap()
}

/// A finding's place stands behind its title where both have room in a line, else below it.
#[test]
fn findings_keep_to_the_page() {
    let folder = folder(0);
    let wall = std::fs::read_to_string(folder.path().join("wall.toml")).unwrap();
    let wall = wall.replace(":0\"", ":17002\"");
    std::fs::write(folder.path().join("wall.toml"), &wall).unwrap();
    let sub = folder.path().join("the wall of the old granary by the canal");
    std::fs::create_dir(&sub).unwrap();
    let named = wall.replace("\"only\"", "\"the one over the third door on the left of the yard\"");
    std::fs::write(sub.join("wall.toml"), named).unwrap();
    let check = |path: &str| {
        let output = glowloom(folder.path(), &["check", path]);
        assert_eq!(output.status.code(), Some(1));
        String::from_utf8(output.stdout).unwrap()
    };
    let short = check("wall.toml");
    assert!(short.contains("on only  wall.toml:14:2 [jumper-overloaded]"), "{short}");
    let long = check("the wall of the old granary by the canal/wall.toml");
    for page in [&short, &long] {
        assert!(page.lines().all(|line| line.chars().count() <= 100), "{page}");
    }
    let place =
        "\n            the wall of the old granary by the canal/wall.toml:15:1 [rail-overloaded]\n";
    assert!(long.contains(place), "{long}");
    // A page of figures keeps to it too, in feet and inches, whatever the names; only a path, which can
    // not be broken, may be longer, and then has a line of its own.
    let name =
        "the harbour café's great wall, as seen from the far side of the water on a clear night";
    let wide = tidewall()
        .replace("figures = \"metric\"", "figures = \"imperial\"")
        .replace("name = \"Tidewall\"", &format!("name = \"{name}\""))
        .replace("name = \"west\"", "name = \"the panel on the west side of the long window\"")
        .replace("name = \"east\"", "name = \"the panel on the east side of the long window\"");
    let path = format!("{}.toml", "a/long/path/to/it/".repeat(6));
    std::fs::create_dir_all(folder.path().join(&path).parent().unwrap()).unwrap();
    std::fs::write(folder.path().join(&path), &wide).unwrap();
    let (page, _) = ends(0, folder.path(), &["plan", &path]);
    for line in page.lines() {
        assert!(line.chars().count() <= 100 || line.contains(&path), "{line}");
        assert_eq!(line, line.trim_end(), "{page}");
    }
    assert!(
        page.starts_with(&format!("{name}\n  60 x 32 pixels on 3 panels\n  {path}\n")),
        "{page}"
    );
    let words = page.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in ["lb", "W/ft2", "7 ft 10.5 in in all, from a roll", "1,000 times the pitch"] {
        assert!(words.contains(wanted), "{wanted}\n{page}");
    }
    assert!(
        words.contains("mains cord 1.5 mm2, 6 ft 6.7 in; ") && !words.contains("W/m2"),
        "{page}"
    );
    // One is a piece of advice, none is no advice.
    assert!(short.ends_with("pieces of advice\n"), "{short}");
}
