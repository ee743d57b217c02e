//! The build journal's file, beside the wall file.

use std::path::{Path, PathBuf};

use glowloom_plan::journal::{self, Journal, MOST_BYTES};

use crate::failure::Failure;
use crate::{files, output};

/// Most odd lines that are shown.
const MOST_SHOWN: usize = 10;

/// Where the journal of a wall file is: `wall.journal` for `wall.toml`.
pub fn path(wall: &Path) -> PathBuf {
    if wall.extension().is_some_and(|extension| extension == "journal") {
        // A wall file of that name is not its own journal.
        let mut name = wall.as_os_str().to_owned();
        name.push(".journal");
        return name.into();
    }
    wall.with_extension("journal")
}

/// The journal; `None` where there is none yet.
pub fn read(path: &Path) -> Result<Option<Journal>, Failure> {
    let missing = std::fs::symlink_metadata(path)
        .is_err_and(|error| error.kind() == std::io::ErrorKind::NotFound);
    if missing {
        return Ok(None);
    }
    let bytes = files::read_at_most(path, MOST_BYTES)?;
    if bytes.len() > MOST_BYTES {
        return Err(Failure::other(
            format!("{} is larger than {} MiB", output::shown(path), MOST_BYTES >> 20),
            "a journal has a line for each thing that is done: see what else is in there",
        ));
    }
    Ok(Some(journal::read(&bytes)))
}

/// Warns of lines that are no facts.
pub fn tell_odd(path: &Path, journal: &Journal) {
    let name = output::shown(path);
    for odd in journal.odd.iter().take(MOST_SHOWN) {
        output::note(&format!(
            "warning: {name}:{}: `{}` says nothing that can be done; the line is kept",
            odd.line,
            odd.shown()
        ));
    }
    if journal.odd.len() > MOST_SHOWN {
        output::note(&format!(
            "warning: {name} has {} more such lines",
            journal.odd.len() - MOST_SHOWN
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_lies_beside_the_wall_file() {
        let of = |wall: &str| path(Path::new(wall)).to_string_lossy().into_owned();
        assert_eq!(of("a/wall.toml"), "a/wall.journal");
        assert_eq!(of("wall"), "wall.journal");
        assert_eq!(of("wall.journal"), "wall.journal.journal");
    }
}
