//! The sheets of a book, drawn once, for whoever shows them one by one.

use std::io::{self, Write};

use glowloom_design::Wall;

use crate::document::Book;
use crate::draw::vector;
use crate::sheets::{self, Sheet, View, carriers};

/// What is known of a sheet without drawing it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed<'s> {
    /// From 1.
    pub number: usize,
    /// Unlike every other's: `panel-a-front`.
    pub key: &'s str,
    /// What it is called.
    pub name: &'s str,
    /// Names of the panels that it is for; none: of the whole wall.
    pub panels: &'s [String],
    /// `FRONT`, `BACK, MIRRORED`; absent for a diagram or a list.
    pub view: Option<&'static str>,
    /// Its scale on paper, if it has one.
    pub scale: Option<&'s str>,
    /// Whether its colours are those of things, so that it stays light by night.
    pub daylight: bool,
    /// Whether it is higher than wide.
    pub upright: bool,
    /// What is to be seen, for somebody who cannot see it.
    pub description: &'s str,
}

/// All sheets of a book.
#[derive(Clone, Debug)]
pub struct Sheets(Vec<Sheet>);

impl Sheets {
    /// Draws them.
    #[must_use]
    pub fn of(book: &Book<'_>) -> Self {
        Self(sheets::sheets(book))
    }

    /// What there is, in order.
    pub fn list(&self) -> impl Iterator<Item = Listed<'_>> {
        self.0.iter().map(|sheet| Listed {
            number: sheet.number,
            key: &sheet.key,
            name: &sheet.name,
            panels: &sheet.panels,
            view: (sheet.view != View::None).then(|| sheet.view.words()),
            scale: sheet.scale.as_deref(),
            daylight: sheet.daylight,
            upright: sheet.frame.height > sheet.frame.width,
            description: &sheet.description,
        })
    }

    /// Writes one as a part of a page that has the classes of its inks and widths; of a number that there
    /// is not, nothing.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn part(&self, wall: &Wall, number: usize, out: &mut dyn Write) -> io::Result<()> {
        let Some(sheet) = self.0.iter().find(|sheet| sheet.number == number) else { return Ok(()) };
        let id = format!("s{number}");
        carriers::about(wall, sheet, |about| vector::part(&sheet.drawing, about, &id, out))
    }
}
