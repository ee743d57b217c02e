//! Sounds, drawn on the wall as a person would have it.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

use support::{ends, program};

/// A wall of 24 x 8 with a WAV file of 16,000 samples beside it, all of one tone.
fn folder(order: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let wall = format!(
        "format = 1\n[wall]\nname = \"Listening\"\ncolumns = 24\nrows = 8\n[strip]\npart = \"ws2812b-30\"\n\
         [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 24\nrows = 8\naddress = \"127.0.0.1:15211\"\n\
         [receiver]\nboard = \"esp32-ethernet\"\nlink = \"ethernet\"\nprotocol = \"ddp\"\n\
         frames_per_second = 30\n{order}"
    );
    std::fs::write(folder.path().join("wall.toml"), wall).unwrap();
    tone(&folder.path().join("tone.wav"));
    folder
}

fn tone(path: &Path) {
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: 16_000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(path, spec).unwrap();
    for n in 0..16_000 {
        let value = (f64::from(n) * 500.0 / 16_000.0 * std::f64::consts::TAU).sin() * 16_000.0;
        writer.write_sample(value as i16).unwrap();
        writer.write_sample(value as i16).unwrap();
    }
    writer.finalize().unwrap();
}

/// Plays for 1.5 s; the frames of the panel as codes of green, and what was said.
fn played(at: &Path, source: &str) -> (Vec<Vec<u8>>, String) {
    let panels = program(at, &["panels", "wall.toml", "--save", "frames", "--for", "4s"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    std::thread::sleep(Duration::from_millis(700));
    let arguments = ["show", "wall.toml", source, "--brightness", "1", "--for", "1500ms"];
    let (_, said) = ends(0, at, &arguments);
    assert!(panels.wait_with_output().unwrap().status.success());
    let mut names: Vec<_> =
        std::fs::read_dir(at.join("frames")).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    (names.iter().map(|name| greens(name)).collect(), said)
}

fn greens(path: &Path) -> Vec<u8> {
    let file = std::io::BufReader::new(std::fs::File::open(path).unwrap());
    let mut reader = png::Decoder::new(file).read_info().unwrap();
    let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut bytes).unwrap();
    bytes.chunks(bytes.len() / (24 * 8)).map(|pixel| pixel[1]).collect()
}

/// The sea stands high where the tone is, and low elsewhere.
#[test]
fn a_tone_raises_the_sea() {
    let folder = folder("");
    let (frames, said) = played(folder.path(), "sound:tone.wav");
    assert!(said.contains("a sound of 16000 samples a second"), "{said}");
    assert!(said.contains("384 samples (24.0 ms)"), "{said}");
    // 500 Hz is the 11th of 24 bands, so columns 9 to 11. Row 2 is above the water in silence.
    let raised = |frame: &&Vec<u8>| {
        let row = &frame[2 * 24..3 * 24];
        let high = row[8..12].iter().max().unwrap();
        *high > 60 && row[..5].iter().chain(&row[16..]).all(|code| *code < high / 2)
    };
    let count = frames.iter().filter(raised).count();
    assert!(count > 5, "{count} of {} frames; {said}", frames.len());
}

#[test]
fn sounds_that_cannot_be_heard_are_told_before_anything_plays() {
    let folder = folder("");
    std::fs::write(folder.path().join("broken.wav"), b"RIFF\x10\0\0\0WAVEfmt ").unwrap();
    for (source, wanted) in [
        ("sound:gone.wav", "cannot read gone.wav"),
        ("sound:broken.wav", "no WAV file"),
        ("sound", "a file of sound after a colon"),
    ] {
        let arguments = ["show", "wall.toml", source, "--for", "5s"];
        let (out, said) = ends(2, folder.path(), &arguments);
        assert!(said.contains(wanted), "{said}");
        assert!(out.is_empty(), "{out}");
    }
}

/// A running order reads what lies with its wall, and nothing else.
#[test]
fn a_running_order_listens_in_its_folder_alone() {
    let order = "[[show.running_order]]\nsource = \"sound:../tone.wav\"\nseconds = 1\n";
    let folder = folder(order);
    let (_, said) = ends(2, folder.path(), &["show", "wall.toml", "--for", "1s"]);
    assert!(said.contains("outside the wall's folder"), "{said}");

    let elsewhere = tempfile::tempdir().unwrap();
    let path = folder.path().join("wall.toml");
    let wall = std::fs::read_to_string(&path).unwrap().replace("../tone", "tone");
    std::fs::write(&path, wall).unwrap();
    let arguments = ["show", path.to_str().unwrap(), "--for", "1s"];
    ends(0, elsewhere.path(), &arguments);
}
