//! What all packets begin with: identifier, kind, protocol version.

use super::Error;

/// Where each common field lies.
pub(super) mod field {
    use std::ops::Range;

    /// What marks the packet as Art-Net.
    pub const IDENTIFIER: Range<usize> = 0..8;
    /// Kind of packet, low byte first.
    pub const OP_CODE: Range<usize> = 8..10;
    /// Protocol version, high byte first.
    pub const VERSION: Range<usize> = 10..12;
}

const IDENTIFIER: [u8; 8] = *b"Art-Net\0";

/// The version that is sent, and the lowest that is taken.
const VERSION: u16 = 14;

/// Whether there are `wanted` bytes.
pub(super) fn check_size(bytes: &[u8], wanted: usize) -> Result<(), Error> {
    if bytes.len() < wanted { Err(Error::Short { wanted, found: bytes.len() }) } else { Ok(()) }
}

/// Whether the buffer lent holds a packet of `wanted` bytes.
pub(super) fn check_buffer(to: &[u8], wanted: usize) -> Result<(), Error> {
    if to.len() < wanted { Err(Error::Buffer { wanted, found: to.len() }) } else { Ok(()) }
}

/// The kind of a packet of at least ten bytes.
pub(super) fn op_code(bytes: &[u8]) -> Result<u16, Error> {
    if bytes[field::IDENTIFIER] != IDENTIFIER {
        return Err(Error::Identifier);
    }
    Ok(u16::from_le_bytes([bytes[field::OP_CODE.start], bytes[field::OP_CODE.start + 1]]))
}

/// Identifier, kind and version of a packet of at least twelve bytes.
pub(super) fn check(bytes: &[u8], wanted: u16) -> Result<(), Error> {
    let found = op_code(bytes)?;
    if found != wanted {
        return Err(Error::OpCode(found));
    }
    let version = u16_at(&bytes[field::VERSION]);
    if version < VERSION { Err(Error::Version(version)) } else { Ok(()) }
}

/// Writes identifier, kind and version.
pub(super) fn emit(to: &mut [u8], op_code: u16) {
    emit_kind(to, op_code);
    to[field::VERSION].copy_from_slice(&VERSION.to_be_bytes());
}

/// Writes identifier and kind alone.
pub(super) fn emit_kind(to: &mut [u8], op_code: u16) {
    to[field::IDENTIFIER].copy_from_slice(&IDENTIFIER);
    to[field::OP_CODE].copy_from_slice(&op_code.to_le_bytes());
}

/// A 16-bit number, high byte first, from exactly two bytes.
pub(super) fn u16_at(bytes: &[u8]) -> u16 {
    u16::from_be_bytes([bytes[0], bytes[1]])
}
