//! A recording in a WAV file, played round and round.

use std::fmt;
use std::io::{Read, Seek};
use std::time::Duration;

use hound::{SampleFormat, WavReader};

use crate::analyser::{Rate, SoundError};
use crate::feed::{Due, Fed, Feed};

/// Why a WAV file cannot be played.
#[derive(Debug)]
pub enum RecordingError {
    /// It is no WAV file that can be read: why.
    Unreadable(String),
    /// Its rate is not supported.
    Rate(SoundError),
    /// It has no samples.
    Empty,
}

impl fmt::Display for RecordingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable(why) => {
                write!(
                    f,
                    "it is no WAV file that can be read ({why}); wanted is PCM of 8 to 32 bits, or "
                )?;
                f.write_str("32-bit float")
            }
            Self::Rate(error) => write!(f, "{error}"),
            Self::Empty => f.write_str("it has no samples"),
        }
    }
}

impl std::error::Error for RecordingError {}

/// A WAV file: its channels' mean, at its own pace, again and again.
pub struct Recording<R> {
    reader: WavReader<R>,
    rate: Rate,
    channels: usize,
    kind: Kind,
    /// Samples of one channel, and which comes next.
    length: u32,
    next: u32,
    due: Due,
}

#[derive(Clone, Copy)]
enum Kind {
    /// Whole numbers, and what they are multiplied by.
    Whole(f32),
    Float,
}

impl<R: Read + Seek + Send> Recording<R> {
    /// Reads the head of a file.
    ///
    /// # Errors
    /// When it is no WAV file, or one of a kind that is not known, or empty.
    pub fn open(from: R) -> Result<Self, RecordingError> {
        let unreadable = |error: hound::Error| RecordingError::Unreadable(error.to_string());
        let reader = WavReader::new(from).map_err(unreadable)?;
        let spec = reader.spec();
        let rate = Rate::new(spec.sample_rate).map_err(RecordingError::Rate)?;
        let kind = match (spec.sample_format, spec.bits_per_sample) {
            (SampleFormat::Int, bits @ 1..=32) => Kind::Whole(0.5f32.powi(i32::from(bits) - 1)),
            (SampleFormat::Float, 32) => Kind::Float,
            (_, bits) => {
                return Err(RecordingError::Unreadable(format!("samples of {bits} bits")));
            }
        };
        let length = reader.duration();
        if length == 0 || spec.channels == 0 {
            return Err(RecordingError::Empty);
        }
        let channels = usize::from(spec.channels);
        Ok(Self { reader, rate, channels, kind, length, next: 0, due: Due::new(rate) })
    }

    /// Samples of one channel.
    #[must_use]
    pub fn length(&self) -> u32 {
        self.length
    }

    /// Reads so many samples on from where it is, at most to the end.
    fn read(&mut self, count: u32, into: &mut Vec<f32>) -> Result<(), hound::Error> {
        let values = count as usize * self.channels;
        let channels = self.channels;
        self.next += count;
        let mut sums = Sums { into, channels, seen: 0, sum: 0.0 };
        match self.kind {
            Kind::Float => {
                for sample in self.reader.samples::<f32>().take(values) {
                    sums.add(sample?);
                }
            }
            Kind::Whole(scale) => {
                for sample in self.reader.samples::<i32>().take(values) {
                    sums.add(sample? as f32 * scale);
                }
            }
        }
        Ok(())
    }

    fn go_to(&mut self, sample: u32) -> Result<(), hound::Error> {
        self.next = sample;
        self.reader.seek(sample).map_err(hound::Error::IoError)
    }

    fn give(&mut self, over: u64, count: usize, into: &mut Vec<f32>) -> Result<(), hound::Error> {
        if over > 0 {
            let to = (u64::from(self.next) + over) % u64::from(self.length);
            self.go_to(to as u32)?;
        }
        let mut left = u32::try_from(count).unwrap_or(u32::MAX);
        while left > 0 {
            if self.next >= self.length {
                self.go_to(0)?;
            }
            let now = left.min(self.length - self.next);
            self.read(now, into)?;
            left -= now;
        }
        Ok(())
    }
}

/// Means of channels.
struct Sums<'a> {
    into: &'a mut Vec<f32>,
    channels: usize,
    seen: usize,
    sum: f32,
}

impl Sums<'_> {
    fn add(&mut self, sample: f32) {
        self.sum += sample;
        self.seen += 1;
        if self.seen == self.channels {
            self.into.push(self.sum / self.channels as f32);
            (self.seen, self.sum) = (0, 0.0);
        }
    }
}

impl<R: Read + Seek + Send> Feed for Recording<R> {
    fn rate(&self) -> Rate {
        self.rate
    }

    fn feed(&mut self, at: Duration, into: &mut Vec<f32>) -> Fed {
        let (over, count) = self.due.until(at);
        match self.give(over, count, into) {
            Ok(()) => Fed::Well,
            Err(error) => {
                // From the start, as after the end: what can be read is played.
                self.next = self.length;
                Fed::Silent(format!("the recording cannot be read on: {error}; it begins anew"))
            }
        }
    }
}

#[cfg(test)]
mod tests;
