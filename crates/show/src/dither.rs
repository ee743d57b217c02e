//! Between two steps of a byte: which pixels take the upper one, and in which frames.
//!
//! LEDs of 8 bits have 6 picture codes below half of their first step. So each pixel takes the upper of
//! two steps in so many of 256 frames as its light lies between them. When it does is laid out so that
//! nothing pulses: a frame's thresholds differ from pixel to pixel, and from frame to frame. No error is
//! carried on, so that a frame can be made again, dimmer, and comes out as it would have.
//!
//! The thresholds are the 8 bits of the column, the row and the frame's number, exclusive-ored, such
//! that, for any constant light,
//! - a pixel has each threshold once in 256 frames, the upper four of its bits once in 16, and so on:
//!   half a step alternates from frame to frame, a quarter comes every fourth;
//! - any 16 x 16 pixels have each threshold once in any frame, so that the whole does not flicker;
//! - any 4 x 4 pixels have each of the upper four bits once in any frame, so that their mean is within
//!   [`AMPLITUDE`] of the light; where columns, rows and frames start at a multiple of four, the upper
//!   six bits once in 4 frames, and the mean is within 1/64 of a step.

use glowloom_units::Hertz;

/// How far the mean of any 4 x 4 pixels of one constant light is from that light in any frame, in
/// steps of a byte, and so over any four frames too.
pub const AMPLITUDE: f64 = 1.0 / 16.0;

/// Under this rate there is no dither. Half a step alternates at half the rate: eyes fuse 25 Hz at the
/// light of a single step (a choice after the Ferry-Porter law, from memory; no source for LED walls).
pub const LEAST_RATE: Hertz = Hertz(50.0);

/// Columns and rows after which thresholds repeat.
pub(crate) const SIDE: usize = 16;

/// The colours of a pixel step in different frames: the whole pixel flickers less.
const OF_CHANNEL: [u8; 4] = [0x00, 0x80, 0x40, 0xC0];

/// Whether, and where in time, a frame is dithered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Dither {
    /// To the nearest step.
    Nearest,
    /// With thresholds of the frame of this number.
    Frame(u32),
}

/// Thresholds of one row, pixel after pixel, twice over so that a run may start at any column: `N` to a
/// pixel.
pub(crate) type Row<const N: usize> = [[u16; N]; 2 * SIDE];

impl Dither {
    /// Thresholds of one row, by column and channel.
    #[inline]
    pub(crate) fn row<const N: usize>(self, row: usize) -> Row<N> {
        match self {
            Self::Nearest => [[0x80; N]; 2 * SIDE],
            Self::Frame(number) => {
                let base = u16::from(of_row(row) ^ of_frame(number));
                const { columns::<N>() }.map(|pixel| pixel.map(|column| column ^ base))
            }
        }
    }
}

const fn columns<const N: usize>() -> Row<N> {
    let mut row = [[0; N]; 2 * SIDE];
    let mut column = 0;
    while column < 2 * SIDE {
        let mut channel = 0;
        while channel < N {
            row[column][channel] = (of_column(column) ^ OF_CHANNEL[channel]) as u16;
            channel += 1;
        }
        column += 1;
    }
    row
}

/// Bits 7, 5, 3, 1 from the column's bits 0 to 3.
const fn of_column(column: usize) -> u8 {
    spread(column) << 1
}

/// The same bits and those below them from the row's bits: neighbours in a diagonal differ too.
fn of_row(row: usize) -> u8 {
    let bits = spread(row);
    bits | bits << 1
}

/// Bits 0 to 3 to 6, 4, 2 and 0.
const fn spread(number: usize) -> u8 {
    let bits = (number & 1) << 6 | (number >> 1 & 1) << 4 | (number >> 2 & 1) << 2;
    (bits | (number >> 3 & 1)) as u8
}

/// All bits from the frame's, in reverse; its lowest two once more below those of 4 x 4 pixels.
fn of_frame(number: u32) -> u8 {
    let low = number as u8;
    low.reverse_bits() ^ (low & 3).reverse_bits() >> 4
}

#[cfg(test)]
mod tests {
    use super::*;

    fn threshold(column: usize, row: usize, frame: u32, channel: usize) -> u8 {
        Dither::Frame(frame).row::<4>(row)[column % SIDE][channel] as u8
    }

    /// Whether the values are as many as there are, each once.
    fn each_once(values: impl Iterator<Item = u8>, bits: u32) -> bool {
        let mut seen = vec![false; 1 << bits];
        let mut count = 0;
        for value in values {
            let at = usize::from(value >> (8 - bits));
            if std::mem::replace(&mut seen[at], true) {
                return false;
            }
            count += 1;
        }
        count == seen.len()
    }

    #[test]
    fn a_pixel_has_each_threshold_in_turn() {
        for (column, row, channel) in [(0, 0, 0), (5, 9, 1), (15, 3, 2), (7, 12, 3)] {
            let of = |frame| threshold(column, row, frame, channel);
            for start in [0, 256, 768] {
                assert!(each_once((start..start + 256).map(of), 8));
            }
            for start in (0..256).step_by(4) {
                assert!(each_once((start..start + 4).map(of), 2), "quarters come every fourth");
            }
            for start in (0..256).step_by(2) {
                assert!(each_once((start..start + 2).map(of), 1), "halves alternate");
            }
        }
    }

    #[test]
    fn any_square_has_them_all_at_once() {
        for frame in [0, 1, 7, 100, 255] {
            for (left, top) in [(0, 0), (3, 5), (14, 1)] {
                let square =
                    |side: usize| (0..side * side).map(move |i| (left + i % side, top + i / side));
                let of = |(column, row)| threshold(column, row, frame, 1);
                assert!(each_once(square(16).map(of), 8));
                assert!(each_once(square(4).map(of), 4));
            }
        }
    }

    #[test]
    fn four_frames_of_a_square_fill_each_others_gaps() {
        for start in [0, 4, 60, 252] {
            for (left, top) in [(0, 0), (4, 8), (12, 12)] {
                let all = (0..64)
                    .map(|i| threshold(left + i % 4, top + i / 4 % 4, start + (i / 16) as u32, 0));
                assert!(each_once(all, 6));
            }
        }
    }
}
