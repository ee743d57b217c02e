//! How a wall's picture is numbered for senders that know nothing of its panels.

use glowloom_wire::Patch;
use glowloom_wire::patch::{Address, Common, Line, PanelPatch, Protocol};

use crate::DriveError;
use crate::incoming::{Listening, last_universe};

/// How a picture's pixels are numbered in what comes in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arranged {
    /// Row by row from the top left, without a gap: 170 pixels (128 of four channels) to a universe,
    /// the first of which is this one; with DDP from byte 0.
    Rows {
        /// From 1.
        first_universe: u16,
    },
    /// As the wall's own receivers get it: universe and slot of the pixel map; with DDP the panels'
    /// bytes one after the other.
    Panels,
}

/// The wall as one receiver would have it.
pub(crate) fn numbered(
    patch: &Patch,
    listening: &Listening,
) -> Result<(Common, PanelPatch), DriveError> {
    let wall = patch.common();
    let channels = wall.channels;
    let lines = match listening.arranged {
        Arranged::Rows { first_universe } => {
            let pixels = (0..wall.columns.saturating_mul(wall.rows)).map(Some).collect();
            vec![Line { first_universe, byte_offset: 0, pixels }]
        }
        Arranged::Panels => {
            let mut start = 0;
            let mut lines = Vec::new();
            for panel in patch.panels() {
                let mut end = start;
                for line in &panel.lines {
                    let byte_offset = start + line.byte_offset;
                    end = end.max(byte_offset + (line.pixels.len() * channels.count()) as u32);
                    lines.push(Line { byte_offset, ..line.clone() });
                }
                start = end;
            }
            lines
        }
    };
    let last = last_universe(listening.protocol);
    let end = lines.iter().map(|line| {
        u32::from(line.first_universe)
            + line.pixels.len().div_ceil(channels.pixels_per_universe()) as u32
    });
    let end = end.max().unwrap_or(1);
    if listening.protocol != Protocol::Ddp && end > last + 1 {
        return Err(DriveError::TooManyUniverses { end: end - 1, last });
    }
    let common = Common { protocol: listening.protocol, ..wall.clone() };
    let address = Address::Virtual { port: listening.at.port() };
    Ok((common, PanelPatch { name: listening.name.clone(), address, lines }))
}
