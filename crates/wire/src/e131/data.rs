//! The data packet: the slots of one universe (E1.31-2018, Table 4-1).
//!
//! A sender writes each header once with [`emit_header`], then for every frame only the slots, from
//! byte [`SLOTS`] on, the number by [`set_sequence`] and, at the end, [`set_options`].

use super::layer::{self, FRAMING_DATA, ROOT_DATA, u16_at};
use super::{Cid, Error, Layer, Options, Priority, SourceName, Universe};

/// Where the slots begin; also the bytes of the header.
pub const SLOTS: usize = 126;

/// Where each field of a data packet lies.
pub mod field {
    use std::ops::Range;

    pub use super::super::layer::field::*;

    /// The sender's name, UTF-8, padded with NUL.
    pub const SOURCE_NAME: Range<usize> = 44..108;
    /// Which sender wins.
    pub const PRIORITY: usize = 108;
    /// The universe of the synchronization packets waited for; 0 for none.
    pub const SYNC_ADDRESS: Range<usize> = 109..111;
    /// Number of the packet.
    pub const SEQUENCE: usize = 111;
    /// Three switches.
    pub const OPTIONS: usize = 112;
    /// The universe.
    pub const UNIVERSE: Range<usize> = 113..115;
    /// Flags and length of the slot layer.
    pub const DMP_LENGTH: Range<usize> = 115..117;
    /// What the slot layer does.
    pub const DMP_VECTOR: usize = 117;
    /// How slots are counted: kind of address, first address, increment.
    pub const ADDRESSING: Range<usize> = 118..123;
    /// Slots and the START code, counted.
    pub const COUNT: Range<usize> = 123..125;
    /// What the slots mean.
    pub const START_CODE: usize = 125;
}

/// "Set property", the only thing that a slot layer does.
const DMP_SET_PROPERTY: u8 = 0x02;
/// One-byte properties in a row, relative, the first at 0, each one further.
const ADDRESSING: [u8; 5] = [0xa1, 0x00, 0x00, 0x00, 0x01];

/// A data packet over any bytes.
#[derive(Clone, Copy, Debug)]
pub struct Packet<T>(T);

impl<T: AsRef<[u8]>> Packet<T> {
    /// After `Ok`, no getter panics. Nothing but the size is looked at.
    ///
    /// # Errors
    /// [`Error::Short`] below 126 bytes, or below what the root layer states.
    pub fn new_checked(bytes: T) -> Result<Self, Error> {
        layer::check_size(bytes.as_ref(), SLOTS)?;
        Ok(Self(bytes))
    }

    fn bytes(&self) -> &[u8] {
        self.0.as_ref()
    }

    /// The sender's identity.
    pub fn cid(&self) -> Cid {
        layer::cid(self.bytes())
    }

    /// The sender's name.
    pub fn source_name(&self) -> SourceName {
        layer::source_name(self.bytes())
    }

    /// Which sender wins; above 200 in a bad packet.
    pub fn priority(&self) -> u8 {
        self.bytes()[field::PRIORITY]
    }

    /// The universe of the synchronization packets waited for; 0 for none.
    pub fn sync_address(&self) -> u16 {
        u16_at(&self.bytes()[field::SYNC_ADDRESS])
    }

    /// Number of the packet.
    pub fn sequence(&self) -> u8 {
        self.bytes()[field::SEQUENCE]
    }

    /// The switches.
    pub fn options(&self) -> Options {
        Options::from_bits(self.bytes()[field::OPTIONS])
    }

    /// The universe; outside 1 to 63,999 in a bad packet.
    pub fn universe(&self) -> u16 {
        u16_at(&self.bytes()[field::UNIVERSE])
    }

    /// What the slots mean; 0 for light levels.
    pub fn start_code(&self) -> u8 {
        self.bytes()[field::START_CODE]
    }

    /// Everything after the header.
    pub fn slots(&self) -> &[u8] {
        &self.bytes()[SLOTS..]
    }
}

/// All of a data packet but its slots. If it can be built, it can be sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Header {
    /// The sender's identity.
    pub cid: Cid,
    /// The sender's name.
    pub source: SourceName,
    /// Which sender wins.
    pub priority: Priority,
    /// The universe of the synchronization packets to wait for; `None`: show at once.
    pub sync: Option<Universe>,
    /// Number of the packet, one more than the universe's last; after 255 comes 0.
    pub sequence: u8,
    /// The switches.
    pub options: Options,
    /// The universe.
    pub universe: Universe,
    /// What the slots mean; 0 for light levels. A receiver of pictures ignores all others.
    pub start_code: u8,
}

impl Header {
    /// Light levels at default priority, not synchronized, all switches off, sequence 0.
    #[must_use]
    pub fn new(cid: Cid, source: SourceName, universe: Universe) -> Self {
        Self {
            cid,
            source,
            priority: Priority::default(),
            sync: None,
            sequence: 0,
            options: Options::default(),
            universe,
            start_code: 0,
        }
    }
}

/// A data packet as it is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Data<'a> {
    /// All but the slots.
    pub header: Header,
    /// 0 to 512 slots.
    pub slots: &'a [u8],
}

impl<'a> Data<'a> {
    /// Judges a packet.
    ///
    /// # Errors
    /// What is wrong first, in the order of the bytes.
    pub fn parse(packet: &Packet<&'a [u8]>) -> Result<Self, Error> {
        let bytes = packet.0;
        layer::check_root(bytes, ROOT_DATA, FRAMING_DATA)?;
        let header = Header {
            cid: packet.cid(),
            source: packet.source_name(),
            priority: Priority::new(packet.priority())?,
            sync: sync_address(packet.sync_address())?,
            sequence: packet.sequence(),
            options: packet.options(),
            universe: Universe::new(packet.universe())?,
            start_code: packet.start_code(),
        };
        layer::check_length(bytes, Layer::Dmp, field::DMP_LENGTH)?;
        let vector = bytes[field::DMP_VECTOR];
        layer::check_vector(Layer::Dmp, vector.into(), DMP_SET_PROPERTY.into())?;
        if bytes[field::ADDRESSING] != ADDRESSING {
            return Err(Error::Addressing);
        }
        let slots = &bytes[SLOTS..];
        check_slots(slots.len())?;
        let stated = usize::from(u16_at(&bytes[field::COUNT]));
        let found = slots.len() + 1;
        if stated != found {
            return Err(Error::Count { stated, found });
        }
        Ok(Self { header, slots })
    }

    /// Writes the packet and gives its size, 126 bytes and the slots.
    ///
    /// # Errors
    /// [`Error::Slots`] above 512; [`Error::Buffer`] where `to` is too small.
    pub fn emit(&self, to: &mut [u8]) -> Result<usize, Error> {
        check_slots(self.slots.len())?;
        let size = SLOTS + self.slots.len();
        layer::check_buffer(to, size)?;
        emit_header(&self.header, self.slots.len(), to)?;
        to[SLOTS..size].copy_from_slice(self.slots);
        Ok(size)
    }
}

/// Writes the header of a packet of `slots` slots: the first 126 bytes of `to`, every one of them.
///
/// # Errors
/// [`Error::Slots`] above 512; [`Error::Buffer`] where `to` has fewer than 126 bytes.
pub fn emit_header(header: &Header, slots: usize, to: &mut [u8]) -> Result<(), Error> {
    check_slots(slots)?;
    layer::check_buffer(to, SLOTS)?;
    let size = SLOTS + slots;
    layer::emit_root(to, size, ROOT_DATA, FRAMING_DATA, header.cid);
    to[field::SOURCE_NAME].copy_from_slice(header.source.as_field());
    to[field::PRIORITY] = header.priority.get();
    let sync = header.sync.map_or(0, Universe::get);
    to[field::SYNC_ADDRESS].copy_from_slice(&sync.to_be_bytes());
    set_sequence(to, header.sequence);
    set_options(to, header.options);
    to[field::UNIVERSE].copy_from_slice(&header.universe.get().to_be_bytes());
    layer::emit_length(to, size, field::DMP_LENGTH);
    to[field::DMP_VECTOR] = DMP_SET_PROPERTY;
    to[field::ADDRESSING].copy_from_slice(&ADDRESSING);
    // At most 513.
    to[field::COUNT].copy_from_slice(&(slots as u16 + 1).to_be_bytes());
    to[field::START_CODE] = header.start_code;
    Ok(())
}

/// Renumbers a packet whose header is written.
///
/// # Panics
/// Where `packet` is shorter than a header.
pub fn set_sequence(packet: &mut [u8], sequence: u8) {
    packet[field::SEQUENCE] = sequence;
}

/// Sets the switches of a packet whose header is written.
///
/// # Panics
/// Where `packet` is shorter than a header.
pub fn set_options(packet: &mut [u8], options: Options) {
    packet[field::OPTIONS] = options.bits();
}

fn sync_address(number: u16) -> Result<Option<Universe>, Error> {
    match number {
        0 => Ok(None),
        _ => Universe::new(number).map(Some).map_err(|_| Error::SyncAddress(number)),
    }
}

fn check_slots(slots: usize) -> Result<(), Error> {
    if slots > super::SLOTS { Err(Error::Slots(slots)) } else { Ok(()) }
}

#[cfg(test)]
mod tests;
