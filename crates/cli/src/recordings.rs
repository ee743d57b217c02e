//! Recordings as folders: `frame-000000001.png` and so on, each a frame of device bytes as it was sent.

use std::path::{Path, PathBuf};

use glowloom_drive::replay::Reel;
use glowloom_drive::{Recording, RecordingHealth};
use glowloom_show::Channels;
use glowloom_show::recording::{Head, Recorded, Seal};
use glowloom_wire::Patch;
use glowloom_wire::patch;

use crate::failure::Failure;
use crate::{files, output, stage};

/// What a source begins with that is a recording.
const WORD: &str = "recording:";
/// The largest file of a frame.
const MOST_BYTES: usize = 64 << 20;

/// The folder of a recording that is to be played, if the sources name one.
pub fn named(sources: &[PathBuf]) -> Result<Option<PathBuf>, Failure> {
    let folder = |source: &PathBuf| {
        source.to_str().and_then(|name| name.strip_prefix(WORD)).map(PathBuf::from)
    };
    match sources {
        [source] => Ok(folder(source)),
        sources if sources.iter().any(|source| folder(source).is_some()) => Err(Failure::other(
            "a recording cannot take turns with other sources",
            "play it alone: its frames are sent as they are",
        )),
        _ => Ok(None),
    }
}

/// A folder's frames, one after the other.
pub struct Folder {
    names: Vec<PathBuf>,
    next: usize,
}

impl Folder {
    /// Those that are there now.
    pub fn open(folder: &Path) -> Result<Self, Failure> {
        let wrong = |error| Failure::file(folder, "read", error);
        let mut names = Vec::new();
        for entry in std::fs::read_dir(folder).map_err(wrong)? {
            let path = entry.map_err(wrong)?.path();
            let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
            if name.starts_with("frame-") && name.ends_with(".png") {
                names.push(path);
            }
        }
        // Numbers of one length: by name is by number.
        names.sort();
        Ok(Self { names, next: 0 })
    }
}

impl Reel for Folder {
    fn next(&mut self) -> Option<Result<Recorded, String>> {
        let path = self.names.get(self.next)?;
        self.next += 1;
        let told = |why: String| format!("{}: {why}", output::shown(path));
        Some(match files::read_at_most(path, MOST_BYTES) {
            Err(failure) => Err(failure.message()),
            Ok(bytes) if bytes.len() > MOST_BYTES => Err(told("it is too large".into())),
            Ok(bytes) => Recorded::decode(&bytes).map_err(|error| told(error.to_string())),
        })
    }

    fn rewind(&mut self) {
        self.next = 0;
    }
}

/// Begins to record into a folder, which is made, or is there and empty.
pub fn start(folder: &Path, patch: &Patch) -> Result<Recording, Failure> {
    let wrong = |error| Failure::file(folder, "write", error);
    std::fs::create_dir_all(folder).map_err(wrong)?;
    if std::fs::read_dir(folder).map_err(wrong)?.next().is_some() {
        return Err(Failure::other(
            format!("{} is there already and not empty", output::shown(folder)),
            "take another folder for the recording",
        ));
    }
    let common = patch.common();
    let channels = match common.channels {
        patch::Channels::Three => Channels::Rgb,
        patch::Channels::Four => Channels::Rgbw,
    };
    let head = Head { columns: common.columns, rows: common.rows, channels };
    let folder = folder.to_path_buf();
    let (mut number, mut seal) = (0u64, Seal::START);
    let keep = move |at, bytes: &[u8]| {
        let (file, then) = Recorded::encode(head, at, bytes, seal).map_err(|e| e.to_string())?;
        number += 1;
        let path = folder.join(format!("frame-{number:09}.png"));
        files::write_one_of_many(&path, &file).map_err(|failure| failure.message())?;
        seal = then;
        Ok(())
    };
    Recording::start(patch.frame_bytes(), Box::new(keep)).map_err(stage::drive_failure)
}

/// How a recording goes, as far as it is to be told while it does.
pub fn trouble(health: &RecordingHealth) -> Option<String> {
    let why = health.error.as_ref()?;
    Some(format!(
        "the recording has ended after {} frames, and the show goes on: {why}",
        health.kept
    ))
}

/// How it went.
pub fn ending(health: &RecordingHealth) -> String {
    let mut line = format!("{} frames recorded", health.kept);
    if health.left_out > 0 {
        line.push_str(&format!(", {} left out for want of time or room", health.left_out));
    }
    line + "\n"
}
