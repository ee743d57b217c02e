//! A ZIP archive of a few compressed entries. All dates are the format's first day, so that the same
//! entries give the same bytes.
//!
//! Layout: local headers with their data, the central directory, the end record (ZIP file format
//! specification, from memory; an independent reader opens it in the outside checks).

use std::io::{self, Write};

use flate2::write::DeflateEncoder;
use flate2::{Compression, Crc};

/// Version 2.0: what deflate needs.
const VERSION: u16 = 20;
/// Names are UTF-8.
const FLAGS: u16 = 1 << 11;
const DEFLATE: u16 = 8;
const TIME: u16 = 0;
/// The first day of 1980.
const DATE: u16 = (1 << 5) | 1;
const LOCAL: u32 = 0x0403_4b50;
const CENTRAL: u32 = 0x0201_4b50;
const END: u32 = 0x0605_4b50;

/// An archive in the making.
#[derive(Default)]
pub(super) struct Archive {
    bytes: Vec<u8>,
    directory: Vec<u8>,
    entries: u16,
}

impl Archive {
    /// Adds an entry, compressed as it is written.
    ///
    /// # Errors
    /// Those of `write`; an archive of more than 4 GiB.
    pub fn add(
        &mut self,
        name: &str,
        write: impl FnOnce(&mut dyn Write) -> io::Result<()>,
    ) -> io::Result<()> {
        let mut packing = Packing {
            deflate: DeflateEncoder::new(Vec::new(), Compression::default()),
            crc: Crc::new(),
            size: 0,
        };
        write(&mut packing)?;
        let (crc, size) = (packing.crc.sum(), small(packing.size)?);
        let packed = packing.deflate.finish()?;
        let about = About { crc, packed: small(packed.len())?, size, name };
        let offset = small(self.bytes.len())?;
        put32(&mut self.bytes, LOCAL);
        about.put(&mut self.bytes)?;
        self.bytes.extend(name.as_bytes());
        self.bytes.extend(packed);
        put32(&mut self.directory, CENTRAL);
        put16(&mut self.directory, VERSION);
        about.put(&mut self.directory)?;
        // No comment, first disk, no attributes.
        self.directory.extend([0; 2 + 2 + 2 + 4]);
        put32(&mut self.directory, offset);
        self.directory.extend(name.as_bytes());
        self.entries = self.entries.checked_add(1).ok_or_else(too_large)?;
        Ok(())
    }

    /// The whole of it.
    ///
    /// # Errors
    /// An archive of more than 4 GiB.
    pub fn finish(self) -> io::Result<Vec<u8>> {
        let Self { mut bytes, directory, entries } = self;
        let (offset, size) = (small(bytes.len())?, small(directory.len())?);
        bytes.extend(directory);
        put32(&mut bytes, END);
        // This disk and the directory's are the first.
        bytes.extend([0; 4]);
        put16(&mut bytes, entries);
        put16(&mut bytes, entries);
        put32(&mut bytes, size);
        put32(&mut bytes, offset);
        // No comment.
        put16(&mut bytes, 0);
        Ok(bytes)
    }
}

/// What the local header and the directory both say of an entry.
struct About<'n> {
    crc: u32,
    packed: u32,
    size: u32,
    name: &'n str,
}

impl About<'_> {
    fn put(&self, to: &mut Vec<u8>) -> io::Result<()> {
        for number in [VERSION, FLAGS, DEFLATE, TIME, DATE] {
            put16(to, number);
        }
        for number in [self.crc, self.packed, self.size] {
            put32(to, number);
        }
        put16(to, u16::try_from(self.name.len()).map_err(|_| too_large())?);
        // No further fields.
        put16(to, 0);
        Ok(())
    }
}

/// Compresses, sums up and counts.
struct Packing {
    deflate: DeflateEncoder<Vec<u8>>,
    crc: Crc,
    size: usize,
}

impl Write for Packing {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = self.deflate.write(bytes)?;
        self.crc.update(bytes.get(..taken).unwrap_or_default());
        self.size += taken;
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        // A flush in the middle would only make it longer.
        Ok(())
    }
}

fn put16(to: &mut Vec<u8>, number: u16) {
    to.extend(number.to_le_bytes());
}

fn put32(to: &mut Vec<u8>, number: u32) {
    to.extend(number.to_le_bytes());
}

/// Archives beyond 4 GiB have another layout.
fn small(size: usize) -> io::Result<u32> {
    u32::try_from(size).map_err(|_| too_large())
}

fn too_large() -> io::Error {
    io::Error::other("the archive would be larger than 4 GiB")
}

/// Names and contents, read through the central directory.
#[cfg(test)]
pub(super) fn entries(bytes: &[u8]) -> Vec<(String, Vec<u8>)> {
    use std::io::Read;
    let n16 = |at: usize| usize::from(u16::from_le_bytes([bytes[at], bytes[at + 1]]));
    let n32 = |at: usize| n16(at) | n16(at + 2) << 16;
    let end = bytes.len() - 22;
    assert_eq!(bytes[end..end + 4], *b"PK\x05\x06");
    assert_eq!(n32(end + 16) + n32(end + 12), end);
    let mut at = n32(end + 16);
    (0..n16(end + 10))
        .map(|_| {
            assert_eq!(bytes[at..at + 4], *b"PK\x01\x02");
            let name = String::from_utf8(bytes[at + 46..at + 46 + n16(at + 28)].to_vec()).unwrap();
            let (packed, size, local) = (n32(at + 20), n32(at + 24), n32(at + 42));
            assert_eq!(bytes[local..local + 4], *b"PK\x03\x04");
            // The local header says the same, two bytes further to the front.
            assert_eq!(bytes[local + 4..local + 30], bytes[at + 6..at + 32]);
            let data = local + 30 + n16(local + 26);
            let mut content = Vec::new();
            flate2::read::DeflateDecoder::new(&bytes[data..data + packed])
                .read_to_end(&mut content)
                .unwrap();
            assert_eq!(content.len(), size);
            let mut crc = Crc::new();
            crc.update(&content);
            assert_eq!(crc.sum() as usize, n32(at + 16));
            at += 46 + n16(at + 28);
            (name, content)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_come_back() {
        let long = "round and round ".repeat(10_000);
        let mut archive = Archive::default();
        archive.add("a/b.txt", |out| out.write_all(b"123456789")).unwrap();
        archive.add("empty", |_| Ok(())).unwrap();
        archive.add("long", |out| out.write_all(long.as_bytes())).unwrap();
        let bytes = archive.finish().unwrap();
        assert!(bytes.len() < 2000, "{} bytes: compressed", bytes.len());
        let found = entries(&bytes);
        assert_eq!(found[0], ("a/b.txt".into(), b"123456789".to_vec()));
        assert_eq!((found[1].0.as_str(), found[1].1.len()), ("empty", 0));
        assert_eq!((found[2].0.as_str(), found[2].1.as_slice()), ("long", long.as_bytes()));
        // The check string of CRC-32 (computed).
        assert_eq!(bytes[14..18], 0xcbf4_3926_u32.to_le_bytes());
    }
}
