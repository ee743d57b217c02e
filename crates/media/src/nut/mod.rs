//! Raw pictures with their size and their times out of a pipe: NUT, the open container that ffmpeg has for
//! them (ffmpeg.org/nut, version 3). A raw pipe has neither size nor time, and each has to be known: times for
//! the pace, the size because a picture of another size than was thought would come out as slanted stripes.

mod head;

use std::io::{self, ErrorKind, Read};
use std::time::Duration;

use head::{Head, INVALID};

use crate::cut::Cut;

/// What a file begins with.
const FILE_ID: &[u8; 25] = b"nut/multimedia container\0";
/// The first byte of every packet that is no frame.
const PACKET: u8 = b'N';
const MAIN: u64 = 0x4E4D_7A56_1F5F_04AD;
const STREAM: u64 = 0x4E53_1140_5BF2_F9DB;
const SYNCPOINT: u64 = 0x4E4B_E4AD_EECA_4569;

/// The largest packet that is no frame, and the largest frame, bytes.
const MOST_PACKET: u64 = 1 << 20;
pub(crate) const MOST_FRAME: u64 = 256 << 20;

const CODED_PTS: u64 = 8;
const STREAM_ID: u64 = 16;
const SIZE_MSB: u64 = 32;
const CHECKSUM: u64 = 64;
const RESERVED: u64 = 128;
const SIDE_DATA: u64 = 256;
const HEADER_INDEX: u64 = 1024;
const MATCH_TIME: u64 = 2048;
const CODED: u64 = 4096;

/// Reads one stream of pictures.
#[derive(Debug, Default)]
pub struct Reader {
    begun: bool,
    head: Head,
    last_pts: i64,
    packet: Vec<u8>,
}

impl Reader {
    /// Pixels across and down; `None` before the first frame.
    #[must_use]
    pub fn size(&self) -> Option<(u32, u32)> {
        self.head.size
    }

    /// Reads up to the end of the next frame, which fills `frame`. Gives its time.
    ///
    /// # Errors
    /// [`Cut::End`] where the output ends between two frames.
    pub fn next(&mut self, from: &mut dyn Read, frame: &mut Vec<u8>) -> Result<Duration, Cut> {
        if !self.begun {
            let mut id = [0; FILE_ID.len()];
            let first = byte(from)?.ok_or(Cut::End)?;
            id[0] = first;
            fill(from, &mut id[1..])?;
            if id != *FILE_ID {
                return Err(Cut::Broken("what comes is no NUT".into()));
            }
            self.begun = true;
        }
        loop {
            let code = byte(from)?.ok_or(Cut::End)?;
            if code == PACKET {
                self.packet(from)?;
            } else if let Some(time) = self.frame(code, from, frame)? {
                return Ok(time);
            }
        }
    }

    fn packet(&mut self, from: &mut dyn Read) -> Result<(), Cut> {
        let mut rest = [0; 7];
        fill(from, &mut rest)?;
        let start = rest.iter().fold(u64::from(PACKET), |code, byte| code << 8 | u64::from(*byte));
        let length = number(from)?;
        if !(4..=MOST_PACKET).contains(&length) {
            return Err(Cut::Broken(format!("a packet of {length} bytes")));
        }
        if length > 4096 {
            fill(from, &mut [0; 4])?;
        }
        self.packet.resize(length as usize, 0);
        fill(from, &mut self.packet)?;
        // A pipe loses nothing: the checksum at the end is passed over.
        let mut body = self.packet.get(..self.packet.len() - 4).unwrap_or_default();
        match start {
            MAIN => self.head = Head::read(&mut body)?,
            STREAM => self.head.read_stream(&mut body)?,
            SYNCPOINT => self.last_pts = self.head.syncpoint(number(&mut body)?),
            // What else there is tells of what we need not know.
            _ => {}
        }
        Ok(())
    }

    /// `None`: a frame of another stream, or an empty one.
    fn frame(
        &mut self,
        code: u8,
        from: &mut dyn Read,
        into: &mut Vec<u8>,
    ) -> Result<Option<Duration>, Cut> {
        let kind = self.head.codes.get(usize::from(code)).copied().unwrap_or_default();
        let mut flags = kind.flags;
        if flags & INVALID != 0 || self.head.size.is_none() {
            return Err(Cut::Broken(format!("a frame of an unknown kind, {code}")));
        }
        if flags & CODED != 0 {
            flags ^= number(from)?;
        }
        let stream = if flags & STREAM_ID != 0 { number(from)? } else { kind.stream };
        let pts = if flags & CODED_PTS != 0 {
            self.head.whole_pts(number(from)?, self.last_pts)
        } else {
            self.last_pts.saturating_add(kind.pts_delta)
        };
        let more = if flags & SIZE_MSB != 0 { number(from)? } else { 0 };
        let size = more.saturating_mul(kind.size_mul).saturating_add(kind.size_lsb);
        if flags & MATCH_TIME != 0 {
            number(from)?;
        }
        let index = if flags & HEADER_INDEX != 0 { number(from)? } else { kind.header };
        let reserved = if flags & RESERVED != 0 { number(from)? } else { kind.reserved };
        if reserved > 256 || flags & SIDE_DATA != 0 || size > MOST_FRAME {
            return Err(Cut::Broken(format!("a frame of {size} bytes that cannot be read")));
        }
        for _ in 0..reserved {
            number(from)?;
        }
        if flags & CHECKSUM != 0 {
            fill(from, &mut [0; 4])?;
        }
        // Small frames may leave out a beginning that many have.
        let left_out = if size > 4096 { &[] } else { self.head.left_out(index)? };
        into.clear();
        into.extend_from_slice(left_out.get(..size as usize).unwrap_or(left_out));
        let start = into.len();
        into.resize(size as usize, 0);
        fill(from, into.get_mut(start..).unwrap_or_default())?;
        if stream != 0 {
            return Ok(None);
        }
        self.last_pts = pts;
        Ok((size > 0).then(|| self.head.time(pts)))
    }
}

/// One byte, `None` at the end.
fn byte(from: &mut dyn Read) -> Result<Option<u8>, Cut> {
    let mut byte = [0];
    loop {
        match from.read(&mut byte) {
            Ok(0) => return Ok(None),
            Ok(_) => return Ok(Some(byte[0])),
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(error) => return Err(error.into()),
        }
    }
}

fn fill(from: &mut dyn Read, into: &mut [u8]) -> Result<(), Cut> {
    from.read_exact(into).map_err(|error| match error.kind() {
        ErrorKind::UnexpectedEof => Cut::Short,
        _ => error.into(),
    })
}

/// A whole number: seven bits to a byte, the high bit while more come.
fn number(from: &mut dyn Read) -> Result<u64, Cut> {
    let mut value = 0u64;
    for _ in 0..10 {
        let mut byte = [0];
        fill(from, &mut byte)?;
        value = value << 7 | u64::from(byte[0] & 0x7F);
        if byte[0] & 0x80 == 0 {
            return Ok(value);
        }
    }
    Err(Cut::Broken("a number without an end".into()))
}

/// One that may be below nothing.
fn signed(from: &mut dyn Read) -> Result<i64, Cut> {
    let coded = number(from)?.saturating_add(1);
    let size = i64::try_from(coded >> 1).unwrap_or(i64::MAX);
    Ok(if coded & 1 == 1 { -size } else { size })
}

impl From<io::Error> for Cut {
    fn from(error: io::Error) -> Self {
        Self::Read(error)
    }
}
