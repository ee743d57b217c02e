//! One carried unit of the wall.

use glowloom_units::Metres;

use super::{Address, Feed, Wire};

/// Which way strips run on a panel before it is turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Strips stand upright.
    Vertical,
    /// Strips lie.
    Horizontal,
}

/// A corner of a panel, seen from the front, before it is turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)] // a corner is its name
pub enum Corner {
    TopLeft,
    TopRight,
    BottomLeft,
    BottomRight,
}

impl Corner {
    /// Whether it is at the top.
    #[must_use]
    pub fn is_top(self) -> bool {
        matches!(self, Self::TopLeft | Self::TopRight)
    }

    /// Whether it is at the left, seen from the front.
    #[must_use]
    pub fn is_left(self) -> bool {
        matches!(self, Self::TopLeft | Self::BottomLeft)
    }
}

/// The order in which strips are joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Path {
    /// Each next strip runs back.
    Serpentine,
    /// Each strip starts at the same edge.
    Progressive,
}

/// What crosses the joints between strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Jumpers {
    /// Plus, minus and data.
    PowerAndData,
    /// Data alone.
    Data,
}

/// Degrees clockwise as hung.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)] // the number is the name
pub enum Turn {
    None,
    Quarter,
    Half,
    ThreeQuarters,
}

impl Turn {
    /// 0, 90, 180 or 270.
    #[must_use]
    pub fn degrees(self) -> u32 {
        match self {
            Self::None => 0,
            Self::Quarter => 90,
            Self::Half => 180,
            Self::ThreeQuarters => 270,
        }
    }

    /// Whether columns and rows change places.
    #[must_use]
    pub fn swaps(self) -> bool {
        matches!(self, Self::Quarter | Self::ThreeQuarters)
    }
}

/// One carried unit of the wall. `columns`, `rows`, `strips` and `enter` hold before `turn`.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Not empty, unlike every other panel's.
    pub name: String,
    /// Its top-left pixel in the picture as hung: column, row, from 0.
    pub at: (u32, u32),
    /// As hung.
    pub turn: Turn,
    /// Own columns, before the turn.
    pub columns: u32,
    /// Own rows, before the turn.
    pub rows: u32,
    /// Which way strips run.
    pub strips: Direction,
    /// Corner of the first pixel.
    pub enter: Corner,
    /// Order in which strips are joined.
    pub path: Path,
    /// Pins that the strips are shared among: 1 to the number of strips.
    pub data_lines: u32,
    /// Unlit pixels at the head of each data line.
    pub spare_pixels: u32,
    /// What crosses the joints.
    pub jumpers: Jumpers,
    /// Across the strips; absent: the pixel pitch.
    pub strip_spacing: Option<Metres>,
    /// Of its light that red, green, blue and white keep, 0 to 1, so that panels match.
    pub shares: [f64; 4],
    /// Top-left corner as built, right and down; absent: from `at`.
    pub place: Option<(Metres, Metres)>,
    /// Where its receiver is.
    pub address: Address,
    /// Of its first data line; the rest follow without a gap. Never shared between panels.
    pub first_universe: u16,
    /// One past its last universe.
    pub universes_end: u32,
    /// By strip, near before far.
    pub feeds: Vec<Feed>,
    /// What a feed is made of that says nothing of its own.
    pub feed_wire: Wire,
    /// Where it stands among the panels of the file, from 0.
    pub number: usize,
}

impl Panel {
    /// How many strips it has.
    #[must_use]
    pub fn strip_count(&self) -> u32 {
        match self.strips {
            Direction::Vertical => self.columns,
            Direction::Horizontal => self.rows,
        }
    }

    /// Pixels on each strip.
    #[must_use]
    pub fn strip_pixels(&self) -> u32 {
        match self.strips {
            Direction::Vertical => self.rows,
            Direction::Horizontal => self.columns,
        }
    }

    /// Lit pixels; spare pixels are not among them.
    #[must_use]
    pub fn pixels(&self) -> u32 {
        self.columns * self.rows
    }

    /// Columns and rows of the picture that it takes up as hung.
    #[must_use]
    pub fn hung(&self) -> (u32, u32) {
        if self.turn.swaps() { (self.rows, self.columns) } else { (self.columns, self.rows) }
    }

    /// How many strips each data line has, in order: shared out evenly, the first lines taking
    /// the odd ones.
    pub fn strips_per_line(&self) -> impl Iterator<Item = u32> {
        shared(self.strip_count(), self.data_lines)
    }

    /// Where a key of this panel may stand in the file, to be given to [`super::Parts::place`]:
    /// in its own entry, in `[panel]`, and last its entry as a whole.
    #[must_use]
    pub fn paths(&self, key: &str) -> [String; 3] {
        let number = self.number;
        [format!("panels.{number}.{key}"), format!("panel.{key}"), format!("panels.{number}")]
    }
}

/// Shares `count` things among `parts`, the first taking the odd ones.
pub(crate) fn shared(count: u32, parts: u32) -> impl Iterator<Item = u32> {
    let parts = parts.max(1);
    (0..parts).map(move |i| count / parts + u32::from(i < count % parts))
}

#[cfg(test)]
mod tests {
    #[test]
    fn uneven_shares_go_to_the_first() {
        assert_eq!(super::shared(20, 3).collect::<Vec<_>>(), [7, 7, 6]);
        assert_eq!(super::shared(3, 3).collect::<Vec<_>>(), [1, 1, 1]);
    }
}
