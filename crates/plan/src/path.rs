//! The pixel path of a panel: how its strips are shared out among data lines, which way each one
//! runs, and where each pixel of a chain sits. The one truth of it: map, patch, figures and
//! drawings all ask here.
//!
//! Strip 1 is at the corner `enter` and its first pixel lies in that corner; the near edge is where
//! strip 1 starts. Each next strip lies further from that corner. A data line starts afresh at
//! the near edge.

use glowloom_design::wall::{Direction, Panel, Path, Turn};

/// A place on a grid of pixels, from its top left, from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)] // said above
pub struct Cell {
    pub column: u32,
    pub row: u32,
}

/// A pixel of a panel, in every way of counting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pixel {
    /// From 1.
    pub data_line: u32,
    /// On the data line, from 0 at its head, spare pixels included.
    pub index: u32,
    /// On the panel, from 1.
    pub strip: u32,
    /// On the panel before its turn.
    pub own: Cell,
    /// On the panel as hung.
    pub hung: Cell,
    /// In the picture.
    pub picture: Cell,
}

/// One strip as a piece of its data line's path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Run {
    /// Where the data comes in.
    pub first: Pixel,
    /// Where the data goes out.
    pub last: Pixel,
    /// Whether the data comes in at the near edge.
    pub starts_near: bool,
}

/// Things shared out in order among takers, the first taking the odd ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shares {
    each: u32,
    odd: u32,
    takers: u32,
}

impl Shares {
    /// `count` things among `takers`; no takers are counted as one.
    #[must_use]
    pub fn new(count: u32, takers: u32) -> Self {
        let takers = takers.max(1);
        Self { each: count / takers, odd: count % takers, takers }
    }

    /// How many take a share.
    #[must_use]
    pub fn takers(self) -> u32 {
        self.takers
    }

    /// How many things a taker has; takers count from 0.
    #[must_use]
    pub fn of(self, taker: u32) -> u32 {
        self.each + u32::from(taker < self.odd)
    }

    /// How many things the takers before this one have.
    #[must_use]
    pub fn before(self, taker: u32) -> u32 {
        taker * self.each + taker.min(self.odd)
    }

    /// Who has a thing; things and takers count from 0. The last one for a thing beyond the end.
    #[must_use]
    pub fn taker_of(self, thing: u32) -> u32 {
        let large = self.odd * (self.each + 1);
        let taker = if thing < large {
            thing / (self.each + 1)
        } else {
            self.odd + (thing - large) / self.each.max(1)
        };
        taker.min(self.takers - 1)
    }
}

/// One data line of a panel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DataLine<'w> {
    path: PanelPath<'w>,
    /// From 1.
    pub number: u32,
    /// Its first strip, from 1.
    pub first_strip: u32,
    /// How many strips it has.
    pub strips: u32,
}

impl<'w> DataLine<'w> {
    /// Unlit pixels at its head.
    #[must_use]
    pub fn spare_pixels(&self) -> u32 {
        self.path.panel.spare_pixels
    }

    /// Pixels that show the picture.
    #[must_use]
    pub fn lit_pixels(&self) -> u32 {
        self.strips * self.path.strip_pixels
    }

    /// All pixels of the chain, spare ones included.
    #[must_use]
    pub fn pixels(&self) -> u32 {
        self.spare_pixels() + self.lit_pixels()
    }

    /// The pixels that show the picture, in the order of the chain.
    pub fn path(&self) -> impl Iterator<Item = Pixel> + use<'w> {
        let path = self.path;
        let first = self.first_strip - 1;
        (first..first + self.strips).flat_map(move |strip| {
            (0..path.strip_pixels).map(move |along| path.pixel(strip, along))
        })
    }

    /// Its strips, in the order of the chain.
    pub fn runs(&self) -> impl Iterator<Item = Run> + use<'w> {
        let path = self.path;
        let first = self.first_strip - 1;
        (first..first + self.strips).map(move |strip| Run {
            first: path.pixel(strip, 0),
            last: path.pixel(strip, path.strip_pixels - 1),
            starts_near: path.starts_near(strip),
        })
    }
}

/// The path of one panel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PanelPath<'w> {
    panel: &'w Panel,
    strip_pixels: u32,
    shares: Shares,
}

impl<'w> PanelPath<'w> {
    /// The path of that panel.
    #[must_use]
    pub fn of(panel: &'w Panel) -> Self {
        Self {
            panel,
            strip_pixels: panel.strip_pixels(),
            shares: Shares::new(panel.strip_count(), panel.data_lines),
        }
    }

    /// The panel that it is of.
    #[must_use]
    pub fn panel(&self) -> &'w Panel {
        self.panel
    }

    /// How the strips are shared out among the data lines.
    #[must_use]
    pub fn shares(&self) -> Shares {
        self.shares
    }

    /// The data lines, in order of the receiver's pins.
    pub fn lines(&self) -> impl Iterator<Item = DataLine<'w>> + use<'w> {
        let path = *self;
        (0..path.shares.takers()).map(move |line| DataLine {
            path,
            number: line + 1,
            first_strip: path.shares.before(line) + 1,
            strips: path.shares.of(line),
        })
    }

    /// The pixel that shows a place of the picture. `None` where this panel does not hang.
    #[must_use]
    pub fn at(&self, picture: Cell) -> Option<Pixel> {
        let (columns, rows) = self.panel.hung();
        let column = picture.column.checked_sub(self.panel.at.0).filter(|c| *c < columns)?;
        let row = picture.row.checked_sub(self.panel.at.1).filter(|r| *r < rows)?;
        let own = self.unturned(Cell { column, row });
        let (strip, from_near) = self.strip_at(own);
        Some(self.pixel(strip, self.flipped(strip, from_near)))
    }

    /// Whether the data of a strip comes in at the near edge. Strips count from 0 here.
    fn starts_near(&self, strip: u32) -> bool {
        let line_start = self.shares.before(self.shares.taker_of(strip));
        self.panel.path == Path::Progressive || (strip - line_start).is_multiple_of(2)
    }

    /// A distance along a strip counted from its other end, where the strip starts far.
    fn flipped(&self, strip: u32, along: u32) -> u32 {
        if self.starts_near(strip) { along } else { self.strip_pixels - 1 - along }
    }

    /// The pixel `along` a strip, both from 0, counted as the data runs.
    fn pixel(&self, strip: u32, along: u32) -> Pixel {
        let line = self.shares.taker_of(strip);
        let before = (strip - self.shares.before(line)) * self.strip_pixels;
        let own = self.own(strip, self.flipped(strip, along));
        let hung = self.turned(own);
        Pixel {
            data_line: line + 1,
            index: self.panel.spare_pixels + before + along,
            strip: strip + 1,
            own,
            hung,
            picture: Cell {
                column: self.panel.at.0 + hung.column,
                row: self.panel.at.1 + hung.row,
            },
        }
    }

    /// The place before the turn of a pixel that lies `from_near` pixels from the near edge.
    fn own(&self, strip: u32, from_near: u32) -> Cell {
        let (column, row) = match self.panel.strips {
            Direction::Vertical => (strip, from_near),
            Direction::Horizontal => (from_near, strip),
        };
        self.counted_from_enter(Cell { column, row })
    }

    /// The strip of a place before the turn, from 0, and how far from the near edge it lies.
    fn strip_at(&self, own: Cell) -> (u32, u32) {
        let Cell { column, row } = self.counted_from_enter(own);
        match self.panel.strips {
            Direction::Vertical => (column, row),
            Direction::Horizontal => (row, column),
        }
    }

    /// Counts columns and rows from the corner `enter` instead of the top left; its own inverse.
    fn counted_from_enter(&self, Cell { column, row }: Cell) -> Cell {
        let (panel, enter) = (self.panel, self.panel.enter);
        Cell {
            column: if enter.is_left() { column } else { panel.columns - 1 - column },
            row: if enter.is_top() { row } else { panel.rows - 1 - row },
        }
    }

    /// Where a place of the panel goes when it is turned clockwise.
    fn turned(&self, Cell { column, row }: Cell) -> Cell {
        let (right, bottom) = (self.panel.columns - 1, self.panel.rows - 1);
        match self.panel.turn {
            Turn::None => Cell { column, row },
            Turn::Quarter => Cell { column: bottom - row, row: column },
            Turn::Half => Cell { column: right - column, row: bottom - row },
            Turn::ThreeQuarters => Cell { column: row, row: right - column },
        }
    }

    /// Where a place as hung was before the turn.
    fn unturned(&self, Cell { column, row }: Cell) -> Cell {
        let (right, bottom) = (self.panel.columns - 1, self.panel.rows - 1);
        match self.panel.turn {
            Turn::None => Cell { column, row },
            Turn::Quarter => Cell { column: row, row: bottom - column },
            Turn::Half => Cell { column: right - column, row: bottom - row },
            Turn::ThreeQuarters => Cell { column: right - row, row: column },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn uneven_shares() {
        let shares = Shares::new(20, 3);
        assert_eq!((0..3).map(|i| shares.of(i)).collect::<Vec<_>>(), [7, 7, 6]);
        assert_eq!((0..3).map(|i| shares.before(i)).collect::<Vec<_>>(), [0, 7, 14]);
        let takers: Vec<_> = (0..20).map(|i| shares.taker_of(i)).collect();
        assert_eq!(takers, [0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2]);
    }

    #[test]
    fn every_share_holds_what_it_says() {
        for count in 0..40 {
            for takers in 1..12 {
                let shares = Shares::new(count, takers);
                assert_eq!(shares.before(takers), count);
                for taker in 0..takers {
                    assert_eq!(shares.before(taker) + shares.of(taker), shares.before(taker + 1));
                    for thing in shares.before(taker)..shares.before(taker + 1) {
                        assert_eq!(shares.taker_of(thing), taker, "{thing} of {count} in {takers}");
                    }
                }
            }
        }
    }
}
