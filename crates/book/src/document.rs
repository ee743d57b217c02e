//! One file of the book: where it goes, and how its bytes are made.

use std::io::{self, Write};

use glowloom_design::Wall;
use glowloom_plan::Plan;
use glowloom_plan::meter::Sheet;
use glowloom_plan::steps::Steps;

use crate::labels::labels;
use crate::sheets::{self, carriers};
use crate::{lists, map, parts, steps};

type Make<'b> = Box<dyn Fn(&mut dyn Write) -> io::Result<()> + 'b>;

/// One file of the book. Its bytes are made when they are asked for, so that a whole book need not be
/// held in memory; each time they are the same.
pub struct Document<'b> {
    path: String,
    make: Make<'b>,
    secret: bool,
}

impl<'b> Document<'b> {
    pub(crate) fn new(path: String, make: impl Fn(&mut dyn Write) -> io::Result<()> + 'b) -> Self {
        Self { path, make: Box::new(make), secret: false }
    }

    /// The same, to be read by its owner alone.
    pub(crate) fn secret(self) -> Self {
        Self { secret: true, ..self }
    }

    /// Whether nobody but its owner may read it.
    #[must_use]
    pub fn is_secret(&self) -> bool {
        self.secret
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

/// What a book is made from.
#[derive(Clone, Copy)]
pub struct Book<'b> {
    /// The checked wall.
    pub wall: &'b Wall,
    /// The bytes of its wall file, as they are.
    pub file: &'b [u8],
    /// Its plan.
    pub plan: &'b Plan,
    /// What a meter should show; none where the network has no answer.
    pub sheet: Option<&'b Sheet>,
    /// What to do.
    pub steps: &'b Steps,
}

/// Every file of a wall's book but the list of them, which [`crate::manifest::contents`] makes.
#[must_use]
pub fn documents<'b>(book: &Book<'b>) -> Vec<Document<'b>> {
    let Book { wall, file, plan, sheet, steps } = *book;
    let mut all = vec![
        Document::new("wall.toml".into(), move |out| out.write_all(file)),
        Document::new("plan.json".into(), move |out| {
            serde_json::to_writer_pretty(&mut *out, plan)?;
            out.write_all(b"\n")
        }),
        Document::new("steps.txt".into(), move |out| steps::text(wall, steps, out)),
        Document::new("lists/buying.csv".into(), move |out| {
            lists::bill(wall, &plan.material.items, out)
        }),
        Document::new("lists/wires.csv".into(), move |out| lists::wires(&plan.material.wires, out)),
        Document::new("lists/cuts.csv".into(), move |out| {
            lists::cuts(wall.pitch(), &plan.cuts.rolls_cut, out)
        }),
        Document::new("lists/labels.csv".into(), move |out| {
            lists::labels(&labels(wall, plan), out)
        }),
        Document::new("lists/pixels.csv".into(), move |out| map::csv(wall, out)),
    ];
    if let Some(boards) = &plan.material.boards {
        all.push(Document::new("lists/boards.csv".into(), move |out| lists::boards(boards, out)));
    }
    if let Some(sheet) = sheet {
        all.push(Document::new("lists/measuring-points.csv".into(), move |out| {
            lists::points(sheet, out)
        }));
    }
    let parts = parts::documents(wall, plan.tiles.as_ref());
    let others = all.iter().chain(&parts).map(|document| document.path().to_owned()).collect();
    all.extend(carriers::documents(wall, steps, sheets::sheets(book), others));
    all.extend(parts);
    all
}
