//! Why bytes are no Art-Net packet, or why a packet cannot be built.

use std::fmt;

/// Why bytes are no Art-Net packet, or why a packet cannot be built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error {
    /// Fewer bytes than the packet has by its kind, or by the length that it states.
    Short {
        /// Bytes that the packet needs.
        wanted: usize,
        /// Bytes that are there.
        found: usize,
    },
    /// The packet does not begin with `Art-Net` and NUL.
    Identifier,
    /// Another kind of packet than is wanted here.
    OpCode(u16),
    /// A protocol version below 14.
    Version(u16),
    /// A Port-Address above 32,767.
    PortAddress(u16),
    /// A number of slots that is odd, or outside 2 to 512; to be sent: outside 1 to 512.
    Slots(usize),
    /// A reply with more than four ports.
    Ports(u16),
    /// Outputs that one reply cannot name: of two nets or sub-nets, or with a gap.
    Outputs,
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
            Self::Identifier => f.write_str("the packet is not marked Art-Net"),
            Self::OpCode(found) => {
                write!(f, "the packet is of kind {found:#06x}, which is not wanted here")
            }
            Self::Version(found) => {
                write!(f, "the packet is of protocol version {found}; 14 or later is wanted")
            }
            Self::PortAddress(found) => {
                write!(f, "Port-Address {found} is not within 0 to 32767")
            }
            Self::Slots(found) => {
                write!(f, "{found} slots; a packet carries an even number, 2 to 512")
            }
            Self::Ports(found) => write!(f, "{found} ports in one reply; 0 to 4 are wanted"),
            Self::Outputs => f.write_str(
                "the outputs of one reply must follow each other and share net and sub-net",
            ),
            Self::Buffer { wanted, found } => {
                write!(f, "the packet takes {wanted} bytes; the buffer has {found}")
            }
        }
    }
}

impl std::error::Error for Error {}
