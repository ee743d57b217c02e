//! Writing a whole folder or nothing, and never over what somebody else put there.

use std::collections::BTreeSet;
use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::{Component, Path, PathBuf};

use glowloom_book::Document;
use glowloom_book::document::{BOOK, CONTENTS};

use crate::failure::Failure;
use crate::files;
use crate::output::shown;

/// Most bytes that are read of a list of contents.
const MOST_CONTENTS: usize = 64 << 20;

/// What is at a place where a book is to go.
#[derive(Debug, PartialEq)]
enum Found {
    Nothing,
    Empty,
    /// An earlier book and nothing else.
    Book,
}

/// Writes documents into a folder: beside its place first, then renamed. A folder that is there may
/// be empty, or an earlier one of the same `word` that holds nothing else; any other is left as it is.
pub fn write_whole(folder: &Path, documents: &[Document<'_>], word: &str) -> Result<(), Failure> {
    let wrong = |error| Failure::file(folder, "write", error);
    // A link stays one: what it leads to is replaced.
    let real = match fs::canonicalize(folder) {
        Ok(real) => real,
        Err(error) if error.kind() == ErrorKind::NotFound => folder.to_path_buf(),
        Err(error) => return Err(wrong(error)),
    };
    let found = look(folder, &real, word)?;
    let parent = real.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let beside = tempfile::Builder::new().prefix(".glowloom-").tempdir_in(parent).map_err(wrong)?;
    let new = beside.path().join("new");
    for document in documents {
        let path = new.join(inner(document)?);
        let wrong = |error| Failure::file(&path, "write", error);
        fs::create_dir_all(path.parent().unwrap_or(&new)).map_err(wrong)?;
        let mut file = fs::File::create(&path).map_err(wrong)?;
        document.write(&mut file).and_then(|()| file.flush()).map_err(wrong)?;
        file.sync_all().map_err(wrong)?;
    }
    if found == Found::Nothing {
        return fs::rename(&new, &real).map_err(wrong);
    }
    let old = beside.path().join("old");
    fs::rename(&real, &old).map_err(wrong)?;
    fs::rename(&new, &real).map_err(|error| {
        // Back to what it was, if that can be.
        let _ = fs::rename(&old, &real);
        wrong(error)
    })
}

/// How a folder differs from what it should hold, a line for each file; none where it does not.
pub fn differences(folder: &Path, documents: &[Document<'_>]) -> Result<Vec<String>, Failure> {
    let mut differences = Vec::new();
    for document in documents {
        let path = folder.join(inner(document)?);
        let wrong = |error| Failure::file(&path, "read", error);
        let mut wanted = Vec::new();
        document.write(&mut wanted).map_err(wrong)?;
        match fs::metadata(&path) {
            Err(error)
                if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) =>
            {
                differences.push(format!("{} is not there", shown(&path)));
                continue;
            }
            Err(error) => return Err(wrong(error)),
            Ok(_) => {}
        }
        if files::read_at_most(&path, wanted.len())? != wanted {
            differences.push(format!("{} differs", shown(&path)));
        }
    }
    // What an earlier book listed and this one does not.
    if let Some(listed) = listed(folder, BOOK)? {
        let known: BTreeSet<PathBuf> = documents.iter().filter_map(|d| inner(d).ok()).collect();
        let stale = listed.difference(&known).map(|path| folder.join(path));
        let stale = stale.filter(|path| path.exists());
        differences.extend(stale.map(|path| format!("{} is no part of it", shown(&path))));
    }
    Ok(differences)
}

/// The place of a document below its folder.
fn inner(document: &Document<'_>) -> Result<PathBuf, Failure> {
    let path = PathBuf::from(document.path());
    let plain = path.components().all(|part| matches!(part, Component::Normal(_)));
    if !plain || path.as_os_str().is_empty() {
        let message = format!("{} is no place within a folder", document.path());
        return Err(Failure::other(message, "this is a mistake in the program: please report it"));
    }
    Ok(path)
}

fn look(given: &Path, folder: &Path, word: &str) -> Result<Found, Failure> {
    let wrong = |error| Failure::file(given, "read", error);
    match fs::metadata(folder) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Found::Nothing),
        Err(error) => return Err(wrong(error)),
        Ok(about) if !about.is_dir() => return Err(wrong(ErrorKind::NotADirectory.into())),
        Ok(_) => {}
    }
    if fs::read_dir(folder).map_err(wrong)?.next().is_none() {
        return Ok(Found::Empty);
    }
    let another = "give a folder of another name, or move away what is in this one";
    let Some(mut known) = listed(folder, word)? else {
        let message = format!("{} holds files and is no book of this program", shown(given));
        return Err(Failure::other(message, another));
    };
    known.insert(CONTENTS.into());
    // Only a book is looked through: any other folder may be a whole disk.
    let present = files_below(folder).map_err(wrong)?;
    if let Some(foreign) = present.difference(&known).next() {
        let message =
            format!("{} holds {}, which is no part of a book", shown(given), shown(foreign));
        return Err(Failure::other(message, another));
    }
    Ok(Found::Book)
}

/// The files that a book's list of contents names; `None` where there is no such list.
fn listed(folder: &Path, word: &str) -> Result<Option<BTreeSet<PathBuf>>, Failure> {
    let path = folder.join(CONTENTS);
    if !path.is_file() {
        return Ok(None);
    }
    let bytes = files::read_at_most(&path, MOST_CONTENTS)?;
    let Ok(contents) = serde_json::from_slice::<serde_json::Value>(&bytes) else { return Ok(None) };
    if contents.get("book").and_then(|book| book.as_str()) != Some(word) {
        return Ok(None);
    }
    let files = contents.get("files").and_then(|files| files.as_array());
    let files = files.into_iter().flatten().filter_map(|file| file.as_str());
    Ok(Some(files.map(PathBuf::from).collect()))
}

/// Everything below a folder that is not a folder itself, and folders that hold nothing. Links are not
/// followed.
fn files_below(folder: &Path) -> io::Result<BTreeSet<PathBuf>> {
    let mut found = BTreeSet::new();
    let mut folders = vec![PathBuf::new()];
    while let Some(below) = folders.pop() {
        let mut empty = true;
        for entry in fs::read_dir(folder.join(&below))? {
            let entry = entry?;
            let path = below.join(entry.file_name());
            empty = false;
            if entry.file_type()?.is_dir() {
                folders.push(path);
            } else {
                found.insert(path);
            }
        }
        if empty && !below.as_os_str().is_empty() {
            found.insert(below);
        }
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use glowloom_book::document::CHOSEN;

    use super::*;

    const TEXT: &str = "format = 1\n[wall]\nname = \"W\"\ncolumns = 2\nrows = 2\n[strip]\npart = \
        \"ws2812b-30\"\n[[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 2\nrows = 2\n[baffle]\n";

    /// Writes the book of a wall with these settings, or compares.
    fn with<T>(baffle: &str, run: impl FnOnce(&[Document<'_>]) -> T) -> T {
        let wall = glowloom_design::read(format!("{TEXT}{baffle}\n").as_bytes()).unwrap();
        let plan = glowloom_plan::plan(&wall);
        run(&glowloom_book::documents(&wall, &plan, TEXT.as_bytes()))
    }

    fn names(folder: &Path) -> Vec<String> {
        let all = files_below(folder).unwrap();
        all.iter().map(|path| path.to_string_lossy().replace('\\', "/")).collect()
    }

    #[test]
    fn an_earlier_book_is_replaced_whole() {
        let place = tempfile::tempdir().unwrap();
        let book = place.path().join("book");
        with("", |documents| write_whole(&book, documents, BOOK)).unwrap();
        let plain = names(&book);
        assert!(plain.contains(&"parts/tile-2x2-both-ends.stl".to_owned()), "{plain:?}");
        // Sheets differ too: they name the parts.
        let of_parts = |documents: &[Document<'_>]| {
            let all = differences(&book, documents).unwrap();
            assert!(all.iter().any(|line| line.contains("book.pdf differs")), "{all:?}");
            let parts = |line: &&String| line.contains("parts/") || line.contains(CONTENTS);
            all.iter().filter(parts).count()
        };
        with("rim = \"1.2 mm\"", |documents| {
            assert_eq!(of_parts(documents), 5, "and the lists");
            write_whole(&book, documents, BOOK).unwrap();
            assert_eq!(differences(&book, documents).unwrap(), [""; 0]);
        });
        assert_eq!(names(&book).len(), plain.len() + 2);
        // Files of the book before that are no part of this one go.
        with("", |documents| {
            assert_eq!(of_parts(documents), 5);
            write_whole(&book, documents, BOOK).unwrap();
        });
        assert_eq!(names(&book), plain);
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1, "nothing is left beside it");
    }

    #[test]
    fn what_somebody_else_put_there_stays() {
        let place = tempfile::tempdir().unwrap();
        let refuses =
            |folder: &Path| with("", |documents| write_whole(folder, documents, BOOK)).is_err();
        let own = place.path().join("own");
        fs::create_dir(&own).unwrap();
        assert!(!refuses(&own), "an empty folder may be used");
        fs::write(own.join("parts/notes.txt"), "mine").unwrap();
        assert!(refuses(&own));
        assert_eq!(fs::read(own.join("parts/notes.txt")).unwrap(), b"mine");
        let other = place.path().join("other");
        fs::create_dir(&other).unwrap();
        fs::write(other.join(CONTENTS), "{\"files\": [\"a\"]}").unwrap();
        assert!(refuses(&other), "a list that is no book's");
        let file = place.path().join("file");
        fs::write(&file, "mine").unwrap();
        assert!(refuses(&file));
        assert!(refuses(&place.path().join("missing/book")));
        assert_eq!(fs::read(&file).unwrap(), b"mine");
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 3, "nothing is left beside them");
    }

    #[test]
    fn a_few_sheets_never_take_a_book_s_place() {
        let place = tempfile::tempdir().unwrap();
        let (book, few) = (place.path().join("book"), place.path().join("few"));
        with("", |documents| {
            write_whole(&book, documents, BOOK).unwrap();
            assert!(write_whole(&book, documents, CHOSEN).is_err());
        });
        let wall = glowloom_design::read(TEXT.as_bytes()).unwrap();
        let plan = glowloom_plan::plan(&wall);
        let choice = glowloom_book::Choice { sheet: Some("mains"), panel: None };
        let chosen = glowloom_book::chosen(&wall, &plan, b"", &choice).unwrap();
        write_whole(&few, &chosen, CHOSEN).unwrap();
        write_whole(&few, &chosen, CHOSEN).unwrap();
        assert_eq!(names(&few).len(), 3, "contents, PDF and sheet");
        with("", |documents| assert!(write_whole(&few, documents, BOOK).is_err()));
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_one() {
        let place = tempfile::tempdir().unwrap();
        let (real, link) = (place.path().join("real"), place.path().join("link"));
        fs::create_dir(&real).unwrap();
        std::os::unix::fs::symlink(&real, &link).unwrap();
        with("", |documents| write_whole(&link, documents, BOOK)).unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert!(real.join(CONTENTS).is_file());
        // A link inside is nobody's book.
        std::os::unix::fs::symlink(&link, real.join("inner")).unwrap();
        assert!(with("", |documents| write_whole(&link, documents, BOOK)).is_err());
    }
}
