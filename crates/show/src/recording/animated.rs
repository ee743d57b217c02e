//! A whole recording in one file: an animated PNG (PNG, third edition, "APNG: frame-based animation") of the very pixels
//! that a recording's pictures have, with the same text and seal for each frame.
//!
//! The order of chunks is that of the standard, and each frame's text stands behind its pixels: readers that know no such
//! text pass it over. After each frame the file is whole but for the number of frames at its front. Where writing fails,
//! it is cut back to the last frame that is whole.

use std::io::{self, Cursor, Read, Seek, SeekFrom, Write};
use std::time::Duration;

use super::{Head, Recorded, RecordingError, Seal};

/// What every PNG begins with.
const SIGNATURE: [u8; 8] = [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n'];
/// Length, name and checksum of a chunk.
const AROUND: usize = 12;
/// The longest chunk that is read, and the most of one frame.
const MOST_BYTES: usize = 64 << 20;
/// Sequence numbers of the standard end here.
const LAST_NUMBER: u32 = i32::MAX as u32;

/// Where a file is written that can be cut back.
pub trait Store: Write + Seek {
    /// Takes away all behind this length.
    ///
    /// # Errors
    /// Those of the system.
    fn cut(&mut self, length: u64) -> io::Result<()>;
}

impl Store for std::fs::File {
    fn cut(&mut self, length: u64) -> io::Result<()> {
        self.set_len(length)
    }
}

impl Store for Cursor<Vec<u8>> {
    fn cut(&mut self, length: u64) -> io::Result<()> {
        self.get_mut().truncate(usize::try_from(length).unwrap_or(usize::MAX));
        Ok(())
    }
}

/// Writes a recording as one file.
#[derive(Debug)]
pub struct Writer<S> {
    store: S,
    head: Head,
    seal: Seal,
    /// Where the number of frames stands.
    counted: u64,
    /// Where the next frame goes: the end stands there until then.
    end: u64,
    frames: u32,
    number: u32,
    last: Option<Last>,
}

/// The frame that was written last: how long it stays is known when the next one comes.
#[derive(Clone, Copy, Debug)]
struct Last {
    /// Where its `fcTL` is, and the number of that.
    place: u64,
    number: u32,
    at: Duration,
    lasts: Duration,
}

impl<S: Store> Writer<S> {
    /// For a recording of such frames; writes nothing yet.
    pub fn new(store: S, head: Head) -> Self {
        let (seal, last) = (Seal::START, None);
        Self { store, head, seal, counted: 0, end: 0, frames: 0, number: 0, last }
    }

    /// How many frames are in the file.
    pub fn frames(&self) -> u32 {
        self.frames
    }

    /// Adds a frame that is due so long after the first one. Of a frame that fails nothing stays.
    ///
    /// # Errors
    /// Those of the store, and bytes that are not those of a wall.
    pub fn add(&mut self, at: Duration, bytes: &[u8]) -> io::Result<()> {
        let told = |error: RecordingError| io::Error::other(error.to_string());
        if self.number > LAST_NUMBER - 2 {
            return Err(io::Error::other("an animated PNG takes no more frames than it has"));
        }
        let (file, seal) = Recorded::encode(self.head, at, bytes, self.seal).map_err(told)?;
        let picture = Parts::of(&file).map_err(told)?;
        let (mut out, mut counted) = (Vec::with_capacity(file.len() + 100), self.counted);
        if self.frames == 0 {
            out.extend_from_slice(&SIGNATURE);
            chunk(&mut out, *b"IHDR", &[picture.header]);
            chunk(&mut out, *b"gAMA", &[picture.gamma]);
            counted = out.len() as u64;
            chunk(&mut out, *b"acTL", &[&count(1)]);
        }
        let lasts = self.last.map_or(Duration::ZERO, |last| at.saturating_sub(last.at));
        let place = self.end + out.len() as u64;
        let last = Last { place, number: self.number, at, lasts };
        chunk(&mut out, *b"fcTL", &[&self.control(&last, lasts)]);
        let mut number = self.number + 1;
        for data in &picture.data {
            if self.frames == 0 {
                chunk(&mut out, *b"IDAT", &[data]);
            } else {
                chunk(&mut out, *b"fdAT", &[&number.to_be_bytes(), data]);
                number += 1;
            }
        }
        chunk(&mut out, *b"tEXt", &[picture.text]);
        let length = out.len() as u64;
        chunk(&mut out, *b"IEND", &[]);
        if let Err(error) = self.put(self.end, &out) {
            self.cut_back();
            return Err(error);
        }
        if let Some(before) = self.last {
            self.put_control(&before, lasts)?;
        }
        (self.counted, self.seal, self.number, self.last) = (counted, seal, number, Some(last));
        self.end += length;
        self.frames += 1;
        Ok(())
    }

    /// Writes the number of frames, and how long the last one stays: as long as the one before it. The store, which is
    /// whole then.
    ///
    /// # Errors
    /// Those of the store.
    pub fn finish(mut self) -> io::Result<S> {
        let Some(last) = self.last else { return Ok(self.store) };
        self.put_control(&last, last.lasts)?;
        let mut out = Vec::new();
        chunk(&mut out, *b"acTL", &[&count(self.frames)]);
        self.put(self.counted, &out)?;
        self.store.flush()?;
        Ok(self.store)
    }

    fn put(&mut self, at: u64, bytes: &[u8]) -> io::Result<()> {
        self.store.seek(SeekFrom::Start(at))?;
        self.store.write_all(bytes)
    }

    /// Takes away what there is of a frame that failed. The end stood there before, so there is room for it.
    fn cut_back(&mut self) {
        let mut out = Vec::new();
        chunk(&mut out, *b"IEND", &[]);
        let length = if self.frames == 0 { 0 } else { self.end + out.len() as u64 };
        // What fails here is found again by `finish`, or leaves bytes behind the end, which no reader looks at.
        let _ = self.store.cut(length);
        if self.frames > 0 {
            let _ = self.put(self.end, &out);
        }
    }

    fn put_control(&mut self, last: &Last, lasts: Duration) -> io::Result<()> {
        let mut out = Vec::new();
        chunk(&mut out, *b"fcTL", &[&self.control(last, lasts)]);
        self.put(last.place, &out)
    }

    /// What the standard's `fcTL` holds: number, size, place, how long it stays, and that it replaces all before it.
    fn control(&self, last: &Last, lasts: Duration) -> [u8; 26] {
        let mut control = [0; 26];
        let (over, under) = fraction(last.at, lasts);
        let mut rest = &mut control[..];
        let fields: [&[u8]; 5] = [
            &last.number.to_be_bytes(),
            &self.head.columns.to_be_bytes(),
            &self.head.picture_rows().to_be_bytes(),
            &[0; 8],
            &[over.to_be_bytes(), under.to_be_bytes()].concat(),
        ];
        for field in fields {
            // Cannot fail: they are 24 bytes together.
            let _ = rest.write_all(field);
        }
        control
    }
}

/// How long a frame stays, as the standard has it: a fraction of a second of two numbers of 16 bits. Both its ends are
/// rounded, in place of its length, so that the errors of many frames do not add up.
fn fraction(at: Duration, lasts: Duration) -> (u16, u16) {
    let ticks = |time: Duration, under: u16| {
        (time.as_nanos() * u128::from(under) + 500_000_000) / 1_000_000_000
    };
    let of = |under: u16| {
        let over = ticks(at.saturating_add(lasts), under) - ticks(at, under);
        u16::try_from(over).ok().map(|over| (over, under))
    };
    [10_000, 1000, 100, 10, 1].into_iter().find_map(of).unwrap_or((u16::MAX, 1))
}

/// What `acTL` holds: as many frames, over and over.
fn count(frames: u32) -> [u8; 8] {
    let [a, b, c, d] = frames.to_be_bytes();
    [a, b, c, d, 0, 0, 0, 0]
}

/// What a recording's picture is made of.
#[derive(Default)]
struct Parts<'a> {
    header: &'a [u8],
    gamma: &'a [u8],
    text: &'a [u8],
    data: Vec<&'a [u8]>,
}

impl<'a> Parts<'a> {
    fn of(file: &'a [u8]) -> Result<Self, RecordingError> {
        let mut parts = Self::default();
        let mut rest = file.get(SIGNATURE.len()..).unwrap_or_default();
        while let Some((length, name)) = rest.first_chunk::<8>().map(begun) {
            let content = rest.get(8..8 + length).ok_or_else(cut)?;
            match &name {
                b"IHDR" => parts.header = content,
                b"gAMA" => parts.gamma = content,
                b"tEXt" => parts.text = content,
                b"IDAT" => parts.data.push(content),
                _ => {}
            }
            rest = rest.get(length + AROUND..).ok_or_else(cut)?;
        }
        Ok(parts)
    }
}

fn cut() -> RecordingError {
    RecordingError::Broken("it breaks off".into())
}

/// Length and name of a chunk.
fn begun(&[a, b, c, d, name @ ..]: &[u8; 8]) -> (usize, [u8; 4]) {
    (u32::from_be_bytes([a, b, c, d]) as usize, name)
}

/// Adds a chunk of these pieces.
fn chunk(out: &mut Vec<u8>, name: [u8; 4], pieces: &[&[u8]]) {
    let length: usize = pieces.iter().map(|piece| piece.len()).sum();
    out.extend_from_slice(&u32::try_from(length).unwrap_or(u32::MAX).to_be_bytes());
    let from = out.len();
    out.extend_from_slice(&name);
    pieces.iter().for_each(|piece| out.extend_from_slice(piece));
    let sum = checksum(out.get(from..).unwrap_or_default());
    out.extend_from_slice(&sum.to_be_bytes());
}

/// The standard's checksum (PNG, third edition, annex D: CRC-32 of ISO 3309).
fn checksum(bytes: &[u8]) -> u32 {
    const TABLE: [u32; 256] = {
        let mut table = [0; 256];
        let mut n = 0;
        while n < 256 {
            let (mut c, mut k) = (n as u32, 0);
            while k < 8 {
                c = if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 };
                k += 1;
            }
            table[n] = c;
            n += 1;
        }
        table
    };
    !bytes
        .iter()
        .fold(u32::MAX, |sum, byte| TABLE[usize::from(sum.to_le_bytes()[0] ^ byte)] ^ (sum >> 8))
}

/// Reads a recording's one file, frame after frame, with one frame in memory.
#[derive(Debug)]
pub struct Reader<R> {
    from: R,
    header: Vec<u8>,
    /// The frames' first chunk has been read.
    begun: bool,
    over: bool,
}

impl<R: Read + Seek> Reader<R> {
    /// From the beginning of a file.
    pub fn new(from: R) -> Self {
        Self { from, header: Vec::new(), begun: false, over: false }
    }

    /// Begins anew with the first frame.
    ///
    /// # Errors
    /// Those of the system.
    pub fn rewind(&mut self) -> io::Result<()> {
        (self.begun, self.over) = (false, false);
        self.from.rewind()
    }

    /// The next frame; `None` at the end, and after an error.
    ///
    /// # Errors
    /// Where the file is not one that [`Writer`] made, or cannot be read.
    pub fn read(&mut self) -> Result<Option<Recorded>, RecordingError> {
        if self.over {
            return Ok(None);
        }
        let read = self.next();
        self.over |= read.is_err();
        read.map(Some)
    }

    fn next(&mut self) -> Result<Recorded, RecordingError> {
        if !self.begun {
            let mut signature = [0; 8];
            self.fill(&mut signature)?;
            if signature != SIGNATURE {
                return Err(RecordingError::Broken("it is no PNG".into()));
            }
            let mut name = [0; 4];
            while name != *b"fcTL" {
                let content;
                (name, content) = self.chunk()?;
                match &name {
                    b"IHDR" => self.header = content,
                    b"IDAT" | b"IEND" => return Err(RecordingError::NoRecording),
                    _ => {}
                }
            }
            self.begun = true;
        }
        // From behind `fcTL` to the one of the next frame.
        let (mut text, mut data) = (Vec::new(), Vec::new());
        loop {
            let (name, content) = self.chunk()?;
            match &name {
                b"IDAT" => data.extend_from_slice(&content),
                b"fdAT" => data.extend_from_slice(content.get(4..).ok_or_else(cut)?),
                b"tEXt" => text = content,
                b"fcTL" => break,
                b"IEND" => {
                    self.over = true;
                    break;
                }
                _ => {}
            }
            if data.len() > MOST_BYTES {
                return Err(RecordingError::Broken("a frame of it is too large".into()));
            }
        }
        let mut file = SIGNATURE.to_vec();
        chunk(&mut file, *b"IHDR", &[&self.header]);
        chunk(&mut file, *b"tEXt", &[&text]);
        chunk(&mut file, *b"IDAT", &[&data]);
        chunk(&mut file, *b"IEND", &[]);
        Recorded::decode(&file)
    }

    /// A chunk's name and content.
    fn chunk(&mut self) -> Result<([u8; 4], Vec<u8>), RecordingError> {
        let mut head = [0; 8];
        self.fill(&mut head)?;
        let (length, name) = begun(&head);
        if length > MOST_BYTES {
            return Err(RecordingError::Broken("a part of it is too large".into()));
        }
        let mut content = Vec::new();
        let read = (&mut self.from).take(length as u64).read_to_end(&mut content);
        if read.map_err(unread)? != length {
            return Err(cut());
        }
        // The seal says more than the checksum.
        self.fill(&mut [0; 4])?;
        Ok((name, content))
    }

    fn fill(&mut self, into: &mut [u8]) -> Result<(), RecordingError> {
        self.from.read_exact(into).map_err(unread)
    }
}

fn unread(error: io::Error) -> RecordingError {
    if error.kind() == io::ErrorKind::UnexpectedEof {
        return cut();
    }
    RecordingError::Broken(error.to_string())
}

#[cfg(test)]
mod tests;
