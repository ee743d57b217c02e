//! What all three packets have in common: the root layer, and how a layer states its length.
//!
//! Every layer runs from its first two bytes to the end of the packet, so one rule checks them all.

use std::ops::Range;

use super::{Cid, Error, Layer, SourceName};

/// Where each field common to all packets lies (E1.31-2018, Table 4-1).
pub(super) mod field {
    use std::ops::Range;

    /// Sizes of preamble and postamble.
    pub const PREAMBLE: Range<usize> = 0..4;
    /// What marks the packet as ACN.
    pub const IDENTIFIER: Range<usize> = 4..16;
    /// Flags and length of the root layer.
    pub const ROOT_LENGTH: Range<usize> = 16..18;
    /// What the root layer holds.
    pub const ROOT_VECTOR: Range<usize> = 18..22;
    /// The sender's identity.
    pub const CID: Range<usize> = 22..38;
    /// Flags and length of the framing layer.
    pub const FRAMING_LENGTH: Range<usize> = 38..40;
    /// What the framing layer holds.
    pub const FRAMING_VECTOR: Range<usize> = 40..44;
}

/// The root vector of data packets.
pub(super) const ROOT_DATA: u32 = 4;
/// The root vector of synchronization and discovery packets.
pub(super) const ROOT_EXTENDED: u32 = 8;
/// The framing vector of data packets.
pub(super) const FRAMING_DATA: u32 = 2;
/// The framing vector of synchronization packets.
pub(super) const FRAMING_SYNC: u32 = 1;
/// The framing vector of discovery packets.
pub(super) const FRAMING_DISCOVERY: u32 = 2;

/// Preamble of 16 bytes, no postamble.
const PREAMBLE: [u8; 4] = [0x00, 0x10, 0x00, 0x00];
const IDENTIFIER: [u8; 12] = *b"ASC-E1.17\0\0\0";

const FLAGS: u16 = 0x7000;
const LENGTH: u16 = 0x0fff;

/// Whether there are `header` bytes, and as many as the root layer states.
pub(super) fn check_size(bytes: &[u8], header: usize) -> Result<(), Error> {
    let stated = match bytes.get(field::ROOT_LENGTH) {
        Some(length) => field::ROOT_LENGTH.start + usize::from(u16_at(length) & LENGTH),
        None => 0,
    };
    let wanted = header.max(stated);
    if bytes.len() < wanted { Err(Error::Short { wanted, found: bytes.len() }) } else { Ok(()) }
}

/// Whether a packet of a kind that has only one size ends there.
pub(super) fn check_whole(bytes: &[u8], wanted: usize) -> Result<(), Error> {
    if bytes.len() > wanted { Err(Error::Long { wanted, found: bytes.len() }) } else { Ok(()) }
}

/// Whether this is an ACN packet at all: preamble and identifier.
pub(super) fn check_preamble(bytes: &[u8]) -> Result<(), Error> {
    if bytes[field::PREAMBLE] != PREAMBLE {
        return Err(Error::Preamble);
    }
    if bytes[field::IDENTIFIER] != IDENTIFIER {
        return Err(Error::Identifier);
    }
    Ok(())
}

/// Preamble, identifier, root and framing layer, of a packet that holds them.
pub(super) fn check_root(bytes: &[u8], root: u32, framing: u32) -> Result<(), Error> {
    check_preamble(bytes)?;
    check_length(bytes, Layer::Root, field::ROOT_LENGTH)?;
    check_vector(Layer::Root, u32_at(&bytes[field::ROOT_VECTOR]), root)?;
    check_length(bytes, Layer::Framing, field::FRAMING_LENGTH)?;
    check_vector(Layer::Framing, u32_at(&bytes[field::FRAMING_VECTOR]), framing)
}

/// Whether a layer runs to the end of the packet, as it must.
pub(super) fn check_length(bytes: &[u8], layer: Layer, at: Range<usize>) -> Result<(), Error> {
    let found = bytes.len() - at.start;
    let word = u16_at(&bytes[at]);
    if word & !LENGTH != FLAGS {
        return Err(Error::Flags(layer));
    }
    let stated = usize::from(word & LENGTH);
    if stated == found { Ok(()) } else { Err(Error::Length { layer, stated, found }) }
}

/// Whether a layer holds what is wanted.
pub(super) fn check_vector(layer: Layer, found: u32, wanted: u32) -> Result<(), Error> {
    if found == wanted { Ok(()) } else { Err(Error::Vector { layer, found }) }
}

/// Writes everything up to the framing vector, of a packet of `size` bytes.
pub(super) fn emit_root(to: &mut [u8], size: usize, root: u32, framing: u32, cid: Cid) {
    to[field::PREAMBLE].copy_from_slice(&PREAMBLE);
    to[field::IDENTIFIER].copy_from_slice(&IDENTIFIER);
    emit_length(to, size, field::ROOT_LENGTH);
    to[field::ROOT_VECTOR].copy_from_slice(&root.to_be_bytes());
    to[field::CID].copy_from_slice(&cid.0);
    emit_length(to, size, field::FRAMING_LENGTH);
    to[field::FRAMING_VECTOR].copy_from_slice(&framing.to_be_bytes());
}

/// Writes the length of the layer that begins at `at`, in a packet of `size` bytes.
pub(super) fn emit_length(to: &mut [u8], size: usize, at: Range<usize>) {
    // A packet has at most 1144 bytes, so no length needs more than twelve bits.
    let length = (size - at.start) as u16;
    to[at].copy_from_slice(&(FLAGS | length).to_be_bytes());
}

/// Whether the buffer lent holds a packet of `wanted` bytes.
pub(super) fn check_buffer(to: &[u8], wanted: usize) -> Result<(), Error> {
    if to.len() < wanted { Err(Error::Buffer { wanted, found: to.len() }) } else { Ok(()) }
}

/// A 16-bit number from exactly two bytes.
pub(super) fn u16_at(bytes: &[u8]) -> u16 {
    u16::from_be_bytes([bytes[0], bytes[1]])
}

/// A 32-bit number from exactly four bytes.
pub(super) fn u32_at(bytes: &[u8]) -> u32 {
    u32::from_be_bytes([bytes[0], bytes[1], bytes[2], bytes[3]])
}

/// The sender's identity, from a packet that holds it.
pub(super) fn cid(bytes: &[u8]) -> Cid {
    let mut cid = [0; 16];
    cid.copy_from_slice(&bytes[field::CID]);
    Cid(cid)
}

/// The sender's name, from a data or discovery packet: both have it after the framing vector.
pub(super) fn source_name(bytes: &[u8]) -> SourceName {
    let mut name = [0; 64];
    name.copy_from_slice(&bytes[field::FRAMING_VECTOR.end..][..64]);
    SourceName::from_field(&name)
}
