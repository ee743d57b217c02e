//! Two pictures made one, in linear light.

use crate::frame::LinearFrame;

/// One, as whole numbers have it.
const ONE: u32 = 1 << 15;

/// A share of 0 to 1 in 32,768ths.
fn fixed(share: f32) -> u32 {
    // Within 0 to 32,768 whatever comes; not-a-number is nothing.
    (share.clamp(0.0, 1.0) * ONE as f32).round() as u32
}

/// `from` on its way to `to`: `share` of 0 to 1 of it. Frames of other sizes are mixed as far as both go.
pub(super) fn mix(from: &LinearFrame, to: &LinearFrame, share: f32, into: &mut LinearFrame) {
    let share = fixed(share);
    let both = from.values().iter().zip(to.values());
    for (out, (&from, &to)) in into.values_mut().iter_mut().zip(both) {
        *out = weighed(from, ONE - share, to, share);
    }
}

/// `frame` moved on its way to `to`, as [`mix`].
pub(super) fn mix_in(frame: &mut LinearFrame, to: &LinearFrame, share: f32) {
    let share = fixed(share);
    for (value, &to) in frame.values_mut().iter_mut().zip(to.values()) {
        *value = weighed(*value, ONE - share, to, share);
    }
}

/// `upper` laid over `lower` with a strength of 0 to 1. A pixel of it covers by as much as its brightest
/// colour, so that black covers nothing: the picture counts as one that was drawn on black with soft edges,
/// its colours multiplied by their cover already.
pub(super) fn lay(lower: &LinearFrame, upper: &LinearFrame, strength: f32, into: &mut LinearFrame) {
    let strength = fixed(strength);
    let (lower, upper) = (lower.values().as_chunks::<3>().0, upper.values().as_chunks::<3>().0);
    let out = into.values_mut().as_chunks_mut::<3>().0;
    for (out, (lower, upper)) in out.iter_mut().zip(lower.iter().zip(upper)) {
        let brightest = u32::from(upper[0].max(upper[1]).max(upper[2]));
        // 65,535 covers all of it.
        let cover = ((brightest + (brightest >> 15)) * strength) >> 16;
        for (out, (&lower, &upper)) in out.iter_mut().zip(lower.iter().zip(upper)) {
            *out = weighed(lower, ONE - cover, upper, strength);
        }
    }
}

/// Two values by two weights in 32,768ths, at most 65,535.
fn weighed(a: u16, of_a: u32, b: u16, of_b: u32) -> u16 {
    // At most 2 x 65,535 x 32,768 and a half: it fits.
    let sum = u32::from(a) * of_a + u32::from(b) * of_b + ONE / 2;
    u16::try_from(sum >> 15).unwrap_or(u16::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(pixel: [u16; 3]) -> LinearFrame {
        let mut frame = LinearFrame::new(1, 1);
        frame.values_mut().copy_from_slice(&pixel);
        frame
    }

    fn mixed(share: f32) -> [u16; 3] {
        let mut out = LinearFrame::new(1, 1);
        mix(&frame([0, 65_535, 1000]), &frame([65_535, 0, 1000]), share, &mut out);
        out.pixel(0, 0).unwrap()
    }

    fn laid(lower: [u16; 3], upper: [u16; 3], strength: f32) -> [u16; 3] {
        let mut out = LinearFrame::new(1, 1);
        lay(&frame(lower), &frame(upper), strength, &mut out);
        out.pixel(0, 0).unwrap()
    }

    #[test]
    fn mixtures_are_of_light() {
        assert_eq!(mixed(0.0), [0, 65_535, 1000]);
        assert_eq!(mixed(1.0), [65_535, 0, 1000]);
        assert_eq!(mixed(0.25), [16_384, 49_151, 1000]);
        assert_eq!(mixed(f32::NAN), [0, 65_535, 1000]);
    }

    #[test]
    fn black_covers_nothing_and_full_light_all() {
        let below = [40_000, 123, 65_535];
        assert_eq!(laid(below, [0, 0, 0], 1.0), below);
        assert_eq!(laid(below, [65_535; 3], 1.0), [65_535; 3]);
        assert_eq!(laid(below, [65_535, 0, 0], 1.0), [65_535, 0, 0]);
        assert_eq!(laid(below, [65_535; 3], 0.0), below);
        // A soft edge: half of white over blue.
        assert_eq!(laid([0, 0, 60_000], [32_768; 3], 1.0), [32_768, 32_768, 62_768]);
        // Half as strong: half of each.
        let half = laid([65_535, 0, 0], [0, 65_535, 0], 0.5);
        assert!(half[0].abs_diff(32_768) <= 1 && half[1].abs_diff(32_768) <= 1, "{half:?}");
    }

    /// Nothing overflows, and nothing is brighter than both together could be.
    #[test]
    fn every_corner_stays_within_bounds() {
        let ends = [0, 1, 32_767, 32_768, 65_534, 65_535];
        for lower in ends {
            for upper in ends {
                for strength in [0.0, 0.3, 0.5, 1.0, 7.0] {
                    let [value, ..] = laid([lower; 3], [upper; 3], strength);
                    let most = lower.max(upper);
                    assert!(
                        value >= lower.min(upper) || u32::from(value) + 2 >= u32::from(lower),
                        "{lower} {upper} {strength} {value}"
                    );
                    assert!(
                        u32::from(value)
                            <= 65_535.min(u32::from(most) + u32::from(lower.min(upper)) + 2)
                    );
                }
            }
        }
    }
}
