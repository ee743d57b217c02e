//! The pixels of a picture, as a decoder leaves them.

/// The longest side of a picture, in pixels: what JPEG and GIF can say in a header. It also keeps
/// every sum of the area average inside of its integers.
pub const LONGEST_SIDE: u32 = 65_535;

/// How the bytes of one picture pixel lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layout {
    /// Red, green, blue.
    Rgb,
    /// Red, green, blue, and how much of the pixel is there: 0 none, 255 all. Not premultiplied.
    Rgba,
    /// As `Rgba`, and every pixel is known to be there in full.
    RgbaOpaque,
}

impl Layout {
    /// Bytes to a pixel.
    #[must_use]
    pub fn stride(self) -> usize {
        match self {
            Self::Rgb => 3,
            Self::Rgba | Self::RgbaOpaque => 4,
        }
    }
}

/// A picture of 8-bit sRGB pixels, row-major from the top left.
#[derive(Clone, Copy, Debug)]
pub struct Raster<'a> {
    width: u32,
    height: u32,
    layout: Layout,
    bytes: &'a [u8],
}

impl<'a> Raster<'a> {
    /// A picture over `bytes`; `None` unless both sides are 1 to [`LONGEST_SIDE`] and there are
    /// exactly as many bytes as the sides and the layout ask for.
    #[must_use]
    pub fn new(width: u32, height: u32, layout: Layout, bytes: &'a [u8]) -> Option<Self> {
        let sides = 1..=LONGEST_SIDE;
        let wanted = (width as usize).checked_mul(height as usize)?.checked_mul(layout.stride())?;
        (sides.contains(&width) && sides.contains(&height) && bytes.len() == wanted)
            .then_some(Self { width, height, layout, bytes })
    }

    /// Pixels across, 1 to [`LONGEST_SIDE`].
    #[must_use]
    pub fn width(&self) -> u32 {
        self.width
    }

    /// Pixels down, 1 to [`LONGEST_SIDE`].
    #[must_use]
    pub fn height(&self) -> u32 {
        self.height
    }

    /// How the bytes lie.
    #[must_use]
    pub fn layout(&self) -> Layout {
        self.layout
    }

    /// The bytes of one row; empty below the picture.
    #[must_use]
    pub fn row(&self, row: u32) -> &'a [u8] {
        let length = self.width as usize * self.layout.stride();
        let start = row as usize * length;
        self.bytes.get(start..start + length).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sides_and_bytes_must_agree() {
        assert!(Raster::new(2, 1, Layout::Rgb, &[0; 6]).is_some());
        assert!(Raster::new(2, 1, Layout::Rgba, &[0; 8]).is_some());
        assert!(Raster::new(2, 1, Layout::Rgb, &[0; 7]).is_none());
        assert!(Raster::new(0, 1, Layout::Rgb, &[]).is_none());
        assert!(Raster::new(65_536, 1, Layout::Rgb, &[0; 65_536 * 3]).is_none());
    }

    #[test]
    fn rows_lie_one_below_the_other() {
        let bytes: Vec<u8> = (0..12).collect();
        let raster = Raster::new(2, 2, Layout::Rgb, &bytes).unwrap();
        assert_eq!(raster.row(1), [6, 7, 8, 9, 10, 11]);
        assert!(raster.row(2).is_empty());
    }
}
