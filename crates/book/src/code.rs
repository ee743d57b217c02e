//! Codes that a phone reads: QR Code (ISO/IEC 18004) by a library, as squares to draw.

use qrcodegen::{QrCode, QrCodeEcc};

/// Light squares that a reader wants around a code, each side (ISO/IEC 18004, from memory).
pub const QUIET: u32 = 4;

/// A code as a square of squares, without its light margin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Code {
    /// Squares of a side: 21 to 177.
    pub side: u32,
    dark: Vec<bool>,
}

impl Code {
    /// The code of a text, so that it is still read with some 15 % of it lost; `None` for a text that is
    /// too long for any code.
    #[must_use]
    pub fn of(text: &str) -> Option<Self> {
        let code = QrCode::encode_text(text, QrCodeEcc::Medium).ok()?;
        let side = code.size();
        let dark = (0..side).flat_map(|y| (0..side).map(move |x| (x, y)));
        let dark = dark.map(|(x, y)| code.get_module(x, y)).collect();
        Some(Self { side: u32::try_from(side).ok()?, dark })
    }

    /// Whether a square is dark; columns and rows from 0 at the top left. What is outside is light.
    #[must_use]
    pub fn is_dark(&self, column: u32, row: u32) -> bool {
        let inside = column < self.side && row < self.side;
        let at = (row as usize).saturating_mul(self.side as usize).saturating_add(column as usize);
        inside && self.dark.get(at).copied().unwrap_or(false)
    }

    /// Dark squares side by side: column and row of the first, and how many.
    pub fn bars(&self) -> impl Iterator<Item = (u32, u32, u32)> + '_ {
        (0..self.side).flat_map(move |row| {
            let mut column = 0;
            std::iter::from_fn(move || {
                let first = (column..self.side).find(|column| self.is_dark(*column, row))?;
                let end = (first..self.side).find(|column| !self.is_dark(*column, row));
                column = end.unwrap_or(self.side);
                Some((first, row, column - first))
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The finder pattern of ISO/IEC 18004 (from memory): a dark square of 7, a light one of 5, a dark one
    /// of 3, in three corners.
    #[test]
    fn finders_are_in_three_corners() {
        let code = Code::of("index.html#panel-west").unwrap();
        assert_eq!(code.side % 4, 1);
        let far = code.side - 7;
        for (left, top, there) in [(0, 0, true), (far, 0, true), (0, far, true), (far, far, false)]
        {
            let ring = |x: u32, y: u32| x.abs_diff(3).max(y.abs_diff(3));
            let all = (0..7).flat_map(|y| (0..7).map(move |x| (x, y)));
            let found =
                all.clone().all(|(x, y)| code.is_dark(left + x, top + y) == (ring(x, y) != 2));
            assert_eq!(found, there, "{left} {top}");
        }
    }

    #[test]
    fn bars_are_the_dark_squares() {
        let code = Code::of("x").unwrap();
        let bars: u32 = code.bars().map(|bar| bar.2).sum();
        let dark = (0..code.side).flat_map(|y| (0..code.side).map(move |x| (x, y)));
        assert_eq!(bars as usize, dark.filter(|(x, y)| code.is_dark(*x, *y)).count());
        assert!(code.bars().all(|(x, y, n)| (x..x + n).all(|x| code.is_dark(x, y))));
        assert_eq!(Code::of(&"x".repeat(10_000)), None);
    }
}
