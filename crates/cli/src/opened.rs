//! A wall file, read and checked.

use std::path::{Path, PathBuf};

use glowloom_design::{Diagnostic, MOST_BYTES, Wall};

use crate::failure::Failure;
use crate::{files, output};

/// Most errors that are shown of one file.
const MOST_SHOWN: usize = 60;

/// A wall and where it was read from.
pub struct Opened {
    /// As given.
    pub path: PathBuf,
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// Checked.
    pub wall: Wall,
}

/// Reads a wall file. Its errors are shown, all of them, before this fails.
pub fn open(path: &Path) -> Result<Opened, Failure> {
    let bytes = files::read_at_most(path, MOST_BYTES)?;
    match glowloom_design::read(&bytes) {
        Ok(wall) => Ok(Opened { path: path.into(), bytes, wall }),
        Err(wrong) => {
            show(path, &String::from_utf8_lossy(&bytes), &wrong);
            Err(Failure::WallFile { path: path.into(), errors: wrong.len() })
        }
    }
}

fn show(path: &Path, text: &str, wrong: &[Diagnostic]) {
    let name = crate::output::shown(path);
    let colour = output::errors_in_colour();
    for diagnostic in wrong.iter().take(MOST_SHOWN) {
        output::note(&diagnostic.render(&name, text, colour));
        output::note("");
    }
    if wrong.len() > MOST_SHOWN {
        output::note(&format!("... and {} more\n", wrong.len() - MOST_SHOWN));
    }
}

impl Opened {
    /// The folder that the file's own paths start from.
    pub fn folder(&self) -> &Path {
        self.path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
    }
}
