//! What stands ahead of the frames: what each kind of frame means, the measure of time, the size.

use std::time::Duration;

use super::{fill, number, signed};
use crate::cut::Cut;

pub(super) const INVALID: u64 = 8192;

/// What the first byte of a frame means.
#[derive(Clone, Copy, Debug)]
pub(super) struct Code {
    pub(super) flags: u64,
    pub(super) stream: u64,
    pub(super) size_mul: u64,
    pub(super) size_lsb: u64,
    pub(super) pts_delta: i64,
    pub(super) reserved: u64,
    pub(super) header: u64,
}

impl Default for Code {
    fn default() -> Self {
        Self {
            flags: INVALID,
            stream: 0,
            size_mul: 1,
            size_lsb: 0,
            pts_delta: 0,
            reserved: 0,
            header: 0,
        }
    }
}

/// What is known before the frames.
#[derive(Debug, Default)]
pub(super) struct Head {
    pub(super) codes: Vec<Code>,
    /// Of the first stream.
    pub(super) size: Option<(u32, u32)>,
    /// Seconds as fractions.
    time_bases: Vec<(u64, u64)>,
    time_base: usize,
    pts_shift: u32,
    /// What small frames may begin with, and then leave out.
    beginnings: Vec<Vec<u8>>,
}

impl Head {
    /// Reads the main header.
    pub(super) fn read(mut from: &mut &[u8]) -> Result<Self, Cut> {
        let version = number(&mut from)?;
        if version != 3 {
            return Err(Cut::Broken(format!("NUT of version {version}, not 3")));
        }
        let (_streams, _distance) = (number(&mut from)?, number(&mut from)?);
        let mut time_bases = Vec::new();
        for _ in 0..few(number(&mut from)?)? {
            let (over, under) = (number(&mut from)?, number(&mut from)?);
            if over == 0 || under == 0 {
                return Err(Cut::Broken("a measure of time that is nothing".into()));
            }
            time_bases.push((over, under));
        }
        let codes = read_codes(from)?;
        let mut beginnings = vec![Vec::new()];
        if !from.is_empty() {
            for _ in 0..few(number(&mut from)?)? {
                let mut bytes = vec![0; few(number(&mut from)?)?];
                fill(&mut from, &mut bytes)?;
                beginnings.push(bytes);
            }
        }
        Ok(Self { codes, time_bases, beginnings, ..Self::default() })
    }

    /// Reads the header of a stream. Only the first counts.
    pub(super) fn read_stream(&mut self, mut from: &mut &[u8]) -> Result<(), Cut> {
        let (id, class) = (number(&mut from)?, number(&mut from)?);
        if id != 0 {
            return Ok(());
        }
        if class != 0 {
            return Err(Cut::Broken("its first stream has no pictures".into()));
        }
        let mut kind = vec![0; few(number(&mut from)?)?];
        fill(&mut from, &mut kind)?;
        self.time_base = few(number(&mut from)?)?;
        self.pts_shift = u32::try_from(number(&mut from)?).unwrap_or(u32::MAX).min(32);
        let (_distance, _delay, _flags) =
            (number(&mut from)?, number(&mut from)?, number(&mut from)?);
        let mut private = vec![0; few(number(&mut from)?)?];
        fill(&mut from, &mut private)?;
        let (width, height) = (number(&mut from)?, number(&mut from)?);
        let side = |side: u64| u32::try_from(side).ok().filter(|side| *side > 0);
        self.size = side(width).zip(side(height));
        if self.size.is_none() || self.time_base >= self.time_bases.len() {
            return Err(Cut::Broken(format!("pictures of {width} x {height} pixels")));
        }
        Ok(())
    }

    /// The time in the stream's measure from a time that tells which measure it has.
    pub(super) fn syncpoint(&self, coded: u64) -> i64 {
        let count = (self.time_bases.len() as u64).max(1);
        let (time, base) = (coded / count, (coded % count) as usize);
        let (Some(from), Some(to)) =
            (self.time_bases.get(base), self.time_bases.get(self.time_base))
        else {
            return 0;
        };
        let over = u128::from(time) * u128::from(from.0) * u128::from(to.1);
        let under = u128::from(from.1) * u128::from(to.0);
        i64::try_from(over / under.max(1)).unwrap_or(i64::MAX)
    }

    /// A time whose high bits may have been left out, near `last`.
    pub(super) fn whole_pts(&self, coded: u64, last: i64) -> i64 {
        let coded = i64::try_from(coded).unwrap_or(i64::MAX);
        let end = 1i64 << self.pts_shift;
        if coded >= end {
            return coded - end;
        }
        let mask = end - 1;
        let lowest = last.saturating_sub(mask / 2);
        (coded.wrapping_sub(lowest) & mask).saturating_add(lowest)
    }

    /// What a frame leaves out of its beginning.
    pub(super) fn left_out(&self, index: u64) -> Result<&[u8], Cut> {
        let index = usize::try_from(index).unwrap_or(usize::MAX);
        self.beginnings
            .get(index)
            .map(Vec::as_slice)
            .ok_or_else(|| Cut::Broken("a frame that begins like none".into()))
    }

    /// Times below nothing are nothing.
    pub(super) fn time(&self, pts: i64) -> Duration {
        let (over, under) = self.time_bases.get(self.time_base).copied().unwrap_or((0, 1));
        let pts = u128::try_from(pts).unwrap_or(0);
        let nanoseconds = pts * u128::from(over) * 1_000_000_000 / u128::from(under.max(1));
        Duration::from_nanos(u64::try_from(nanoseconds).unwrap_or(u64::MAX))
    }
}

/// What each of the 256 first bytes means, in runs of kinds that differ by one.
fn read_codes(mut from: &mut &[u8]) -> Result<Vec<Code>, Cut> {
    let mut codes: Vec<Code> = Vec::with_capacity(256);
    let (mut kind, mut size_mul) = (Code::default(), 1);
    while codes.len() < 256 {
        kind.flags = number(&mut from)?;
        let fields = few(number(&mut from)?)?;
        if fields > 0 {
            kind.pts_delta = signed(&mut from)?;
        }
        if fields > 1 {
            size_mul = number(&mut from)?;
        }
        if fields > 2 {
            kind.stream = number(&mut from)?;
        }
        kind.size_lsb = if fields > 3 { number(&mut from)? } else { 0 };
        kind.reserved = if fields > 4 { number(&mut from)? } else { 0 };
        let count =
            if fields > 5 { number(&mut from)? } else { size_mul.saturating_sub(kind.size_lsb) };
        if fields > 6 {
            signed(&mut from)?;
        }
        if fields > 7 {
            kind.header = number(&mut from)?;
        }
        for _ in 8..fields {
            number(&mut from)?;
        }
        if count == 0 || count > 256 {
            return Err(Cut::Broken("a table of kinds without an end".into()));
        }
        let first = kind.size_lsb;
        for step in 0..count {
            // The byte that begins other packets is no frame's.
            if codes.len() == usize::from(super::PACKET) {
                codes.push(Code::default());
            }
            codes.push(Code { size_mul, size_lsb: first.saturating_add(step), ..kind });
        }
    }
    codes.truncate(256);
    Ok(codes)
}

/// A count that nothing sound passes.
fn few(count: u64) -> Result<usize, Cut> {
    usize::try_from(count)
        .ok()
        .filter(|count| *count <= 1024)
        .ok_or_else(|| Cut::Broken(format!("{count} parts of a header")))
}
