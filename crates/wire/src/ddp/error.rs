//! Why bytes are no DDP packet, or why a packet cannot be built.

use std::fmt;

/// Why bytes are no DDP packet, or why a packet cannot be built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error {
    /// Fewer bytes than the header has, or than the stated length needs.
    Short {
        /// Bytes that the packet needs.
        wanted: usize,
        /// Bytes that are there.
        found: usize,
    },
    /// Another version than 1.
    Version(u8),
    /// More than 65,535 bytes of data to be sent.
    Data(usize),
    /// The buffer lent for a packet is too small.
    Buffer {
        /// Bytes that the packet takes.
        wanted: usize,
        /// Bytes that were lent.
        found: usize,
    },
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Short { wanted, found } => {
                write!(f, "the packet has {found} bytes; it needs {wanted}")
            }
            Self::Version(found) => write!(f, "the packet is of DDP version {found}; 1 is wanted"),
            Self::Data(found) => write!(f, "{found} bytes of data; a packet carries 65535 at most"),
            Self::Buffer { wanted, found } => {
                write!(f, "the packet takes {wanted} bytes; the buffer has {found}")
            }
        }
    }
}

impl std::error::Error for Error {}
