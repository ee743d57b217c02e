//! The steps that a byte can take, and which light each gives.

/// Which bytes the way to the LEDs can carry.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Steps {
    /// All of them.
    #[default]
    Eight,
    /// Of red and blue those of 5 bits, of green those of 6, their top bits repeated below; of white
    /// all. So a pixel takes two bytes on the link, one more with white.
    FiveSixFive,
}

impl Steps {
    /// Bits of red, green, blue and white.
    pub(crate) fn bits(self) -> [u32; 4] {
        match self {
            Self::Eight => [8; 4],
            Self::FiveSixFive => [5, 6, 5, 8],
        }
    }
}

/// The steps of one colour, from light to bytes.
#[derive(Clone, Debug)]
pub(crate) struct Ladder {
    /// For each light of 16 bits the step below it in 256ths, part of the way to the next included.
    position: Vec<u16>,
    /// The byte of each step.
    bytes: Vec<u8>,
    gamma: f64,
}

impl Ladder {
    /// Steps of 5, 6 or 8 bits on chips whose light is (byte / 255)^`gamma`. Between two steps light
    /// is in proportion, for what mixes them in time mixes their light.
    pub(crate) fn new(bits: u32, gamma: f64) -> Self {
        let bytes: Vec<u8> = (0..1u32 << bits).map(|step| widened(step, bits)).collect();
        let light: Vec<f64> = bytes.iter().map(|byte| light(*byte, gamma)).collect();
        let mut position = vec![0; 1 << 16];
        let mut below = 0;
        for (value, position) in position.iter_mut().enumerate() {
            let value = value as f64 / 65_535.0;
            while below + 2 < light.len() && light[below + 1] <= value {
                below += 1;
            }
            let share = (value - light[below]) / (light[below + 1] - light[below]);
            // At most the last step, 255 of 256ths: it fits.
            *position = ((below as f64 + share.clamp(0.0, 1.0)) * 256.0).round() as u16;
        }
        Self { position, bytes, gamma }
    }

    /// The highest step whose byte is not above the ceiling.
    pub(crate) fn top(&self, ceiling: u8) -> usize {
        self.bytes.partition_point(|byte| *byte <= ceiling).saturating_sub(1)
    }

    /// Light at a step, 0 to 1 of all.
    pub(crate) fn light(&self, step: usize) -> f64 {
        self.bytes.get(step).map_or(0.0, |byte| light(*byte, self.gamma))
    }

    /// The byte for a light, 256ths of a step added, and no step above `top`.
    #[inline(always)]
    pub(crate) fn byte(&self, light: u16, threshold: u16, top: usize) -> u8 {
        let position = self.position.get(usize::from(light)).copied().unwrap_or_default();
        let step = ((u32::from(position) + u32::from(threshold)) >> 8) as usize;
        self.bytes.get(step.min(top)).copied().unwrap_or_default()
    }
}

fn light(byte: u8, gamma: f64) -> f64 {
    (f64::from(byte) / 255.0).powf(gamma)
}

/// A byte from a number of so many bits, 5 to 8; its low bits are the number's top bits again.
fn widened(number: u32, bits: u32) -> u8 {
    ((number << (8 - bits)) | (number >> (2 * bits - 8))) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_of_few_bits_reach_both_ends() {
        let five = Ladder::new(5, 1.0);
        assert_eq!((five.bytes[0], five.bytes[1], five.bytes[31]), (0, 8, 255));
        assert_eq!(five.bytes.len(), 32);
        assert_eq!(Ladder::new(6, 1.0).bytes[1], 4);
        assert_eq!(Ladder::new(8, 1.0).bytes, (0..=255).collect::<Vec<u8>>());
        assert_eq!((five.top(255), five.top(254), five.top(7)), (31, 30, 0));
    }

    /// Thresholds of 0 to 255 in turn give the light on average, between steps and on them.
    #[test]
    fn the_mean_of_all_thresholds_is_the_light() {
        for (bits, gamma) in [(8, 1.0), (5, 1.0), (6, 1.0), (8, 2.2), (5, 2.2)] {
            let ladder = Ladder::new(bits, gamma);
            let top = ladder.top(255);
            for value in [0u16, 1, 40, 700, 5_000, 32_768, 65_000, 65_535] {
                let sum: f64 = (0..256).map(|t| light(ladder.byte(value, t, top), gamma)).sum();
                let step = f64::from(ladder.byte(value, 0, top));
                let next = ladder.bytes.iter().find(|b| f64::from(**b) > step).copied();
                let width = next.map_or(1.0, |n| light(n, gamma)) - light(step as u8, gamma);
                let off = (sum / 256.0 - f64::from(value) / 65_535.0).abs();
                assert!(
                    off <= width / 256.0 + 1e-9,
                    "{bits} bits, gamma {gamma}: {value} off by {off}"
                );
            }
        }
    }
}
