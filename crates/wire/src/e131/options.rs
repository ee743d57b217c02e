//! The three switches of a data packet.

/// The switches of a data packet (E1.31-2018, 6.2.6). The five bits left over are sent as zero and
/// not looked at on receipt (from memory).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// For looking at only: a receiver that drives light ignores the packet.
    pub preview: bool,
    /// The sender ends this stream; the slots mean nothing.
    pub terminated: bool,
    /// When synchronization is lost: `true` goes on without it, `false` keeps the last look.
    pub force_synchronization: bool,
}

impl Options {
    /// The options that end a stream.
    pub const END: Self = Self { preview: false, terminated: true, force_synchronization: false };

    const PREVIEW: u8 = 1 << 7;
    const TERMINATED: u8 = 1 << 6;
    const FORCE_SYNCHRONIZATION: u8 = 1 << 5;

    /// From the byte of a packet.
    #[must_use]
    pub const fn from_bits(bits: u8) -> Self {
        Self {
            preview: bits & Self::PREVIEW != 0,
            terminated: bits & Self::TERMINATED != 0,
            force_synchronization: bits & Self::FORCE_SYNCHRONIZATION != 0,
        }
    }

    /// As the byte of a packet.
    #[must_use]
    pub const fn bits(self) -> u8 {
        (self.preview as u8 * Self::PREVIEW)
            | (self.terminated as u8 * Self::TERMINATED)
            | (self.force_synchronization as u8 * Self::FORCE_SYNCHRONIZATION)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// E1.31-2018, 6.2.6, as quoted by open implementations.
    #[test]
    fn each_switch_has_its_bit() {
        let off = Options::default();
        assert_eq!(off.bits(), 0);
        assert_eq!(Options { preview: true, ..off }.bits(), 0x80);
        assert_eq!(Options { terminated: true, ..off }.bits(), 0x40);
        assert_eq!(Options { force_synchronization: true, ..off }.bits(), 0x20);
        assert_eq!(Options::END.bits(), 0x40);
    }

    #[test]
    fn only_the_top_three_bits_count() {
        for bits in 0..=u8::MAX {
            assert_eq!(Options::from_bits(bits).bits(), bits & 0xe0);
        }
    }
}
