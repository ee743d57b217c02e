//! What a maker may choose about sending.

use std::net::Ipv4Addr;
use std::time::Duration;

use crate::{FramesPerSecond, Rate, Reach};

/// Sending to the groups of universes in place of the receivers' own addresses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Multicast {
    /// Over how many routers packets may go, less one: 1 stays in the local network.
    pub time_to_live: u8,
    /// The address of this computer's interface to send on; `None`: the system chooses.
    pub interface: Option<Ipv4Addr>,
}

impl Default for Multicast {
    fn default() -> Self {
        Self { time_to_live: 1, interface: None }
    }
}

/// What a maker may choose about sending.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Frames a second.
    pub rate: Rate,
    /// ANSI E1.31 only: data and synchronization packets go to the multicast groups of their
    /// universes, for receivers that have an address; virtual panels are still sent to one by one.
    /// `None`: to each receiver's own address. Over Wi-Fi multicast is far slower.
    pub multicast: Option<Multicast>,
    /// Whether the last picture stays when the show ends; else black is sent.
    pub leave_lit: bool,
    /// Over how much of a frame its packets are spread, for links on which a burst is lost; `None`: they leave
    /// at once. All panels show the frame at its end all the same. Shorter than a frame.
    pub spread: Option<Duration>,
    /// Whether receivers are asked how they are, once a second each (`docs/protocols.md`).
    pub ask: bool,
    /// Where receivers are looked for that say that they are there; `None`: nowhere.
    pub look_out: Option<Reach>,
    /// Who sends, for people who look at the network: at most 63 bytes of UTF-8.
    pub source_name: String,
    /// Who sends, for receivers: a UUID, best the same from start to start (ANSI E1.31).
    pub cid: [u8; 16],
    /// Which sender wins where two send one universe: 0 to 200 (ANSI E1.31).
    pub priority: u8,
}

impl Settings {
    /// To each receiver's own address, black at the end, at the usual priority of 100.
    ///
    /// # Errors
    /// [`DriveError::Rate`](crate::DriveError::Rate) outside 1 to 1,000 frames a second.
    pub fn new(rate: FramesPerSecond, cid: [u8; 16]) -> Result<Self, crate::DriveError> {
        Ok(Self {
            rate: Rate::new(rate)?,
            multicast: None,
            leave_lit: false,
            spread: None,
            ask: true,
            look_out: None,
            source_name: "Glowloom".into(),
            cid,
            priority: 100,
        })
    }
}
