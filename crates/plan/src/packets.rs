//! The packets of one frame to one receiver, laid as live output lays them; one that says "show now"
//! follows where the protocol has such.

use glowloom_wire::patch::Channels;
use glowloom_wire::{Carrier, Layout};

/// The size of each packet on the link: UDP payloads, or bytes on the serial line before escaping.
/// `lines` are the pixels of each data line, spare ones included.
#[must_use]
pub fn sizes(lines: &[u32], carrier: Carrier, channels: Channels) -> Vec<u64> {
    let lines: Vec<usize> = lines.iter().map(|pixels| *pixels as usize).collect();
    let layout = Layout::of_lengths(&lines, carrier, channels);
    let datagrams = layout.datagrams().map(|datagram| carrier.around() + datagram.size());
    let show = carrier.synchronization();
    let syncs = (0..show.packets).map(|_| show.bytes / show.packets);
    datagrams.chain(syncs).map(|size| size as u64).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_wire::ColourBits;
    use glowloom_wire::patch::Protocol;

    /// Worked by hand from the packets' layouts: 126, 18 or 10 bytes before the levels; 49 and 14
    /// of synchronization (E1.31-2018 Table 4-1 and 4-2 and Art-Net 4, as quoted; DDP's open text).
    #[test]
    fn a_panel_of_640_pixels() {
        let of = |protocol| sizes(&[640], Carrier::Udp(protocol), Channels::Three);
        assert_eq!(of(Protocol::E131), [636, 636, 636, 516, 49]);
        assert_eq!(of(Protocol::ArtNet), [528, 528, 528, 408, 14]);
        assert_eq!(of(Protocol::Ddp), [1450, 490]);
    }

    /// 10 bytes before the colours, an END on both sides (RFC 1055).
    #[test]
    fn a_serial_line_takes_a_panel_at_a_time() {
        let of = |lines: &[u32], bits| sizes(lines, Carrier::Serial(bits), Channels::Three);
        assert_eq!(of(&[2304], ColourBits::TwentyFour), [6924]);
        assert_eq!(of(&[1152, 1152], ColourBits::Sixteen), [4620]);
        // 21,845 pixels of three bytes are just what the length field counts.
        assert_eq!(of(&[21_845], ColourBits::TwentyFour), [65_547]);
        assert_eq!(of(&[21_846], ColourBits::TwentyFour), [65_547, 15]);
    }
}
