//! Headers of packets, which are written once.

use glowloom_wire::layout::Place;
use glowloom_wire::patch::{Common, Protocol};
use glowloom_wire::{Carrier, ColourBits, artnet, ddp, e131};

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
    pub fn new(common: &Common, settings: &Settings, carrier: Carrier) -> Result<Self, DriveError> {
        let ddp = |bits| Self::Ddp(ddp::DataType::of(common.channels, bits));
        Ok(match carrier {
            Carrier::Udp(Protocol::ArtNet) => Self::ArtNet,
            Carrier::Udp(Protocol::Ddp) => ddp(ColourBits::TwentyFour),
            Carrier::Serial(bits) => ddp(bits),
            Carrier::Udp(Protocol::E131) => Self::E131 {
                cid: e131::Cid(settings.cid),
                source: e131::SourceName::new(&settings.source_name),
                priority: e131::Priority::new(settings.priority)
                    .map_err(|_| DriveError::Priority(settings.priority))?,
                sync: e131::Universe::new(common.sync_universe)
                    .map_err(|_| DriveError::SyncUniverse(common.sync_universe))?,
            },
        })
    }

    /// Writes the header of one packet of `size` bytes of data; `push`: it shows the frame, where the
    /// protocol has such. The reason of an error is one line, no full stop.
    pub fn emit(
        &self,
        place: Place,
        push: bool,
        size: usize,
        packet: &mut [u8],
    ) -> Result<(), String> {
        match (self, place) {
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
                let header = ddp::Header::new(*data_type, offset, push);
                ddp::emit_header(&header, size, packet).map(|_| ()).map_err(|e| e.to_string())
            }
            (_, place) => Err(format!("its protocol has no {place:?}")),
        }
    }
}

fn too_high(error: impl std::fmt::Display) -> String {
    format!("{error}; choose a lower first_universe")
}
