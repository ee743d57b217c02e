//! How much text the picture holds.

use glowloom_units::Metres;

/// Pixels of a letter: the smallest matrix that holds capitals and small letters (common practice,
/// no source).
const LETTER: (u32, u32) = (5, 7);
/// Between letters, and between lines.
const GAP: u32 = 1;

/// Lines and characters that fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Text {
    /// Each dot of a letter is this many pixels wide and high.
    pub dot_pixels: u32,
    /// Lines of text.
    pub rows: u32,
    /// Characters in a line.
    pub columns: u32,
}

/// What fits into a picture of so many pixels when letters are at least so high; rows of pixels are
/// `row_step` apart.
#[must_use]
pub fn fitting(columns: u32, rows: u32, row_step: Metres, letter: Metres) -> Text {
    let dots = (letter / (row_step * f64::from(LETTER.1)) - 1e-9).ceil().clamp(1.0, 1e6);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 1e6")]
    let dot_pixels = dots as u32;
    // The last letter and the last line need no gap behind them.
    let fit = |pixels: u32, letter: u32| {
        (u64::from(pixels) + u64::from(GAP * dot_pixels)) / u64::from((letter + GAP) * dot_pixels)
    };
    let count = |n: u64| u32::try_from(n).unwrap_or(u32::MAX);
    Text { dot_pixels, rows: count(fit(rows, LETTER.1)), columns: count(fit(columns, LETTER.0)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 5 x 7 dots with a gap of 1: four lines take 4 x 7 + 3, ten letters 10 x 5 + 9.
    #[test]
    fn the_last_needs_no_gap() {
        let fit = |columns, rows| {
            let text = fitting(columns, rows, Metres(0.01), Metres(0.07));
            (text.dot_pixels, text.columns, text.rows)
        };
        assert_eq!(fit(59, 31), (1, 10, 4));
        assert_eq!(fit(58, 30), (1, 9, 3));
        assert_eq!(fit(4, 6), (1, 0, 0));
    }

    #[test]
    fn far_viewers_want_larger_dots() {
        let text = fitting(100, 100, Metres(0.01), Metres(0.071));
        assert_eq!((text.dot_pixels, text.columns, text.rows), (2, 8, 6));
    }
}
