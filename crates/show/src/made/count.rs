//! Every pixel in turn.

use std::num::NonZeroU32;
use std::time::Duration;

use super::ramp::{rgb, values};
use crate::frame::LinearFrame;
use crate::source::{Drawn, Source, SourceError};

/// How many pixels light up in a second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PixelsPerSecond(pub NonZeroU32);

impl Default for PixelsPerSecond {
    /// 20 pixels a second: quick enough to watch, slow enough to follow.
    fn default() -> Self {
        const TWENTY: NonZeroU32 = NonZeroU32::MIN.saturating_add(19);
        Self(TWENTY)
    }
}

/// How long all pixels stay lit before the count begins again.
const REST: Duration = Duration::from_secs(3);

/// Lights the pixels one by one in row-major order, counting from 1, and starts again when all are
/// lit. The newest is white, every tenth amber, every hundredth blue, the others a dim white: where
/// the count jumps, goes backwards or stops, the wiring is not as planned.
#[derive(Clone, Copy, Debug, Default)]
pub struct Count {
    rate: PixelsPerSecond,
    /// How many were lit when last drawn.
    lit: Option<u64>,
}

impl Count {
    /// A count at this rate.
    #[must_use]
    pub fn new(rate: PixelsPerSecond) -> Self {
        Self { rate, lit: None }
    }

    /// How many of `pixels` are lit `at` a time: none at the very beginning, all during the rest.
    fn lit_at(self, at: Duration, pixels: u64) -> u64 {
        let rate = u128::from(self.rate.0.get());
        let second = Duration::from_secs(1).as_nanos();
        let counting = u128::from(pixels) * second / rate;
        let round = counting + REST.as_nanos();
        let lit = at.as_nanos() % round * rate / second;
        u64::try_from(lit).unwrap_or(pixels).min(pixels)
    }
}

impl Source for Count {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let pixels = u64::from(into.columns()) * u64::from(into.rows());
        let lit = self.lit_at(at, pixels);
        if self.lit == Some(lit) && !into.is_blank() {
            return Ok(Drawn::Same);
        }
        self.lit = Some(lit);
        let [newest, tenth, hundredth, plain] =
            [0xFF_FF_FF, 0xFF_A0_20, 0x30_60_FF, 0x48_48_48].map(|code| values(rgb(code)));
        for (number, pixel) in (1u64..).zip(into.values_mut().as_chunks_mut::<3>().0) {
            *pixel = match number {
                _ if number > lit => [0; 3],
                _ if number == lit && lit < pixels => newest,
                _ if number % 100 == 0 => hundredth,
                _ if number % 10 == 0 => tenth,
                _ => plain,
            };
        }
        Ok(Drawn::New)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lit_after(ms: u64, frame: &mut LinearFrame) -> usize {
        Count::default().draw(Duration::from_millis(ms), frame).unwrap();
        frame.values().as_chunks::<3>().0.iter().filter(|pixel| **pixel != [0; 3]).count()
    }

    #[test]
    fn twenty_pixels_light_up_in_a_second() {
        let mut frame = LinearFrame::new(40, 3);
        for (ms, lit) in
            [(0, 0), (49, 0), (50, 1), (1000, 20), (5000, 100), (6000, 120), (8999, 120)]
        {
            assert_eq!(lit_after(ms, &mut frame), lit, "{ms} ms");
        }
        assert_eq!(lit_after(9000, &mut frame), 0, "the count begins again");
        assert_eq!(lit_after(9050, &mut frame), 1);
    }

    #[test]
    fn tens_and_hundreds_are_marked() {
        let mut frame = LinearFrame::new(40, 3);
        assert_eq!(lit_after(7000, &mut frame), 120);
        let mut colours: Vec<[u16; 3]> = frame.values().as_chunks::<3>().0.to_vec();
        let (tenth, hundredth, plain) = (colours[9], colours[99], colours[0]);
        for (number, colour) in (1..).zip(&colours) {
            let wanted = match number {
                100 => hundredth,
                n if n % 10 == 0 => tenth,
                _ => plain,
            };
            assert_eq!(*colour, wanted, "pixel {number}");
        }
        colours.sort_unstable();
        colours.dedup();
        assert_eq!(colours.len(), 3);
    }

    #[test]
    fn the_newest_is_white() {
        let mut frame = LinearFrame::new(40, 3);
        assert_eq!(lit_after(500, &mut frame), 10);
        assert_eq!(frame.pixel(9, 0), Some([u16::MAX; 3]));
        assert_eq!(frame.pixel(10, 0), Some([0; 3]));
    }
}
