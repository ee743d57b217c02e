//! The pixel map: for every pixel of the picture, what shows it and where it is.

use glowloom_design::Wall;
use glowloom_design::wall::Panel;
use glowloom_units::Metres;

use crate::built::{Built, grid_centre};
use crate::numbering::{Numbering, channels};
use crate::path::{Cell, PanelPath};

/// One pixel of the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry<'w> {
    /// From 0, from the left.
    pub column: u32,
    /// From 0, from the top.
    pub row: u32,
    /// What shows it; absent: nothing does.
    pub lit: Option<Lit<'w>>,
    /// From the picture's left edge to the pixel's centre as built.
    pub x: Metres,
    /// From the picture's top edge to the pixel's centre as built.
    pub y: Metres,
}

/// What shows a pixel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lit<'w> {
    /// The panel's name.
    pub panel: &'w str,
    /// On the panel, from 1.
    pub data_line: u32,
    /// On the data line, from 0 at its head, spare pixels included.
    pub index: u32,
    /// Where its levels stand, whatever the protocol.
    pub universe: u32,
    /// Its first slot there, from 1.
    pub slot: u16,
}

/// A panel with what the map asks of it.
#[derive(Clone, Debug)]
struct Hung<'w> {
    panel: &'w Panel,
    path: PanelPath<'w>,
    numbering: Numbering<'w>,
    built: Built,
}

/// Every pixel of the picture in row-major order. Holds a few words for each panel, none for a
/// pixel.
#[derive(Clone, Debug)]
pub struct PixelMap<'w> {
    wall: &'w Wall,
    /// By row, then column of the top-left pixel.
    panels: Vec<Hung<'w>>,
    /// The first panel whose top row has not been reached.
    waiting: usize,
    /// Panels that reach into this row, from left to right.
    here: Vec<usize>,
    /// The first of `here` that does not end before this column.
    next_here: usize,
    row: u32,
    column: u32,
}

/// The pixel map of a wall.
#[must_use]
pub fn map(wall: &Wall) -> PixelMap<'_> {
    let channels = channels(&wall.strip);
    let mut panels: Vec<_> = wall
        .panels
        .iter()
        .map(|panel| {
            let path = PanelPath::of(panel);
            let numbering = Numbering::new(path, channels);
            Hung { panel, path, numbering, built: Built::of(wall, panel) }
        })
        .collect();
    panels.sort_by_key(|hung| (hung.panel.at.1, hung.panel.at.0));
    let mut map =
        PixelMap { wall, panels, waiting: 0, here: Vec::new(), next_here: 0, row: 0, column: 0 };
    map.begin_row();
    map
}

impl<'w> PixelMap<'w> {
    /// Finds the panels that reach into the row.
    fn begin_row(&mut self) {
        let (panels, row) = (&self.panels, self.row);
        self.next_here = 0;
        let before = self.here.len();
        self.here.retain(|i| row < panels[*i].panel.at.1 + panels[*i].panel.hung().1);
        let mut changed = self.here.len() != before;
        while panels.get(self.waiting).is_some_and(|hung| hung.panel.at.1 == row) {
            self.here.push(self.waiting);
            self.waiting += 1;
            changed = true;
        }
        if changed {
            self.here.sort_by_key(|i| panels[*i].panel.at.0);
        }
    }

    /// The panel that shows the pixel at hand.
    fn panel_here(&mut self) -> Option<&Hung<'w>> {
        while let Some(hung) = self.here.get(self.next_here).map(|i| &self.panels[*i]) {
            let (left, columns) = (hung.panel.at.0, hung.panel.hung().0);
            if self.column < left + columns {
                break;
            }
            self.next_here += 1;
        }
        let hung = self.here.get(self.next_here).map(|i| &self.panels[*i]);
        hung.filter(|hung| hung.panel.at.0 <= self.column)
    }

    fn entry(&mut self) -> Entry<'w> {
        let picture = Cell { column: self.column, row: self.row };
        let found = self.panel_here().and_then(|hung| {
            let pixel = hung.path.at(picture)?;
            let slot = hung.numbering.slot(pixel.data_line, pixel.index);
            let lit = Lit {
                panel: &hung.panel.name,
                data_line: pixel.data_line,
                index: pixel.index,
                universe: slot.universe,
                slot: slot.slot,
            };
            Some((lit, hung.built.centre(pixel.hung)))
        });
        let (lit, (x, y)) = match found {
            Some((lit, centre)) => (Some(lit), centre),
            None => (None, grid_centre(self.wall, picture)),
        };
        Entry { column: picture.column, row: picture.row, lit, x, y }
    }
}

impl<'w> Iterator for PixelMap<'w> {
    type Item = Entry<'w>;

    fn next(&mut self) -> Option<Entry<'w>> {
        if self.row >= self.wall.rows {
            return None;
        }
        let entry = self.entry();
        self.column += 1;
        if self.column == self.wall.columns {
            self.column = 0;
            self.row += 1;
            self.begin_row();
        }
        Some(entry)
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        let columns = self.wall.columns as usize;
        let left = (self.wall.rows.saturating_sub(self.row) as usize * columns)
            .saturating_sub(self.column as usize);
        (left, Some(left))
    }
}

impl ExactSizeIterator for PixelMap<'_> {}
