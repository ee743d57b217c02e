//! The three carriers of the sheets: one PDF, an SVG for each, and a page that holds them all.

use std::io::{self, BufWriter, Write};
use std::rc::Rc;

use glowloom_design::Wall;
use glowloom_plan::steps::Steps;

use super::{Sheet, page};
use crate::document::Document;
use crate::draw::pdf::{self, Page};
use crate::draw::text::plain;
use crate::draw::vector::{self, About};

/// The files of a whole book's sheets.
/// `others` are the book's other files.
pub(crate) fn documents<'b>(
    wall: &'b Wall,
    steps: &'b Steps,
    sheets: Vec<Sheet>,
    others: Vec<String>,
) -> Vec<Document<'b>> {
    let sheets = Rc::new(sheets);
    let of_page = Rc::clone(&sheets);
    let page = Document::new("index.html".into(), move |out| {
        page::write(&page::Page { wall, steps, sheets: &of_page, others: &others }, out)
    });
    let mut all = vec![page];
    all.extend(carried(wall, &sheets, "book.pdf"));
    all
}

/// The files of a few sheets.
pub(crate) fn some(wall: &Wall, sheets: Vec<Sheet>) -> Vec<Document<'_>> {
    carried(wall, &Rc::new(sheets), "sheets.pdf")
}

fn carried<'b>(wall: &'b Wall, sheets: &Rc<Vec<Sheet>>, name: &str) -> Vec<Document<'b>> {
    let of_pdf = Rc::clone(sheets);
    let title = title(wall);
    let mut all = vec![Document::new(name.into(), move |out| book(&title, &of_pdf, out))];
    for (i, sheet) in sheets.iter().enumerate() {
        let of_sheet = Rc::clone(sheets);
        all.push(Document::new(format!("sheets/{}.svg", sheet.file()), move |out| {
            of_sheet.get(i).map_or(Ok(()), |sheet| svg(wall, sheet, out))
        }));
    }
    all
}

fn title(wall: &Wall) -> String {
    format!("Build book of {}", plain(&wall.name))
}

fn book(title: &str, sheets: &[Sheet], out: &mut dyn Write) -> io::Result<()> {
    let pages = sheets.iter().map(|sheet| Page {
        size: (sheet.frame.width, sheet.frame.height),
        drawing: &sheet.drawing,
        bookmark: format!("{} {}", sheet.number, sheet.listed_as()),
        under: sheet.group.clone(),
    });
    let pages: Vec<Page<'_>> = pages.collect();
    pdf::document(title, &pages, out)
}

/// Calls back with what a drawing says of itself.
pub fn about<T>(wall: &Wall, sheet: &Sheet, run: impl FnOnce(&About<'_>) -> T) -> T {
    let title = format!("{}: {}", plain(&wall.name), sheet.name);
    let mut data = sheet.data.clone();
    data.push(("view", sheet.view.words().to_owned()));
    let size = (sheet.frame.width, sheet.frame.height);
    run(&About { size, title: &title, description: &sheet.description, data: &data })
}

fn svg(wall: &Wall, sheet: &Sheet, out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::with_capacity(1 << 16, out);
    about(wall, sheet, |about| vector::document(&sheet.drawing, about, &mut out))?;
    out.flush()
}
