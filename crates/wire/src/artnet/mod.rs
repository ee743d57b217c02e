//! Art-Net 4: slots of light levels over UDP.
//!
//! [`dmx`] carries the slots of one Port-Address, [`sync`] tells nodes to show what they hold,
//! [`poll`] asks who is there and [`reply`] answers. Each has a view, which judges nothing and whose
//! getters never panic, and a plain twin with `parse` and `emit`. Bytes beyond a packet's own are left alone: the
//! protocol's site asks nodes to take longer polls, and we take longer packets of every kind.
//!
//! Layouts and rules are those of the packet definitions on the protocol's site, and of field lists
//! that quote its specification; where neither was at hand, the item says so.

mod any;
pub mod dmx;
mod error;
#[cfg(test)]
mod golden;
mod head;
pub mod poll;
mod port_address;
pub mod reply;
pub mod sync;
mod text;

use std::time::Duration;

pub use any::{Any, Kind};
pub use error::Error;
pub use port_address::PortAddress;
pub use text::Text;

/// Who is there is asked so often: every 2.5 to 3 s (the protocol's site).
pub const POLL_INTERVAL: Duration = Duration::from_millis(2800);

/// A node answers within this time, or is gone (the protocol's site).
pub const REPLY_WITHIN: Duration = Duration::from_secs(3);

/// The UDP port that nodes listen on and that senders send from (the protocol's site).
pub const PORT: u16 = crate::patch::Protocol::ArtNet.port();

/// The most slots in one packet.
pub const SLOTS: usize = 512;

/// Packet numbers: 1 to 255, then 1 again; 0 where a sender does not count (the protocol's site).
pub type Sequence = crate::sequence::Sequence<255>;

/// Unchanged slots are sent again after this long (the protocol's site).
pub const REPEAT: Duration = Duration::from_secs(4);

/// A node that has seen no [`sync`] packet for this long shows slots at once again (the
/// specification's paragraph, as quoted alike in five sources).
pub const SYNC_LOSS: Duration = Duration::from_secs(4);
