//! Why no more can be read of a child's output.

use std::fmt;
use std::io;

/// Why no more can be read of a child's output.
#[derive(Debug)]
pub enum Cut {
    /// It has ended where it may end.
    End,
    /// It has ended in the middle of a unit.
    Short,
    /// It is not what it should be: what it is, in one line with no full stop.
    Broken(String),
    /// The system could not read it.
    Read(io::Error),
}

impl fmt::Display for Cut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::End => f.write_str("it has ended"),
            Self::Short => f.write_str("it ends in the middle of a picture"),
            Self::Broken(why) => f.write_str(why),
            Self::Read(error) => write!(f, "it cannot be read: {error}"),
        }
    }
}
