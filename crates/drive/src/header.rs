//! Headers of packets, which are written once.

use glowloom_wire::layout::{Datagram, Place};
use glowloom_wire::patch::{Common, Protocol};
use glowloom_wire::{ColourBits, artnet, ddp, e131};

use crate::{DriveError, Settings};

/// What the packets of a wall have in common.
pub(crate) enum Header {
    E131 {
        cid: e131::Cid,
        source: e131::SourceName,
        priority: e131::Priority,
        sync: e131::Universe,
    },
    ArtNet,
    Ddp(ddp::DataType),
}

impl Header {
    /// The header of every packet, less what differs.
    ///
    /// # Errors
    /// [`DriveError::Priority`] and [`DriveError::SyncUniverse`].
    pub fn new(common: &Common, settings: &Settings) -> Result<Self, DriveError> {
        Ok(match common.protocol {
            Protocol::ArtNet => Self::ArtNet,
            Protocol::Ddp => Self::Ddp(ddp::DataType::of(common.channels, ColourBits::TwentyFour)),
            Protocol::E131 => Self::E131 {
                cid: e131::Cid(settings.cid),
                source: e131::SourceName::new(&settings.source_name),
                priority: e131::Priority::new(settings.priority)
                    .map_err(|_| DriveError::Priority(settings.priority))?,
                sync: e131::Universe::new(common.sync_universe)
                    .map_err(|_| DriveError::SyncUniverse(common.sync_universe))?,
            },
        })
    }

    /// Writes the header of one packet. The reason of an error is one line, no full stop.
    pub fn emit(&self, datagram: &Datagram<'_>, packet: &mut [u8]) -> Result<(), String> {
        let size = datagram.data();
        match (self, datagram.place()) {
            (Self::E131 { cid, source, priority, sync }, Place::Universe(number)) => {
                let universe = e131::Universe::new(number).map_err(too_high)?;
                let header = e131::data::Header {
                    priority: *priority,
                    sync: Some(*sync),
                    ..e131::data::Header::new(*cid, *source, universe)
                };
                e131::data::emit_header(&header, size, packet).map_err(|e| e.to_string())
            }
            (Self::ArtNet, Place::Universe(number)) => {
                let address = artnet::PortAddress::new(number).map_err(too_high)?;
                let sequence = artnet::Sequence::UNUSED;
                let header = artnet::dmx::Header { sequence, physical: 0, address };
                artnet::dmx::emit_header(&header, size, packet).map_err(|e| e.to_string())
            }
            (Self::Ddp(data_type), Place::Offset(offset)) => {
                let header = ddp::Header::new(*data_type, offset, datagram.is_last());
                ddp::emit_header(&header, size, packet).map(|_| ()).map_err(|e| e.to_string())
            }
            (_, place) => Err(format!("its protocol has no {place:?}")),
        }
    }
}

fn too_high(error: impl std::fmt::Display) -> String {
    format!("{error}; choose a lower first_universe")
}
