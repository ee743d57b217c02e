//! Why a wall cannot be sent to, or a virtual panel not opened.

use std::fmt;
use std::io;
use std::net::SocketAddr;

use glowloom_wire::patch::Protocol;

use crate::{FramesPerSecond, Rate};

/// Why a wall cannot be sent to, or a virtual panel not opened.
#[derive(Debug)]
pub enum DriveError {
    /// A rate outside 1 to 1,000 frames a second.
    Rate(FramesPerSecond),
    /// A priority above 200.
    Priority(u8),
    /// Multicast with a protocol that has none.
    Multicast(Protocol),
    /// A panel on a serial cable whose port is not named.
    NoPort {
        /// The panel's name.
        panel: String,
    },
    /// Panels on one serial port that want different speeds or colour bits of it.
    TwoWays {
        /// The second panel's name.
        panel: String,
        /// The port.
        port: String,
    },
    /// A panel whose packets cannot be laid out.
    Layout {
        /// The panel's name.
        panel: String,
        /// What is wrong and what to do, one line, no full stop.
        reason: String,
    },
    /// A synchronization universe outside 1 to 63,999 (ANSI E1.31).
    SyncUniverse(u16),
    /// A frame of another size than the picture.
    FrameSize {
        /// Bytes of the picture.
        wanted: usize,
        /// Bytes that were handed over.
        found: usize,
    },
    /// Pictures of another size or with other channels than the wall: columns, rows, channels.
    PictureSize {
        /// Those of the wall.
        wanted: (u32, u32, usize),
        /// Those of the pictures.
        found: (u32, u32, usize),
    },
    /// A time zone that is not in the time zone database.
    NoZone {
        /// As given.
        name: String,
        /// What the database says.
        reason: String,
    },
    /// This computer does not say in which time zone it is.
    NoLocalZone {
        /// What is in the way.
        reason: String,
    },
    /// The system gave no thread.
    Thread(io::Error),
    /// A recording cannot be sent again: why, in one line with no full stop.
    Replay(String),
    /// A port that something else holds.
    PortHeld {
        /// The panel's name.
        panel: String,
        /// The address and port.
        at: SocketAddr,
    },
    /// A virtual panel that cannot listen.
    Listen {
        /// The panel's name.
        panel: String,
        /// The address and port.
        at: SocketAddr,
        /// What the system says.
        error: io::Error,
    },
    /// The port for light from other senders cannot be had.
    Incoming {
        /// The address and port.
        at: SocketAddr,
        /// What the system says.
        error: io::Error,
    },
    /// A picture that goes beyond the last universe of a protocol.
    TooManyUniverses {
        /// The last that it would need.
        end: u32,
        /// The last that there is.
        last: u32,
    },
    /// A multicast group that cannot be joined.
    Join {
        /// The panel's name.
        panel: String,
        /// What the system says.
        error: io::Error,
    },
}

impl fmt::Display for DriveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Rate(found) => {
                let (lowest, highest) = (Rate::LOWEST.0, Rate::HIGHEST.0);
                write!(f, "{found} cannot be sent; choose {lowest} to {highest}")
            }
            Self::Priority(found) => write!(f, "priority {found} is too high; choose 0 to 200"),
            Self::Multicast(protocol) => write!(
                f,
                "{} has no multicast; send to each receiver, or use e1.31",
                match protocol {
                    Protocol::E131 => "e1.31",
                    Protocol::ArtNet => "art-net",
                    Protocol::Ddp => "ddp",
                }
            ),
            Self::NoPort { panel } => write!(
                f,
                "panel {panel} is on a USB cable, and nobody says on which; give its serial port"
            ),
            Self::TwoWays { panel, port } => write!(
                f,
                "panel {panel} wants another speed or other colour bits of {port} than the panel \
                 before it; give both the same"
            ),
            Self::Layout { panel, reason } => {
                write!(f, "panel {panel} cannot be sent to: {reason}")
            }
            Self::SyncUniverse(found) => {
                write!(f, "sync_universe {found} is not within 1 to 63999; choose another")
            }
            Self::FrameSize { wanted, found } => {
                write!(f, "a frame of {found} bytes was handed over; the picture has {wanted}")
            }
            Self::PictureSize { wanted, found } => write!(
                f,
                "pictures of {} x {} pixels and {} channels do not fit a wall of {} x {} and {}; \
                 draw them for the wall",
                found.0, found.1, found.2, wanted.0, wanted.1, wanted.2
            ),
            Self::NoZone { name, reason } => write!(
                f,
                "there is no time zone {name:?} ({reason}); give one as the time zone database has it, such \
                 as Europe/Paris, America/New_York or UTC"
            ),
            Self::NoLocalZone { reason } => write!(
                f,
                "this computer does not say in which time zone it is ({reason}); set it, or name one, such \
                 as zone=Europe/Paris"
            ),
            Self::Replay(why) => write!(f, "the recording cannot be sent: {why}"),
            Self::Thread(error) => {
                write!(f, "the system starts no further thread: {error}; close other programs")
            }
            Self::PortHeld { panel, at } => write!(
                f,
                "virtual panel {panel} cannot listen on port {} of {}: something else holds it; \
                 end the other program, which may be another run of this one",
                at.port(),
                at.ip()
            ),
            Self::Listen { panel, at, error } => write!(
                f,
                "virtual panel {panel} cannot listen on port {} of {}: {error}; \
                 choose another address for it",
                at.port(),
                at.ip()
            ),
            Self::Incoming { at, error } => write!(
                f,
                "cannot listen on port {} of {}: {error}; end the other program that does, or listen \
                 on another address or port",
                at.port(),
                at.ip()
            ),
            Self::TooManyUniverses { end, last } => write!(
                f,
                "the picture would need universes up to {end}, and the last is {last}; begin at a \
                 lower one, or listen to ddp"
            ),
            Self::Join { panel, error } => write!(
                f,
                "virtual panel {panel} cannot join its multicast groups: {error}; \
                 send to its own address instead"
            ),
        }
    }
}

impl std::error::Error for DriveError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Thread(error)
            | Self::Listen { error, .. }
            | Self::Join { error, .. }
            | Self::Incoming { error, .. } => Some(error),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_held_port_is_named() {
        let panel = "west".into();
        let error = DriveError::PortHeld { panel, at: ([127, 0, 0, 1], 15568).into() };
        let text = error.to_string();
        for part in ["west", "15568", "127.0.0.1", "something else holds it"] {
            assert!(text.contains(part), "{text}");
        }
    }
}
