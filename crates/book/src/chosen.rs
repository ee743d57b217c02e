//! Some sheets of a book, so that one corrected page is printed again, not a book.

use crate::document::{Book, Document};
use crate::sheets::{self, Sheet, carriers};

/// Which sheets are wanted.
#[derive(Clone, Copy, Debug, Default)]
pub struct Choice<'a> {
    /// By number, or by a part of the name or of the file's name.
    pub sheet: Option<&'a str>,
    /// Those of that panel.
    pub panel: Option<&'a str>,
}

/// No sheet is as wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoSuchSheet {
    /// What there is: numbers and names of sheets, or names of panels.
    pub there_are: Vec<String>,
}

/// Those sheets, with the same numbers and bytes as in the whole: each as SVG, and all of them as one PDF.
///
/// # Errors
/// [`NoSuchSheet`] where none is as wanted.
pub fn chosen<'b>(book: &Book<'b>, choice: &Choice<'_>) -> Result<Vec<Document<'b>>, NoSuchSheet> {
    let wall = book.wall;
    if let Some(panel) = choice.panel
        && !wall.panels.iter().any(|known| known.name == panel)
    {
        let there_are = wall.panels.iter().map(|known| known.name.clone()).collect();
        return Err(NoSuchSheet { there_are });
    }
    let of_panel = |sheet: &Sheet| {
        choice.panel.is_none_or(|panel| sheet.panels.iter().any(|name| name == panel))
    };
    let mut there = sheets::sheets(book);
    there.retain(of_panel);
    let wanted = match choice.sheet {
        None => there,
        Some(name) => named(there, name)?,
    };
    Ok(carriers::some(wall, wanted))
}

/// Those of exactly that number or name; where there is none, those with it as a part.
fn named(there: Vec<Sheet>, name: &str) -> Result<Vec<Sheet>, NoSuchSheet> {
    let exact = |sheet: &Sheet| {
        sheet.number.to_string() == name
            || sheet.name.eq_ignore_ascii_case(name)
            || sheet.key == name
    };
    let lower = name.to_lowercase();
    let part =
        |sheet: &Sheet| sheet.name.to_lowercase().contains(&lower) || sheet.key.contains(&lower);
    let fits: &dyn Fn(&Sheet) -> bool = if there.iter().any(exact) { &exact } else { &part };
    if !there.iter().any(fits) {
        let said = |sheet: &Sheet| format!("{} {}", sheet.number, sheet.name);
        return Err(NoSuchSheet { there_are: there.iter().map(said).collect() });
    }
    Ok(there.into_iter().filter(fits).collect())
}
