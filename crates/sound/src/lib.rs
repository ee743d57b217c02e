//! Sound: samples to what can be seen of it, which is how loud it is, where in the spectrum, and when it
//! beats.
//!
//! Rule of this room: samples in, figures out. No files, devices or clock: a recording is read from
//! whatever yields its bytes, and time is counted in samples. No light and no wall: what is drawn of it
//! is decided elsewhere.
//!
//! The way through it: a [`Feed`] yields samples of a mono sound; an [`Analyser`] takes them in blocks of
//! any size and, hop by hop, gives what it [`Heard`]; an [`Impression`] puts that into shares of what has
//! been heard lately, whatever the loudness of the room.

mod analyser;
mod bands;
mod feed;
mod impression;
mod level;
mod onset;
mod recording;
mod spectrum;
mod weighting;

pub use analyser::{Analyser, Beat, Heard, Latency, Rate, SoundError};
pub use bands::{Band, BandsPerOctave, bands};
pub use feed::{Due, Fed, Feed};
pub use impression::Impression;
pub use level::{Ballistics, Follower, QUIET, decibels};
pub use recording::{Recording, RecordingError};
pub use spectrum::{Spectrum, band_powers};
pub use weighting::a_weighting;
