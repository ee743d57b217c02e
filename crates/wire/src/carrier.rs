//! What carries a frame to a receiver, and what that makes of a pixel.

use crate::patch::{Channels, Protocol};
use crate::traffic::Traffic;
use crate::{ColourBits, artnet, ddp, e131, slip};

/// What carries a frame to a receiver.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carrier {
    /// A protocol over UDP.
    Udp(Protocol),
    /// DDP packets in SLIP over a serial line, with so many bits to a colour.
    Serial(ColourBits),
}

impl Carrier {
    /// Bytes in front of the pixels in each packet.
    #[must_use]
    pub const fn header(self) -> usize {
        match self {
            Self::Udp(Protocol::E131) => e131::data::SLOTS,
            Self::Udp(Protocol::ArtNet) => artnet::dmx::DATA,
            Self::Udp(Protocol::Ddp) | Self::Serial(_) => ddp::HEADER,
        }
    }

    /// Bytes to a pixel: one for each channel, but with 16 colour bits two for red, green and blue
    /// together, and one for white.
    #[must_use]
    pub const fn pixel(self, channels: Channels) -> usize {
        match (self, channels) {
            (Self::Serial(ColourBits::Sixteen), Channels::Three) => 2,
            (Self::Serial(ColourBits::Sixteen), Channels::Four) => 3,
            _ => channels.count(),
        }
    }

    /// The most pixels in one packet: a universe's; over UDP as many as 1440 bytes hold. A serial
    /// line has no limit of its own, so there it is what a packet can state.
    #[must_use]
    pub const fn pixels_per_packet(self, channels: Channels) -> usize {
        match self {
            Self::Udp(Protocol::E131 | Protocol::ArtNet) => channels.pixels_per_universe(),
            Self::Udp(Protocol::Ddp) => ddp::MAX_UDP_DATA / self.pixel(channels),
            Self::Serial(_) => ddp::MAX_DATA / self.pixel(channels),
        }
    }

    /// Bytes of data in a packet of so many pixels: Art-Net pads to even.
    #[must_use]
    pub const fn data(self, channels: Channels, pixels: usize) -> usize {
        let bytes = pixels * self.pixel(channels);
        match self {
            Self::Udp(Protocol::ArtNet) => artnet::dmx::padded(bytes),
            _ => bytes,
        }
    }

    /// A place in a panel's buffer as this carrier counts bytes, from the patch, which counts one
    /// byte to a channel. Both are the same unless there are 16 colour bits.
    #[must_use]
    pub const fn offset(self, channels: Channels, patch_offset: usize) -> usize {
        let (pixel, patch_pixel) = (self.pixel(channels), channels.count());
        patch_offset / patch_pixel * pixel + patch_offset % patch_pixel * (pixel / patch_pixel)
    }

    /// Bytes around each packet on the link: the two ENDs of SLIP.
    #[must_use]
    pub const fn around(self) -> usize {
        match self {
            Self::Udp(_) => 0,
            Self::Serial(_) => slip::ENDS,
        }
    }

    /// What synchronization adds to a frame, for each receiver that it is sent to. DDP needs no
    /// packet: the last one of a frame says "show now".
    #[must_use]
    pub const fn synchronization(self) -> Traffic {
        match self {
            Self::Udp(Protocol::E131) => Traffic { packets: 1, bytes: e131::sync::SIZE },
            Self::Udp(Protocol::ArtNet) => Traffic { packets: 1, bytes: artnet::sync::SIZE },
            Self::Udp(Protocol::Ddp) | Self::Serial(_) => Traffic { packets: 0, bytes: 0 },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand from the packets' layouts.
    #[test]
    fn a_full_packet_of_each_carrier() {
        let e131 = Carrier::Udp(Protocol::E131);
        let artnet = Carrier::Udp(Protocol::ArtNet);
        let ddp = Carrier::Udp(Protocol::Ddp);
        let serial = Carrier::Serial(ColourBits::TwentyFour);
        let serial_16 = Carrier::Serial(ColourBits::Sixteen);
        let cases = [
            (e131, Channels::Three, 170, 126 + 510),
            (e131, Channels::Four, 128, 126 + 512),
            (artnet, Channels::Three, 170, 18 + 510),
            (artnet, Channels::Four, 128, 18 + 512),
            (ddp, Channels::Three, 480, 10 + 1440),
            (ddp, Channels::Four, 360, 10 + 1440),
            (serial, Channels::Three, 21_845, 10 + 65_535),
            (serial_16, Channels::Three, 32_767, 10 + 65_534),
            (serial_16, Channels::Four, 21_845, 10 + 65_535),
        ];
        for (carrier, channels, pixels, bytes) in cases {
            assert_eq!(carrier.pixels_per_packet(channels), pixels);
            assert_eq!(carrier.header() + carrier.data(channels, pixels), bytes);
        }
    }

    #[test]
    fn offsets_count_the_carrier_s_own_bytes() {
        let serial = Carrier::Serial(ColourBits::Sixteen);
        assert_eq!(serial.offset(Channels::Three, 300), 200);
        assert_eq!(serial.offset(Channels::Four, 400), 300);
        assert_eq!(Carrier::Udp(Protocol::Ddp).offset(Channels::Three, 301), 301);
    }

    #[test]
    fn only_art_net_pads() {
        assert_eq!(Carrier::Udp(Protocol::ArtNet).data(Channels::Three, 3), 10);
        assert_eq!(Carrier::Udp(Protocol::E131).data(Channels::Three, 3), 9);
        assert_eq!(Carrier::Udp(Protocol::Ddp).data(Channels::Three, 3), 9);
    }

    #[test]
    fn synchronization_has_its_size() {
        let sync = |protocol| Carrier::Udp(protocol).synchronization();
        assert_eq!(sync(Protocol::E131), Traffic { packets: 1, bytes: 49 });
        assert_eq!(sync(Protocol::ArtNet), Traffic { packets: 1, bytes: 14 });
        assert_eq!(sync(Protocol::Ddp), Traffic::default());
    }
}
