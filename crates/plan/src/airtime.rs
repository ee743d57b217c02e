//! Time on the air of a UDP packet over Wi-Fi.
//!
//! Model: 802.11n, one 20 MHz channel at 2.4 GHz, one antenna, MCS 7 with the long guard interval
//! (65 Mbit/s), unicast, WPA2, one sender, no retries. Constants from memory of IEEE 802.11; SIFS as
//! quoted in secondary texts. An upper limit: a small board often does not hold MCS 7.

use glowloom_units::Seconds;

/// The model, in one line.
pub const MODEL: &str = "802.11n at 2.4 GHz, 20 MHz, one stream, MCS 7 (65 Mbit/s), unicast with \
                         ACK, DIFS and mean backoff; no retries, no other traffic";

/// What may be planned on: the rest is for retries and for others (common practice, no source).
pub const SHARE_TO_PLAN_ON: f64 = 0.5;

/// Headers of IPv4 and UDP, LLC, QoS MAC, frame check and CCMP, bytes.
const OVERHEAD_BYTES: u64 = 28 + 8 + 26 + 4 + 16;
/// HT-mixed preamble of one stream, us.
const PREAMBLE: f64 = 36.0;
/// Service field and tail, bits.
const SERVICE_AND_TAIL_BITS: u64 = 16 + 6;
/// Bits to a symbol at MCS 7.
const BITS_PER_SYMBOL: u64 = 260;
/// One symbol with the long guard interval, us.
const SYMBOL: f64 = 4.0;
/// Signal extension at 2.4 GHz, us.
const EXTENSION: f64 = 6.0;
const SIFS: f64 = 10.0;
/// Acknowledgement at 24 Mbit/s, us.
const ACK: f64 = 34.0;
/// SIFS and two slots, us.
const DIFS: f64 = 28.0;
/// Half of CWmin 15 slots of 9 us.
const MEAN_BACKOFF: f64 = 67.5;

/// How long the channel is taken by one packet with that many bytes of UDP payload.
#[must_use]
pub fn of_packet(payload_bytes: u64) -> Seconds {
    let bits = SERVICE_AND_TAIL_BITS + 8 * (payload_bytes + OVERHEAD_BYTES);
    #[expect(clippy::cast_precision_loss, reason = "a packet has few symbols")]
    let symbols = bits.div_ceil(BITS_PER_SYMBOL) as f64;
    let data = PREAMBLE + SYMBOL * symbols + EXTENSION;
    Seconds((data + SIFS + ACK + DIFS + MEAN_BACKOFF) * 1e-6)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand from the same constants for packets of common sizes, us.
    #[test]
    fn packets_of_common_sizes() {
        for (payload, us) in [(638, 273.5), (528, 257.5), (1450, 373.5), (490, 253.5)] {
            assert!((of_packet(payload).0 * 1e6 - us).abs() < 1e-9, "{payload}");
        }
    }

    #[test]
    fn twelve_full_universes_thirty_times_a_second() {
        let share = 12.0 * 30.0 * of_packet(638).0;
        assert!((share - 0.0985).abs() < 5e-5, "{share}");
    }
}
