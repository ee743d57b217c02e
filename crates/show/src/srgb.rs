//! From the 8-bit codes of pictures to linear light and back.
//!
//! Pictures are taken to be sRGB (IEC 61966-2-1); colour profiles inside a file are not read.
//! Linear light is kept as `u16`, 65,535 being full: the high byte is about one step of an 8-bit
//! channel and the low byte leaves room for what rounding to 8 bits would lose.

use std::sync::LazyLock;

/// Full linear light of one channel.
pub const FULL: u16 = u16::MAX;

/// The transfer function: a code of 0 to 1 to linear light of 0 to 1.
///
/// c / 12.92 up to 0.04045, else ((c + 0.055) / 1.055)^2.4 (IEC 61966-2-1, read in texts that quote
/// it).
fn decode(code: f64) -> f64 {
    if code <= 0.04045 { code / 12.92 } else { ((code + 0.055) / 1.055).powf(2.4) }
}

static LINEAR: LazyLock<[u16; 256]> = LazyLock::new(|| {
    std::array::from_fn(|code| (decode(code as f64 / 255.0) * f64::from(FULL)).round() as u16)
});

/// Linear light of every 8-bit sRGB code, 0 to 65,535. Look it up once, then index it.
#[must_use]
pub fn linear_table() -> &'static [u16; 256] {
    &LINEAR
}

/// Linear light of one 8-bit sRGB code, 0 to 65,535.
#[must_use]
pub fn linear(code: u8) -> u16 {
    LINEAR[usize::from(code)]
}

/// The 8-bit sRGB code nearest to a linear light: the inverse of [`linear`], for saving what a wall
/// shows as a picture.
///
/// 12.92 l up to 0.0031308, else 1.055 l^(1/2.4) - 0.055 (IEC 61966-2-1, read in texts that quote
/// it).
#[must_use]
pub fn code(linear: u16) -> u8 {
    let light = f64::from(linear) / f64::from(FULL);
    let code =
        if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    (code * 255.0).round() as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Code, linear light and its rounding to 8 and 16 bits. The linear column was computed from
    /// the standard's formula and agrees with the library colour-science 0.4.7 to ten digits.
    const CHECKS: [(u8, f64, u8, u16); 10] = [
        (0, 0.0, 0, 0),
        (1, 0.000_303_527_0, 0, 20),
        (10, 0.003_035_269_8, 1, 199),
        (11, 0.003_346_535_8, 1, 219),
        (64, 0.051_269_458_4, 13, 3360),
        (127, 0.212_230_757_4, 54, 13909),
        (128, 0.215_860_500_1, 55, 14146),
        (188, 0.502_886_458_0, 128, 32957),
        (192, 0.527_115_125_7, 134, 34544),
        (255, 1.0, 255, 65535),
    ];

    #[test]
    fn decoding_agrees_with_the_standard() {
        for (code, light, eight, sixteen) in CHECKS {
            assert!((decode(f64::from(code) / 255.0) - light).abs() < 1e-10, "code {code}");
            assert_eq!(linear(code), sixteen, "code {code}");
            let as_eight = (f64::from(linear(code)) / 257.0).round() as u8;
            assert_eq!(as_eight, eight, "code {code}");
        }
    }

    /// The two values are as far apart from a plain power of 2.2 as that table says: the largest
    /// difference, 0.00853, is at code 191.
    #[test]
    fn it_is_not_a_plain_power() {
        let off = |code: u8| {
            let c = f64::from(code) / 255.0;
            (decode(c) - c.powf(2.2)).abs()
        };
        let worst = (0..=255).max_by(|&a, &b| off(a).total_cmp(&off(b))).unwrap();
        assert_eq!(worst, 191);
        assert!((off(191) - 0.00853).abs() < 5e-6);
    }

    #[test]
    fn every_code_comes_back() {
        for value in 0..=255 {
            assert_eq!(code(linear(value)), value);
        }
    }

    /// Half black, half white is half of the light: code 188, not 128.
    #[test]
    fn half_the_light_is_code_188() {
        assert_eq!(code(FULL / 2), 188);
    }
}
