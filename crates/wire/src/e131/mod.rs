//! ANSI E1.31-2018: slots of light levels over UDP.
//!
//! Three packets: [`data`] carries the slots of one universe, [`sync`] tells receivers to show what
//! they hold, [`discovery`] lists the universes of a sender. Each has a view, which judges nothing
//! and whose getters never panic, and a plain twin with `parse` and `emit`.
//!
//! Clause and table numbers are those that open implementations quote in their constants and
//! tests; the standard's own text was not read. What is only from memory says so.

mod any;
mod cid;
pub mod data;
pub mod discovery;
mod error;
#[cfg(test)]
mod golden;
mod layer;
mod options;
mod priority;
mod sequence;
mod source_name;
pub mod sync;
mod universe;

use std::net::Ipv4Addr;
use std::time::Duration;

pub use any::{Any, Kind};
pub use cid::Cid;
pub use error::{Error, Layer};
pub use options::Options;
pub use priority::Priority;
pub use sequence::{Arrival, Sequence, sequence_accepts};
pub use source_name::SourceName;
pub use universe::Universe;

/// The UDP port that receivers listen on (E1.31-2018, Appendix A).
pub const PORT: u16 = crate::patch::Protocol::E131.port();

/// The most slots that a universe holds (E1.31-2018, Table 4-1).
pub const SLOTS: usize = 512;

/// A universe with no packet for this long is lost (E1.31-2018, Appendix A and 6.7.1).
pub const DATA_LOSS: Duration = Duration::from_millis(2500);

/// How many packets with [`Options::terminated`] end a stream (E1.31-2018, 6.2.6).
pub const TERMINATION_PACKETS: u8 = 3;

/// How many packets follow a change before a sender may slow down (E1.31-2018, 6.6.2, exact wording
/// not seen).
pub const PACKETS_AFTER_CHANGE: u8 = 3;

/// The longest wait between packets of unchanged slots; the shortest is 0.8 s (E1.31-2018, 6.6.2,
/// exact wording not seen).
pub const KEEP_ALIVE: Duration = Duration::from_secs(1);

/// How often a sender lists its universes (E1.31-2018, Appendix A).
pub const DISCOVERY_INTERVAL: Duration = Duration::from_secs(10);

/// The number that stands in for a universe in the address of discovery packets.
pub const DISCOVERY_UNIVERSE: u16 = 64_214;

/// Where discovery packets go.
pub const DISCOVERY_ADDRESS: Ipv4Addr = universe::multicast(DISCOVERY_UNIVERSE);

#[cfg(test)]
mod tests {
    use super::*;

    /// E1.31-2018, Appendix A, as quoted by open implementations.
    #[test]
    fn constants_are_those_of_the_standard() {
        assert_eq!(PORT, 5568);
        assert_eq!(DATA_LOSS.as_secs_f64(), 2.5);
        assert_eq!(DISCOVERY_INTERVAL.as_secs(), 10);
        assert_eq!(DISCOVERY_ADDRESS, Ipv4Addr::new(239, 255, 250, 214));
    }
}
