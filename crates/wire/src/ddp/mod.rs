//! DDP version 1: bytes into a display's buffer, over UDP or a serial link.
//!
//! A frame is one or more packets with rising offsets; the last one carries the push flag and shows
//! all. All layouts are those of the open specification in its text of 2022.

mod data_type;
mod error;

pub use data_type::DataType;
pub use error::Error;

/// The UDP port that displays listen on.
pub const PORT: u16 = crate::patch::Protocol::Ddp.port();

/// Bytes of the header without a timecode.
pub const HEADER: usize = 10;

/// Bytes of a timecode.
pub const TIMECODE: usize = 4;

/// The most bytes of data that are sent in one UDP packet: that of the specification's sample. It
/// keeps a packet in one Ethernet frame.
pub const MAX_UDP_DATA: usize = 1440;

/// The most bytes of data that the length field can state.
pub const MAX_DATA: usize = u16::MAX as usize;

/// The destination of pictures where a receiver has but one display.
pub const DISPLAY: u8 = 1;

/// All destinations.
pub const ALL: u8 = 255;

/// Packet numbers: 1 to 15, then 1 again; 0 where a sender does not count.
pub type Sequence = crate::sequence::Sequence<15>;

/// Where each field of a packet lies.
pub mod field {
    use std::ops::Range;

    /// Version and flags.
    pub const FLAGS: usize = 0;
    /// Number of the packet, in the low four bits.
    pub const SEQUENCE: usize = 1;
    /// What the bytes mean.
    pub const DATA_TYPE: usize = 2;
    /// What they are for.
    pub const DESTINATION: usize = 3;
    /// Where in the display's buffer they go, in bytes.
    pub const OFFSET: Range<usize> = 4..8;
    /// How many they are; in a query: how many are wanted.
    pub const LENGTH: Range<usize> = 8..10;
    /// When to show, only where the flags say so.
    pub const TIMECODE: Range<usize> = 10..14;
}

const VERSION: u8 = 0x40;
const TIMECODE_FOLLOWS: u8 = 0x10;
const STORAGE: u8 = 0x08;
const REPLY: u8 = 0x04;
const QUERY: u8 = 0x02;
const PUSH: u8 = 0x01;

/// A packet over any bytes.
#[derive(Clone, Copy, Debug)]
pub struct Packet<T>(T);

impl<T: AsRef<[u8]>> Packet<T> {
    /// After `Ok`, no getter panics. Nothing but the size is looked at.
    ///
    /// # Errors
    /// [`Error::Short`] below 10 bytes, or below what a timecode and the stated length need.
    pub fn new_checked(bytes: T) -> Result<Self, Error> {
        check_size(bytes.as_ref(), HEADER)?;
        let packet = Self(bytes);
        check_size(packet.0.as_ref(), packet.data_start() + packet.data_length())?;
        Ok(packet)
    }

    fn flag(&self, flag: u8) -> bool {
        self.0.as_ref()[field::FLAGS] & flag != 0
    }

    fn data_start(&self) -> usize {
        if self.flag(TIMECODE_FOLLOWS) { HEADER + TIMECODE } else { HEADER }
    }

    fn data_length(&self) -> usize {
        if self.is_query() { 0 } else { self.length().into() }
    }

    /// The protocol's version; 1 in a good packet.
    pub fn version(&self) -> u8 {
        self.0.as_ref()[field::FLAGS] >> 6
    }

    /// Show now.
    pub fn push(&self) -> bool {
        self.flag(PUSH)
    }

    /// The packet asks for something.
    pub fn is_query(&self) -> bool {
        self.flag(QUERY)
    }

    /// The packet answers a query.
    pub fn is_reply(&self) -> bool {
        self.flag(REPLY)
    }

    /// The bytes come from, or go to, storage.
    pub fn storage(&self) -> bool {
        self.flag(STORAGE)
    }

    /// Number of the packet.
    pub fn sequence(&self) -> Sequence {
        Sequence::new(self.0.as_ref()[field::SEQUENCE] & 0x0f).unwrap_or_default()
    }

    /// What the bytes mean.
    pub fn data_type(&self) -> DataType {
        DataType(self.0.as_ref()[field::DATA_TYPE])
    }

    /// What the bytes are for.
    pub fn destination(&self) -> u8 {
        self.0.as_ref()[field::DESTINATION]
    }

    /// Where in the display's buffer the bytes go. It and the length may lie beyond the buffer.
    pub fn offset(&self) -> u32 {
        u32_at(&self.0.as_ref()[field::OFFSET])
    }

    /// How many bytes there are; in a query: how many are wanted.
    pub fn length(&self) -> u16 {
        let length = &self.0.as_ref()[field::LENGTH];
        u16::from_be_bytes([length[0], length[1]])
    }

    /// When to show: the middle 32 bits of a 64-bit NTP time.
    pub fn timecode(&self) -> Option<u32> {
        self.flag(TIMECODE_FOLLOWS).then(|| u32_at(&self.0.as_ref()[field::TIMECODE]))
    }

    /// As many bytes as stated; none in a query.
    pub fn data(&self) -> &[u8] {
        &self.0.as_ref()[self.data_start()..][..self.data_length()]
    }
}

/// All of a packet but its data.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Header {
    /// Show now: the last packet of a frame.
    pub push: bool,
    /// The packet answers a query.
    pub reply: bool,
    /// The bytes come from, or go to, storage.
    pub storage: bool,
    /// Number of the packet.
    pub sequence: Sequence,
    /// What the bytes mean.
    pub data_type: DataType,
    /// What they are for; [`DISPLAY`] for pictures.
    pub destination: u8,
    /// Where in the display's buffer they go, in bytes.
    pub offset: u32,
    /// When to show: the middle 32 bits of a 64-bit NTP time.
    pub timecode: Option<u32>,
}

impl Header {
    /// Pixels for the display, not counted, at `offset` bytes.
    #[must_use]
    pub const fn new(data_type: DataType, offset: u32, push: bool) -> Self {
        Self {
            push,
            reply: false,
            storage: false,
            sequence: Sequence::UNUSED,
            data_type,
            destination: DISPLAY,
            offset,
            timecode: None,
        }
    }

    /// Bytes of the header: 10, or 14 with a timecode.
    #[must_use]
    pub const fn size(&self) -> usize {
        if self.timecode.is_some() { HEADER + TIMECODE } else { HEADER }
    }
}

/// What follows the header.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Body<'a> {
    /// Bytes; to be sent, at most 65,535.
    Data(&'a [u8]),
    /// A query: so many bytes are wanted.
    Query(u16),
}

/// A packet as it is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Message<'a> {
    /// All but the data.
    pub header: Header,
    /// The data, or how much is wanted.
    pub body: Body<'a>,
}

impl<'a> Message<'a> {
    /// Judges a packet. Bytes beyond the stated length are left alone.
    ///
    /// # Errors
    /// [`Error::Version`]; the size is known to be right.
    pub fn parse(packet: &Packet<&'a [u8]>) -> Result<Self, Error> {
        if packet.version() != VERSION >> 6 {
            return Err(Error::Version(packet.version()));
        }
        let header = Header {
            push: packet.push(),
            reply: packet.is_reply(),
            storage: packet.storage(),
            sequence: packet.sequence(),
            data_type: packet.data_type(),
            destination: packet.destination(),
            offset: packet.offset(),
            timecode: packet.timecode(),
        };
        let body = if packet.is_query() {
            Body::Query(packet.length())
        } else {
            Body::Data(&packet.0[packet.data_start()..][..packet.data_length()])
        };
        Ok(Self { header, body })
    }

    /// Writes the packet and gives its size.
    ///
    /// # Errors
    /// [`Error::Data`] above 65,535 bytes of data; [`Error::Buffer`] where `to` is too small.
    pub fn emit(&self, to: &mut [u8]) -> Result<usize, Error> {
        match self.body {
            Body::Data(data) => {
                length(data.len())?;
                check_buffer(to, self.header.size() + data.len())?;
                let start = emit_header(&self.header, data.len(), to)?;
                to[start..start + data.len()].copy_from_slice(data);
                Ok(start + data.len())
            }
            Body::Query(wanted) => write_header(&self.header, wanted, QUERY, to),
        }
    }
}

/// Writes the header of a packet of `data` bytes: the first [`Header::size`] bytes of `to`, every
/// one of them. Gives that size.
///
/// # Errors
/// [`Error::Data`] above 65,535; [`Error::Buffer`] where `to` is shorter than the header.
pub fn emit_header(header: &Header, data: usize, to: &mut [u8]) -> Result<usize, Error> {
    write_header(header, length(data)?, 0, to)
}

/// Renumbers a packet whose header is written.
///
/// # Panics
/// Where `packet` is shorter than a header.
pub fn set_sequence(packet: &mut [u8], sequence: Sequence) {
    packet[field::SEQUENCE] = sequence.get();
}

fn write_header(header: &Header, length: u16, query: u8, to: &mut [u8]) -> Result<usize, Error> {
    check_buffer(to, header.size())?;
    let flag = |on: bool, flag: u8| if on { flag } else { 0 };
    to[field::FLAGS] = VERSION
        | query
        | flag(header.timecode.is_some(), TIMECODE_FOLLOWS)
        | flag(header.storage, STORAGE)
        | flag(header.reply, REPLY)
        | flag(header.push, PUSH);
    set_sequence(to, header.sequence);
    to[field::DATA_TYPE] = header.data_type.0;
    to[field::DESTINATION] = header.destination;
    to[field::OFFSET].copy_from_slice(&header.offset.to_be_bytes());
    to[field::LENGTH].copy_from_slice(&length.to_be_bytes());
    if let Some(timecode) = header.timecode {
        to[field::TIMECODE].copy_from_slice(&timecode.to_be_bytes());
    }
    Ok(header.size())
}

fn check_size(bytes: &[u8], wanted: usize) -> Result<(), Error> {
    if bytes.len() < wanted { Err(Error::Short { wanted, found: bytes.len() }) } else { Ok(()) }
}

fn check_buffer(to: &[u8], wanted: usize) -> Result<(), Error> {
    if to.len() < wanted { Err(Error::Buffer { wanted, found: to.len() }) } else { Ok(()) }
}

/// A number of bytes as the length field states it.
fn length(data: usize) -> Result<u16, Error> {
    u16::try_from(data).map_err(|_| Error::Data(data))
}

/// A 32-bit number from exactly four bytes.
fn u32_at(bytes: &[u8]) -> u32 {
    u32::from_be_bytes([bytes[0], bytes[1], bytes[2], bytes[3]])
}

#[cfg(test)]
mod tests;
