//! Films, streams and capture: pictures and sound that the program ffmpeg reads for us.
//!
//! Rule of this room: the only one that starts other programs. It leans on show, for the pictures go through
//! its average in linear light; it knows no walls, panels or sockets. A command line is made of values and
//! handed to the system as it is: no shell ever sees it.
//!
//! | module | holds |
//! | --- | --- |
//! | [`ffmpeg`] | which program it is, and how long it is waited for |
//! | [`input`] | what is read, as arguments |
//! | [`capture`] | screens, windows and cameras of each system, as arguments |
//! | [`supervisor`] | a child that is started, watched, ended and started again |
//! | [`nut`] | raw pictures with sizes and times out of a pipe |
//! | [`film`] | pictures as a source |
//! | [`samples`] | sound as samples |
//! | [`ears`] | the same, as it is drawn |

pub mod capture;
mod child;
mod cut;
pub mod ears;
pub mod ffmpeg;
pub mod film;
pub mod input;
pub mod nut;
pub mod samples;
pub mod supervisor;
mod tail;

pub use capture::{Camera, Microphone, Platform, Screen, Window};
pub use cut::Cut;
pub use ears::{Ears, Lateness};
pub use ffmpeg::{Ffmpeg, Patience};
pub use film::{Film, Showing};
pub use input::{Input, InputError, Pace, TestPicture};
pub use samples::{SampleRate, Samples};
