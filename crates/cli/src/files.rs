//! Reading with a limit, and writing whole or not at all.

use std::fs::File;
use std::fs::Permissions;
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use crate::failure::Failure;

/// Reads a file of at most `most` bytes; of a larger one, `most + 1` bytes, so that the reader can
/// tell. A file that never ends cannot fill the memory.
pub fn read_at_most(path: &Path, most: usize) -> Result<Vec<u8>, Failure> {
    let wrong = |error| Failure::file(path, "read", error);
    let file = File::open(path).map_err(wrong)?;
    let about = file.metadata().map_err(wrong)?;
    if about.is_dir() {
        return Err(wrong(std::io::ErrorKind::IsADirectory.into()));
    }
    let mut bytes = Vec::new();
    let most = u64::try_from(most).unwrap_or(u64::MAX - 1);
    file.take(most + 1).read_to_end(&mut bytes).map_err(wrong)?;
    Ok(bytes)
}

/// The first bytes of a file, at most so many.
pub fn head(path: &Path, most: u64) -> Result<Vec<u8>, Failure> {
    let wrong = |error| Failure::file(path, "read", error);
    let file = File::open(path).map_err(wrong)?;
    if file.metadata().map_err(wrong)?.is_dir() {
        return Err(wrong(std::io::ErrorKind::IsADirectory.into()));
    }
    let mut bytes = Vec::new();
    file.take(most).read_to_end(&mut bytes).map_err(wrong)?;
    Ok(bytes)
}

/// Where a file really goes: the target of a link, so that the link stays one. What is there already
/// must be an ordinary file; its permissions are given.
fn target(path: &Path) -> std::io::Result<(PathBuf, Option<Permissions>)> {
    let path = match std::fs::canonicalize(path) {
        Ok(real) => real,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok((path.into(), None)),
        Err(error) => return Err(error),
    };
    let about = std::fs::metadata(&path)?;
    if !about.is_file() {
        return Err(std::io::Error::other("it is there already and is no ordinary file"));
    }
    Ok((path, Some(about.permissions())))
}

/// Writes a file beside its place and then renames it, so that it is there whole or not at all.
/// With `replace` false an existing file is left as it is, and that is an error.
pub fn write_whole(path: &Path, bytes: &[u8], replace: bool) -> Result<(), Failure> {
    write(path, bytes, replace, true)
}

/// The same for one of very many files: whole or not at all, but a power cut may lose it.
pub fn write_one_of_many(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    write(path, bytes, true, false)
}

/// Writes a file that only its owner may read; one that is there already is left as it is, and no error.
pub fn write_for_owner(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let wrong = |error| Failure::file(path, "write", error);
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    // A temporary file is for its owner alone, and stays so.
    let mut beside =
        tempfile::Builder::new().prefix(".glowloom-").tempfile_in(folder).map_err(wrong)?;
    beside.write_all(bytes).map_err(wrong)?;
    beside.as_file().sync_all().map_err(wrong)?;
    match beside.persist_noclobber(path) {
        Ok(_) => Ok(()),
        Err(kept) if kept.error.kind() == ErrorKind::AlreadyExists => Ok(()),
        Err(kept) => Err(wrong(kept.error)),
    }
}

fn write(path: &Path, bytes: &[u8], replace: bool, settled: bool) -> Result<(), Failure> {
    let wrong = |error| Failure::file(path, "write", error);
    let (real, permissions) = target(path).map_err(wrong)?;
    let folder = real.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".glowloom-");
    // A temporary file is for its owner alone; what it becomes is an ordinary file.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o644));
    let mut beside = builder.tempfile_in(folder).map_err(wrong)?;
    beside.write_all(bytes).map_err(wrong)?;
    if settled {
        beside.as_file().sync_all().map_err(wrong)?;
    }
    if let Some(permissions) = permissions {
        beside.as_file().set_permissions(permissions).map_err(wrong)?;
    }
    let kept = if replace { beside.persist(&real) } else { beside.persist_noclobber(&real) };
    kept.map(drop).map_err(|kept| wrong(kept.error))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_replaced_only_when_asked() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("wall.toml");
        write_whole(&path, b"one", false).unwrap();
        assert!(write_whole(&path, b"two", false).is_err());
        assert_eq!(std::fs::read(&path).unwrap(), b"one");
        write_whole(&path, b"three", true).unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"three");
        // Nothing half-written is left beside it.
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[cfg(unix)]
    #[test]
    fn what_is_replaced_stays_what_it_was() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (wall, link) = (folder.path().join("wall.toml"), folder.path().join("link.toml"));
        std::fs::write(&wall, "one").unwrap();
        std::fs::set_permissions(&wall, Permissions::from_mode(0o600)).unwrap();
        symlink(&wall, &link).unwrap();
        write_whole(&link, b"two", true).unwrap();
        assert_eq!(std::fs::read(&wall).unwrap(), b"two");
        assert!(std::fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(std::fs::metadata(&wall).unwrap().permissions().mode() & 0o777, 0o600);
        // A folder stands for everything that is no file: a device, a pipe.
        assert!(write_whole(folder.path(), b"three", true).is_err());
    }

    #[test]
    fn reading_stops_at_the_limit() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("long");
        std::fs::write(&path, [7; 100]).unwrap();
        assert_eq!(read_at_most(&path, 100).unwrap().len(), 100);
        assert_eq!(read_at_most(&path, 10).unwrap().len(), 11);
        assert!(read_at_most(folder.path(), 10).is_err());
    }
}
