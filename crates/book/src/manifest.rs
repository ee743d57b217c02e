//! The list of a book's files: by it a folder is known to be a book, and what in it is stale.

use std::fmt::Write as _;
use std::io::{self, Write};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// Its place in the book's folder.
pub const CONTENTS: &str = "contents.json";

/// What a folder holds, so that a few sheets never take a book's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// A whole book.
    Book,
    /// A few sheets of one.
    Sheets,
    /// A receiver project.
    Receiver,
}

impl Holds {
    /// The word by which its list is known.
    fn word(self) -> &'static str {
        match self {
            Self::Book => "glowloom",
            Self::Sheets => "glowloom sheets",
            Self::Receiver => "glowloom receiver",
        }
    }
}

/// A file of the book as it was written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// Its place in the book's folder.
    pub path: String,
    /// How long it is.
    pub bytes: u64,
    /// SHA-256 (FIPS 180-4) of its bytes, 64 hexadecimal digits in lower case.
    pub sha256: String,
}

impl Entry {
    /// That of these bytes.
    #[must_use]
    pub fn of(path: &str, bytes: &[u8]) -> Self {
        let mut hashed = Hashed::new(io::sink());
        // A sink takes everything.
        let _ = hashed.write_all(bytes);
        hashed.entry(path)
    }
}

/// What the list holds.
#[derive(Serialize)]
struct Contents<'c> {
    /// Tells a book from any other folder with such a file.
    book: &'static str,
    format: u32,
    wall: &'c str,
    wall_file: WallFile<'c>,
    files: &'c [Entry],
}

/// What the book was made from.
#[derive(Serialize)]
struct WallFile<'c> {
    sha256: &'c str,
    fingerprint: &'c str,
}

/// The list itself: of the wall's name, the wall file that the book is made from, and every other file.
#[must_use]
pub fn contents(holds: Holds, wall: &str, wall_file: &[u8], files: &[Entry]) -> Vec<u8> {
    let Entry { sha256, .. } = Entry::of("", wall_file);
    let fingerprint = fingerprint(wall_file);
    let wall_file = WallFile { sha256: &sha256, fingerprint: &fingerprint };
    let contents = Contents { book: holds.word(), format: 2, wall, wall_file, files };
    // Plain texts and numbers always have a form in JSON.
    let mut bytes = serde_json::to_vec_pretty(&contents).unwrap_or_default();
    bytes.push(b'\n');
    bytes
}

/// A short name of a wall file's very bytes, so that an old print is told from a new one: the first eight
/// digits of its SHA-256.
#[must_use]
pub fn fingerprint(wall_file: &[u8]) -> String {
    let Entry { mut sha256, .. } = Entry::of("", wall_file);
    sha256.truncate(8);
    sha256
}

/// What a list of contents says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Listed {
    /// SHA-256 of the wall file; empty in lists that do not have it.
    pub wall_file: String,
    /// Of older lists the path alone.
    pub files: Vec<Entry>,
}

/// Reads a list of contents; `None` where it is none of such a folder.
#[must_use]
pub fn listed(bytes: &[u8], holds: Holds) -> Option<Listed> {
    let contents: serde_json::Value = serde_json::from_slice(bytes).ok()?;
    if contents.get("book")?.as_str()? != holds.word() {
        return None;
    }
    let entry = |file: &serde_json::Value| match file.as_str() {
        Some(path) => Some(Entry { path: path.into(), bytes: 0, sha256: String::new() }),
        None => serde_json::from_value(file.clone()).ok(),
    };
    let files = contents.get("files").and_then(|files| files.as_array());
    let hash = contents.get("wall_file").and_then(|file| file.get("sha256")?.as_str());
    Some(Listed {
        wall_file: hash.unwrap_or_default().to_owned(),
        files: files.into_iter().flatten().filter_map(entry).collect(),
    })
}

/// A writer that keeps count and hash of what goes through it.
pub struct Hashed<W> {
    inner: W,
    bytes: u64,
    hash: Sha256,
}

impl<W: Write> Hashed<W> {
    /// Around another.
    pub fn new(inner: W) -> Self {
        Self { inner, bytes: 0, hash: Sha256::new() }
    }

    /// What went through it, as a file at that place.
    pub fn entry(self, path: &str) -> Entry {
        let mut sha256 = String::with_capacity(64);
        for byte in self.hash.finalize() {
            let _ = write!(sha256, "{byte:02x}");
        }
        Entry { path: path.into(), bytes: self.bytes, sha256 }
    }
}

impl<W: Write> Write for Hashed<W> {
    fn write(&mut self, buffer: &[u8]) -> io::Result<usize> {
        let written = self.inner.write(buffer)?;
        let taken = buffer.get(..written).unwrap_or(buffer);
        self.hash.update(taken);
        self.bytes += taken.len() as u64;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4: the example of NIST for "abc", from memory; the hash of nothing.
    #[test]
    fn hashes_are_those_of_the_standard() {
        let of = |bytes: &[u8]| Entry::of("a", bytes).sha256;
        assert_eq!(of(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert_eq!(of(b""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
        assert_eq!(fingerprint(b"abc"), "ba7816bf");
    }

    #[test]
    fn a_list_is_read_as_it_was_written() {
        let files = [Entry::of("parts/a \"b\".stl", b"x"), Entry::of("wall.toml", b"abc")];
        let bytes = contents(Holds::Book, "W", b"abc", &files);
        assert_eq!(super::listed(&bytes, Holds::Sheets), None);
        let listed = listed(&bytes, Holds::Book).unwrap();
        assert_eq!(listed.files, files);
        assert_eq!(listed.wall_file, files[1].sha256);
        // As it was before there were hashes.
        let old =
            super::listed(br#"{"book": "glowloom", "files": ["a", 3, "b"]}"#, Holds::Book).unwrap();
        assert_eq!(old.files.iter().map(|file| file.path.as_str()).collect::<Vec<_>>(), ["a", "b"]);
        for none in ["", "[]", "{}", r#"{"book": "other", "files": []}"#] {
            assert_eq!(super::listed(none.as_bytes(), Holds::Book), None, "{none}");
        }
    }
}
