//! The key of a wall: whoever has it can tell the wall's boards what to do. It is kept in the user's own folder,
//! for the owner's eyes alone; never in the wall file, nor in a book.

use std::path::{Path, PathBuf};

use etcetera::BaseStrategy;
use glowloom_book::manifest::Entry;
use glowloom_drive::boards::Key;
use uuid::Uuid;

use crate::failure::Failure;
use crate::files;

const HEAD: &str = "# Key of a wall, of glowloom. Whoever has it can tell the boards what to do.";

/// Where the key of the wall of that name is: the name's own letters help a person, its hash tells walls apart.
fn place(wall: &str) -> Result<PathBuf, Failure> {
    let base = etcetera::choose_base_strategy().map_err(|_| {
        Failure::other(
            "there is no folder for user data, so the wall's key cannot be kept",
            "set HOME to your folder",
        )
    })?;
    let plain: String = wall
        .chars()
        .map(
            |letter| if letter.is_ascii_alphanumeric() { letter.to_ascii_lowercase() } else { '-' },
        )
        .take(40)
        .collect();
    let hash = Entry::of("", wall.as_bytes()).sha256;
    let name = format!("{plain}-{}.key", hash.get(..8).unwrap_or_default());
    let folder = base.state_dir().unwrap_or_else(|| base.data_dir());
    Ok(folder.join("glowloom").join("keys").join(name))
}

/// The wall's key; `None` where none was made yet.
pub fn known(wall: &str) -> Result<Option<Key>, Failure> {
    let path = place(wall)?;
    if path.exists() { read(&path).map(Some) } else { Ok(None) }
}

/// The wall's key, made now where there is none; tells which, and where it is.
pub fn made(wall: &str) -> Result<(Key, bool, PathBuf), Failure> {
    let path = place(wall)?;
    if path.exists() {
        return Ok((read(&path)?, false, path));
    }
    let wrong = |error| Failure::file(&path, "write", error);
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).map_err(wrong)?;
    }
    // Two times 122 bits of the system's chance.
    let halves = [Uuid::new_v4(), Uuid::new_v4(), Uuid::new_v4()].map(Uuid::into_bytes);
    let key = digest(&halves.concat());
    let text = format!("{HEAD}\n{}\n", hex(&key));
    files::write_for_owner(&path, text.as_bytes())?;
    // Two first runs at once: both take what is there now.
    Ok((read(&path)?, true, path))
}

/// SHA-256 of bytes of which some bits are no chance.
fn digest(bytes: &[u8]) -> Key {
    let text = Entry::of("", bytes).sha256;
    unhex(&text).unwrap_or([0; 32])
}

fn read(path: &Path) -> Result<Key, Failure> {
    let bytes = files::read_at_most(path, 1000)?;
    let text = String::from_utf8_lossy(&bytes);
    let line = text.lines().find(|line| !line.starts_with('#')).unwrap_or_default();
    unhex(line.trim()).ok_or_else(|| {
        Failure::other(
            format!("{} holds no key: 64 hexadecimal digits are wanted", crate::output::shown(path)),
            "put back a copy of it; without one take the file away, write the project anew and flash every board",
        )
    })
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn unhex(text: &str) -> Option<Key> {
    let mut key = [0; 32];
    if text.len() != 64 || !text.is_ascii() {
        return None;
    }
    for (place, at) in key.iter_mut().zip((0..64).step_by(2)) {
        *place = u8::from_str_radix(text.get(at..at + 2)?, 16).ok()?;
    }
    Some(key)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_read_as_it_was_written() {
        let key = digest(b"tide");
        assert_eq!(unhex(&hex(&key)), Some(key));
        for wrong in ["", "00", &"g".repeat(64), &"é".repeat(32)] {
            assert_eq!(unhex(wrong), None, "{wrong}");
        }
    }
}
