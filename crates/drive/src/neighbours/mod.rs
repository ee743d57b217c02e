//! Who says on the network that it is there: receivers and shows, by DNS-SD (RFC 6763) over multicast DNS
//! (RFC 6762).
//!
//! What is found only helps: nothing waits for it, and a wall file's addresses do without it.
//! `docs/protocols.md` has the keys and the rules.

mod daemon;
mod register;
mod turns;

use std::fmt;
use std::net::SocketAddr;

use glowloom_wire::Patch;
use glowloom_wire::patch::Protocol;

use crate::sender::reaches_others;

pub use daemon::Announcement;
pub(crate) use daemon::{Lookout, Waits};
pub(crate) use register::{Register, Wanted};

/// The type of service, as both receivers and shows say it.
pub const SERVICE: &str = "_glowloom._udp.local.";

/// The type of service of a show, so that two of one wall agree on one.
pub const SHOWS: &str = "_glowloom-show._udp.local.";

/// Where to look and to speak.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reach {
    /// The UDP port of multicast DNS.
    pub port: u16,
    /// Whether this computer's own loopback interface is all.
    pub loopback_only: bool,
}

impl Reach {
    /// All networks that this computer is in.
    pub const NETWORK: Self = Self { port: 5353, loopback_only: false };
    /// This computer alone.
    pub const LOOPBACK: Self = Self { port: 5353, loopback_only: true };

    /// As far as a wall's receivers are.
    #[must_use]
    pub fn of(patch: &Patch) -> Self {
        if reaches_others(patch) { Self::NETWORK } else { Self::LOOPBACK }
    }
}

/// Something on the network that a person may want to know.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Neighbour {
    /// A panel's receiver was found at another address than the wall file has, and is followed.
    Moved {
        /// The panel.
        panel: String,
        /// Where it is.
        to: SocketAddr,
        /// What the wall file has.
        file: String,
    },
    /// Several receivers say that they are one panel.
    Double {
        /// The panel.
        panel: String,
        /// Where they are.
        at: Vec<SocketAddr>,
    },
    /// A panel's receiver speaks another protocol.
    Misfit {
        /// The panel.
        panel: String,
        /// Where it is.
        at: SocketAddr,
        /// What it says.
        protocol: String,
    },
    /// A receiver that is no panel of this wall.
    Stranger {
        /// Its wall.
        wall: String,
        /// Its panel.
        panel: String,
        /// Where it is.
        at: SocketAddr,
    },
    /// Another show plays this wall, and this one waits.
    Turn {
        /// The computer that it is on.
        host: String,
    },
    /// Discovery does not work.
    Deaf(String),
}

impl fmt::Display for Neighbour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Moved { panel, to, file } => {
                write!(f, "panel {panel} is at {to} and is sent to there; the wall file has {file}")
            }
            Self::Double { panel, at } => {
                let at: Vec<_> = at.iter().map(ToString::to_string).collect();
                write!(
                    f,
                    "{} receivers say that they are panel {panel}, at {}; give each its own panel",
                    at.len(),
                    at.join(" and ")
                )
            }
            Self::Misfit { panel, at, protocol } => write!(
                f,
                "panel {panel} at {at} says that it takes {protocol}, which is not the protocol of the \
                 wall file; make the receiver's program anew and flash it"
            ),
            Self::Stranger { wall, panel, at } => {
                write!(
                    f,
                    "a receiver at {at} is panel {panel} of {wall}, which is none of this wall's"
                )
            }
            Self::Turn { host } => write!(
                f,
                "another show plays this wall, on {host}, and began before this one: this one sends nothing \
                 until that one has ended"
            ),
            Self::Deaf(why) => {
                write!(
                    f,
                    "receivers cannot be looked for on the network ({why}); addresses of the wall file hold"
                )
            }
        }
    }
}

/// The protocol as the key has it.
pub(crate) const fn word(protocol: Protocol) -> &'static str {
    match protocol {
        Protocol::E131 => "e1.31",
        Protocol::ArtNet => "art-net",
        Protocol::Ddp => "ddp",
    }
}
