//! How a photograph is to be turned before it is seen.

use exif::{In, Reader, Tag};

use crate::frame::LinearFrame;

/// The orientation of an Exif header: 1 to 8 (Exif, tag 274, from memory). Kept as the three moves
/// that bring the stored picture upright, done in this order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Turn {
    /// Rows become columns.
    transpose: bool,
    /// Left becomes right.
    mirror: bool,
    /// Top becomes bottom.
    flip: bool,
}

impl Turn {
    /// The turn that an orientation asks for; any number but 2 to 8 asks for none.
    fn from_orientation(orientation: u32) -> Self {
        let (transpose, mirror, flip) = match orientation {
            2 => (false, true, false),
            3 => (false, true, true),
            4 => (false, false, true),
            5 => (true, false, false),
            6 => (true, true, false),
            7 => (true, true, true),
            8 => (true, false, true),
            _ => (false, false, false),
        };
        Self { transpose, mirror, flip }
    }

    /// The turn that an Exif block (a TIFF structure) asks for. A block without a readable
    /// orientation asks for none.
    pub(super) fn from_exif(block: &[u8]) -> Self {
        let mut reader = Reader::new();
        reader.continue_on_error(true);
        reader
            .read_raw(block.to_vec())
            .or_else(|error| error.distill_partial_result(|_| ()))
            .ok()
            .and_then(|exif| exif.get_field(Tag::Orientation, In::PRIMARY)?.value.get_uint(0))
            .map_or(Self::default(), Self::from_orientation)
    }

    /// Whether nothing is to be turned.
    pub(crate) fn is_none(self) -> bool {
        self == Self::default()
    }

    /// Width and height, or columns and rows, as they change places. Its own inverse.
    pub(crate) fn turned(self, (across, down): (u32, u32)) -> (u32, u32) {
        if self.transpose { (down, across) } else { (across, down) }
    }

    /// Copies `from`, which has the turned columns and rows of `into`, into it, upright.
    pub(crate) fn upright(self, from: &LinearFrame, into: &mut LinearFrame) {
        let (columns, rows) = (into.columns() as usize, into.rows() as usize);
        let stored_columns = from.columns() as usize;
        let (source, _) = from.values().as_chunks::<3>();
        let (target, _) = into.values_mut().as_chunks_mut::<3>();
        for (row, line) in target.chunks_exact_mut(columns.max(1)).enumerate() {
            let row = if self.flip { rows - 1 - row } else { row };
            for (column, pixel) in line.iter_mut().enumerate() {
                let column = if self.mirror { columns - 1 - column } else { column };
                let (x, y) = if self.transpose { (row, column) } else { (column, row) };
                if let Some(&value) = source.get(y * stored_columns + x) {
                    *pixel = value;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where the stored picture's row 0 and column 0 are to be seen, as the Exif text names them
    /// (from memory): 1 top, left; 2 top, right; 3 bottom, right; 4 bottom, left; 5 left, top;
    /// 6 right, top; 7 right, bottom; 8 left, bottom.
    #[test]
    fn row_0_and_column_0_go_where_exif_says() {
        let sides = [
            ("top", "left"),
            ("top", "right"),
            ("bottom", "right"),
            ("bottom", "left"),
            ("left", "top"),
            ("right", "top"),
            ("right", "bottom"),
            ("left", "bottom"),
        ];
        for (orientation, (row_side, column_side)) in (1..).zip(sides) {
            let turn = Turn::from_orientation(orientation);
            // 3 x 2, each pixel its stored column and row in red and green.
            let mut stored = LinearFrame::new(3, 2);
            for (n, pixel) in stored.values_mut().as_chunks_mut::<3>().0.iter_mut().enumerate() {
                *pixel = [(n % 3) as u16, (n / 3) as u16, 1];
            }
            let (columns, rows) = turn.turned((3, 2));
            let mut seen = LinearFrame::new(columns, rows);
            turn.upright(&stored, &mut seen);
            let edge = |side: &str| -> Vec<[u16; 3]> {
                let at = |column, row| seen.pixel(column, row).unwrap();
                match side {
                    "top" => (0..columns).map(|c| at(c, 0)).collect(),
                    "bottom" => (0..columns).map(|c| at(c, rows - 1)).collect(),
                    "left" => (0..rows).map(|r| at(0, r)).collect(),
                    _ => (0..rows).map(|r| at(columns - 1, r)).collect(),
                }
            };
            assert!(edge(row_side).iter().all(|pixel| pixel[1] == 0), "{orientation}");
            assert!(edge(column_side).iter().all(|pixel| pixel[0] == 0), "{orientation}");
        }
    }

    /// A TIFF structure typed by hand: big-endian, one entry: tag 274, a SHORT, one of it, 6.
    #[test]
    fn the_orientation_is_found_in_an_exif_block() {
        let mut block = b"MM\0\x2a\0\0\0\x08".to_vec();
        block.extend([0, 1, 1, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0]);
        assert_eq!(Turn::from_exif(&block), Turn::from_orientation(6));
        for length in 0..block.len() {
            let _ = Turn::from_exif(&block[..length]);
        }
        assert!(Turn::from_exif(b"no such thing").is_none());
    }
}
