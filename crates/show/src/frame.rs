//! One picture of the wall, in linear light.

/// `columns` x `rows` pixels of linear light, row-major from the top left, three `u16` to a pixel:
/// red, green, blue, 0 to 65,535 (full).
///
/// A frame keeps its memory as long as its size stays. A frame of no columns or no rows is empty;
/// every stage passes over it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LinearFrame {
    columns: u32,
    rows: u32,
    values: Vec<u16>,
    blank: bool,
}

impl LinearFrame {
    /// A black frame.
    #[must_use]
    pub fn new(columns: u32, rows: u32) -> Self {
        let values = vec![0; columns as usize * rows as usize * 3];
        Self { columns, rows, values, blank: true }
    }

    /// Pixels across.
    #[must_use]
    pub fn columns(&self) -> u32 {
        self.columns
    }

    /// Pixels down.
    #[must_use]
    pub fn rows(&self) -> u32 {
        self.rows
    }

    /// Every value, row-major, red, green, blue.
    #[must_use]
    pub fn values(&self) -> &[u16] {
        &self.values
    }

    /// Every value, to be written. The frame is not blank from then on.
    pub fn values_mut(&mut self) -> &mut [u16] {
        self.blank = false;
        &mut self.values
    }

    /// Red, green and blue of one pixel, or `None` outside of the frame.
    #[must_use]
    pub fn pixel(&self, column: u32, row: u32) -> Option<[u16; 3]> {
        if column >= self.columns || row >= self.rows {
            return None;
        }
        let at = (row as usize * self.columns as usize + column as usize) * 3;
        self.values.get(at..at + 3).and_then(|pixel| pixel.try_into().ok())
    }

    /// Whether nothing has been drawn since the frame was made or cleared. A source that is lent a
    /// blank frame draws all of it, whatever it drew before.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        self.blank
    }

    /// Makes the frame black and blank.
    pub fn clear(&mut self) {
        self.values.fill(0);
        self.blank = true;
    }

    /// Gives the frame another size: black and blank. The same size changes nothing.
    pub fn resize(&mut self, columns: u32, rows: u32) {
        if (columns, rows) != (self.columns, self.rows) {
            *self = Self::new(columns, rows);
        }
    }

    /// The frame as 8-bit sRGB, row-major, three bytes to a pixel: for saving it as a picture.
    #[must_use]
    pub fn to_rgb8(&self) -> Vec<u8> {
        self.values.iter().map(|&value| crate::srgb::code(value)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frame_is_blank_until_drawn() {
        let mut frame = LinearFrame::new(2, 1);
        assert!(frame.is_blank());
        frame.values_mut().copy_from_slice(&[1, 2, 3, 4, 5, 6]);
        assert!(!frame.is_blank());
        assert_eq!(frame.pixel(1, 0), Some([4, 5, 6]));
        assert_eq!(frame.pixel(2, 0), None);
        assert_eq!(frame.pixel(0, 1), None);
        frame.clear();
        assert!(frame.is_blank());
        assert_eq!(frame.values(), [0; 6]);
    }

    #[test]
    fn the_same_size_keeps_the_picture() {
        let mut frame = LinearFrame::new(1, 1);
        frame.values_mut().fill(9);
        frame.resize(1, 1);
        assert_eq!(frame.values(), [9; 3]);
        frame.resize(2, 1);
        assert_eq!(frame.values(), [0; 6]);
        assert!(frame.is_blank());
    }

    #[test]
    fn saving_gives_the_codes_back() {
        let mut frame = LinearFrame::new(1, 1);
        frame.values_mut().copy_from_slice(&[0, 14146, 65535]);
        assert_eq!(frame.to_rgb8(), [0, 128, 255]);
    }
}
