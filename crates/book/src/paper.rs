//! Sizes of drawing sheets.

use glowloom_design::wall::Paper as Series;

/// A sheet, lying.
#[derive(Clone, Debug, PartialEq)]
pub struct Paper {
    /// What it is called; a sheet of no usual size has its size for a name.
    pub name: String,
    /// mm.
    pub width: f64,
    /// mm.
    pub height: f64,
}

/// ISO 216, A3 to A0.
const ISO: [(&str, f64, f64); 4] =
    [("A3", 420.0, 297.0), ("A2", 594.0, 420.0), ("A1", 841.0, 594.0), ("A0", 1189.0, 841.0)];

/// Tabloid and ANSI C to E (ASME Y14.1, from memory).
const US: [(&str, f64, f64); 4] = [
    ("Tabloid", 431.8, 279.4),
    ("ANSI C", 558.8, 431.8),
    ("ANSI D", 863.6, 558.8),
    ("ANSI E", 1117.6, 863.6),
];

impl Paper {
    /// The sheets that go with the book's paper, the smallest first.
    pub fn series(series: Series) -> impl Iterator<Item = Self> {
        let sizes = match series {
            Series::A4 => ISO,
            Series::Letter => US,
        };
        sizes.into_iter().map(|(name, width, height)| Self { name: name.into(), width, height })
    }

    /// The smallest usual sheet of at least that size; where there is none, one cut to measure.
    pub fn holding(series: Series, width: f64, height: f64) -> Self {
        let usual = Self::series(series).find(|p| p.width >= width && p.height >= height);
        usual.unwrap_or_else(|| {
            let (width, height) = (width.ceil(), height.ceil());
            Self { name: format!("{width} x {height} mm"), width, height }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_smallest_that_holds_it() {
        let name = |width, height| Paper::holding(Series::A4, width, height).name;
        assert_eq!(name(300.0, 297.0), "A3");
        assert_eq!(name(421.0, 100.0), "A2");
        assert_eq!(name(100.0, 842.0), "100 x 842 mm");
        assert_eq!(Paper::holding(Series::Letter, 432.0, 10.0).name, "ANSI C");
    }
}
