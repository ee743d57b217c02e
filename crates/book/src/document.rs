//! One file of the book: where it goes, and how its bytes are made.

use std::io::{self, Write};

use glowloom_design::Wall;
use glowloom_plan::Plan;
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::sheets::carriers;
use crate::{parts, sheets};

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

/// The word by which [`CONTENTS`] of a whole book is known.
pub const BOOK: &str = "glowloom";

/// The word of a folder that holds a few sheets of a book, so that they never take a book's place.
pub const CHOSEN: &str = "glowloom sheets";

/// Every file of a wall's book, the list of them first. `file` is the wall file's bytes: each sheet
/// shows their fingerprint.
#[must_use]
pub fn documents<'b>(wall: &'b Wall, plan: &'b Plan, file: &[u8]) -> Vec<Document<'b>> {
    let drawn = sheets::sheets(wall, plan, &fingerprint(file));
    let mut all = carriers::documents(wall, drawn);
    all.extend(parts::documents(wall, plan.tiles.as_ref()));
    listed(wall, BOOK, all)
}

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

/// Some sheets of a book, with the same numbers and bytes as in the whole: each as SVG, and all of them
/// as one PDF.
///
/// # Errors
/// [`NoSuchSheet`] where none is as wanted.
pub fn chosen<'b>(
    wall: &'b Wall,
    plan: &'b Plan,
    file: &[u8],
    choice: &Choice<'_>,
) -> Result<Vec<Document<'b>>, NoSuchSheet> {
    if let Some(panel) = choice.panel
        && !wall.panels.iter().any(|known| known.name == panel)
    {
        let there_are = wall.panels.iter().map(|known| known.name.clone()).collect();
        return Err(NoSuchSheet { there_are });
    }
    let drawn = sheets::sheets(wall, plan, &fingerprint(file));
    let of_panel = |sheet: &&sheets::Sheet| {
        choice.panel.is_none_or(|panel| sheet.panels.iter().any(|name| name == panel))
    };
    let there: Vec<&sheets::Sheet> = drawn.iter().filter(of_panel).collect();
    let wanted: Vec<sheets::Sheet> = match choice.sheet {
        None => there.into_iter().cloned().collect(),
        Some(name) => {
            let exact = |sheet: &&&sheets::Sheet| {
                sheet.number.to_string() == name
                    || sheet.name.eq_ignore_ascii_case(name)
                    || sheet.key == name
            };
            let lower = name.to_lowercase();
            let part = |sheet: &&&sheets::Sheet| {
                sheet.name.to_lowercase().contains(&lower) || sheet.key.contains(&lower)
            };
            let mut found: Vec<_> = there.iter().filter(exact).collect();
            if found.is_empty() {
                found = there.iter().filter(part).collect();
            }
            if found.is_empty() {
                let said = |sheet: &&sheets::Sheet| format!("{} {}", sheet.number, sheet.name);
                return Err(NoSuchSheet { there_are: there.iter().map(said).collect() });
            }
            found.into_iter().map(|sheet| (*sheet).clone()).collect()
        }
    };
    Ok(listed(wall, CHOSEN, carriers::some(wall, wanted)))
}

/// The first eight hexadecimal digits of a file's SHA-256 (FIPS 180-4, by a library).
#[must_use]
pub fn fingerprint(file: &[u8]) -> String {
    let digest = Sha256::digest(file);
    digest.iter().take(4).map(|byte| format!("{byte:02x}")).collect()
}

/// Documents with the list of them before them.
fn listed<'b>(wall: &'b Wall, word: &'static str, all: Vec<Document<'b>>) -> Vec<Document<'b>> {
    let files: Vec<String> = all.iter().map(|document| document.path.clone()).collect();
    let contents = Document::new(CONTENTS.into(), move |out| {
        let files = files.iter().map(String::as_str).collect();
        let contents = Contents { book: word, format: 1, wall: &wall.name, files };
        serde_json::to_writer_pretty(&mut *out, &contents)?;
        out.write_all(b"\n")
    });
    std::iter::once(contents).chain(all).collect()
}

#[cfg(test)]
mod tests {
    use super::fingerprint;

    /// FIPS 180-4's own example, "abc", from memory; the digest of nothing as everybody knows it.
    #[test]
    fn the_fingerprint_is_the_start_of_sha_256() {
        assert_eq!(fingerprint(b"abc"), "ba7816bf");
        assert_eq!(fingerprint(b""), "e3b0c442");
    }
}
