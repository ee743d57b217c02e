//! One file of the book: where it goes, and how its bytes are made.

use std::io::{self, Write};

use glowloom_design::Wall;
use glowloom_plan::Plan;
use serde::Serialize;

use crate::parts;

type Make<'b> = Box<dyn Fn(&mut dyn Write) -> io::Result<()> + 'b>;

/// One file of the book. Its bytes are made when they are asked for, so that a whole book need not be
/// held in memory; each time they are the same.
pub struct Document<'b> {
    path: String,
    make: Make<'b>,
}

impl<'b> Document<'b> {
    pub(crate) fn new(path: String, make: impl Fn(&mut dyn Write) -> io::Result<()> + 'b) -> Self {
        Self { path, make: Box::new(make) }
    }

    /// Its place in the book's folder: names joined by `/`, none of them empty, `.` or `..`.
    #[must_use]
    pub fn path(&self) -> &str {
        &self.path
    }

    /// Writes its bytes.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        (self.make)(out)
    }
}

/// The file that lists all others: by it a folder is known to be a book.
pub const CONTENTS: &str = "contents.json";

/// What [`CONTENTS`] holds.
#[derive(Serialize)]
struct Contents<'c> {
    /// Tells a book from any other folder with such a file.
    book: &'static str,
    format: u32,
    wall: &'c str,
    files: Vec<&'c str>,
}

/// The word by which [`CONTENTS`] is known.
pub const BOOK: &str = "glowloom";

/// Every file of a wall's book, the list of them first.
#[must_use]
pub fn documents<'b>(wall: &'b Wall, plan: &'b Plan) -> Vec<Document<'b>> {
    let all = parts::documents(wall, plan.tiles.as_ref());
    let files: Vec<String> = all.iter().map(|document| document.path.clone()).collect();
    let contents = Document::new(CONTENTS.into(), move |out| {
        let files = files.iter().map(String::as_str).collect();
        let contents = Contents { book: BOOK, format: 1, wall: &wall.name, files };
        serde_json::to_writer_pretty(&mut *out, &contents)?;
        out.write_all(b"\n")
    });
    std::iter::once(contents).chain(all).collect()
}
