//! Why bytes are no E1.31 packet, or why a packet cannot be built.

use std::fmt;

/// A layer of a packet: each states its own length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layer {
    /// From byte 16: the sender's identity and everything after.
    Root,
    /// From byte 38: the name, the universe, the order.
    Framing,
    /// From byte 115 of a data packet: the slots.
    Dmp,
    /// From byte 112 of a discovery packet: the list of universes.
    List,
}

impl fmt::Display for Layer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Root => "root layer",
            Self::Framing => "framing layer",
            Self::Dmp => "slot layer",
            Self::List => "list of universes",
        })
    }
}

/// Why bytes are no E1.31 packet, or why a packet cannot be built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error {
    /// Fewer bytes than the header, or than the root layer states.
    Short {
        /// Bytes that the packet needs.
        wanted: usize,
        /// Bytes that are there.
        found: usize,
    },
    /// More bytes than a packet of its kind has.
    Long {
        /// Bytes of such a packet.
        wanted: usize,
        /// Bytes that are there.
        found: usize,
    },
    /// The first four bytes are not 00 10 00 00.
    Preamble,
    /// Bytes 4 to 15 do not read `ASC-E1.17`.
    Identifier,
    /// The four bits in front of a length are not 7.
    Flags(Layer),
    /// A layer states another length than it has.
    Length {
        /// Which layer.
        layer: Layer,
        /// The length that it states.
        stated: usize,
        /// The length that it has.
        found: usize,
    },
    /// A layer holds something else than is wanted here.
    Vector {
        /// Which layer.
        layer: Layer,
        /// The number that says what the layer holds.
        found: u32,
    },
    /// Bytes 118 to 122 of a data packet are not a1 00 00 00 01: slots in order from the first.
    Addressing,
    /// The number of properties is not that of the slots plus one.
    Count {
        /// As stated.
        stated: usize,
        /// As counted.
        found: usize,
    },
    /// A universe outside 1 to 63,999.
    Universe(u16),
    /// A synchronization address that is no universe.
    SyncAddress(u16),
    /// A priority above 200.
    Priority(u8),
    /// More than 512 slots.
    Slots(usize),
    /// More than 512 universes on one page.
    Universes(usize),
    /// A list of universes that ends in the middle of one.
    HalfUniverse,
    /// Universes that do not ascend.
    Order {
        /// The universe before.
        before: u16,
        /// The one that should be greater.
        after: u16,
    },
    /// A page numbered above the last page.
    Page {
        /// The page.
        page: u8,
        /// The last page.
        last: u8,
    },
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
            Self::Long { wanted, found } => {
                write!(f, "the packet has {found} bytes; its kind has {wanted}")
            }
            Self::Preamble => f.write_str("the packet does not begin with 00 10 00 00"),
            Self::Identifier => f.write_str("the packet is not marked ASC-E1.17"),
            Self::Flags(layer) => write!(f, "the length of the {layer} is not marked with 7"),
            Self::Length { layer, stated, found } => {
                write!(f, "the {layer} states {stated} bytes but has {found}")
            }
            Self::Vector { layer, found } => {
                write!(f, "the {layer} is of kind {found}, which is not wanted here")
            }
            Self::Addressing => f.write_str("the slots are not in order from the first"),
            Self::Count { stated, found } => {
                write!(f, "the packet states {stated} values but has {found}")
            }
            Self::Universe(found) => write!(f, "universe {found} is not within 1 to 63999"),
            Self::SyncAddress(found) => {
                write!(f, "synchronization address {found} is not within 1 to 63999")
            }
            Self::Priority(found) => write!(f, "priority {found} is not within 0 to 200"),
            Self::Slots(found) => write!(f, "{found} slots; a universe holds 512"),
            Self::Universes(found) => write!(f, "{found} universes; a page lists 512"),
            Self::HalfUniverse => f.write_str("the list ends in the middle of a universe"),
            Self::Order { before, after } => {
                write!(f, "universe {after} is listed after {before}; each must be greater")
            }
            Self::Page { page, last } => write!(f, "page {page} comes after the last, {last}"),
            Self::Buffer { wanted, found } => {
                write!(f, "the packet takes {wanted} bytes; the buffer has {found}")
            }
        }
    }
}

impl std::error::Error for Error {}
