//! Writing a whole folder or nothing, and never over what somebody else put there.

use std::collections::BTreeSet;
use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::{Component, Path, PathBuf};

use glowloom_book::Document;
use glowloom_book::manifest::{self, CONTENTS, Entry, Hashed, Holds, Listed};

use crate::failure::Failure;
use crate::files;
use crate::output::{Line, shown};

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

/// Writes documents and the list of them into a folder: beside its place first, then renamed. A folder
/// that is there may be empty, or an earlier one of the same sort that holds nothing else; any other is left
/// as it is.
/// `contents` makes the list.
pub fn write_whole(
    folder: &Path,
    documents: &[Document<'_>],
    holds: Holds,
    contents: impl FnOnce(&[Entry]) -> Vec<u8>,
) -> Result<(), Failure> {
    let wrong = |error| Failure::file(folder, "write", error);
    // A link stays one: what it leads to is replaced.
    let real = match fs::canonicalize(folder) {
        Ok(real) => real,
        Err(error) if error.kind() == ErrorKind::NotFound => folder.to_path_buf(),
        Err(error) => return Err(wrong(error)),
    };
    let found = look(folder, &real, holds)?;
    let parent = real.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let beside = tempfile::Builder::new().prefix(".glowloom-").tempdir_in(parent).map_err(wrong)?;
    let new = beside.path().join("new");
    let mut entries = Vec::with_capacity(documents.len());
    let mut line = Line::new();
    for (i, document) in documents.iter().enumerate() {
        let inner = inner(document)?;
        line.put(&format!("Writing {} of {}: {}", i + 1, documents.len(), shown(&inner)));
        let path = new.join(&inner);
        // The place that the person gave, not the one beside it.
        let wrong = |error| Failure::file(&folder.join(&inner), "write", error);
        fs::create_dir_all(path.parent().unwrap_or(&new)).map_err(wrong)?;
        let mut file = fs::File::create(&path).map_err(wrong)?;
        #[cfg(unix)]
        if document.is_secret() {
            let owner_alone = std::os::unix::fs::PermissionsExt::from_mode(0o600);
            file.set_permissions(owner_alone).map_err(wrong)?;
        }
        let mut hashed = Hashed::new(&mut file);
        document.write(&mut hashed).and_then(|()| hashed.flush()).map_err(wrong)?;
        entries.push(hashed.entry(document.path()));
        file.sync_all().map_err(wrong)?;
    }
    let list = |error| Failure::file(&folder.join(CONTENTS), "write", error);
    fs::create_dir_all(&new).map_err(list)?;
    let mut file = fs::File::create(new.join(CONTENTS)).map_err(list)?;
    file.write_all(&contents(&entries)).and_then(|()| file.sync_all()).map_err(list)?;
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

/// How a folder differs from the book that it should hold, a line for each file; none where it does not.
/// By the list in the folder a file that is stale is told from one that somebody has changed.
pub fn differences(
    folder: &Path,
    documents: &[Document<'_>],
    contents: impl FnOnce(&[Entry]) -> Vec<u8>,
) -> Result<Vec<String>, Failure> {
    let mut differences = Vec::new();
    let listed = listed(folder, Holds::Book)?;
    let mut entries = Vec::with_capacity(documents.len());
    for document in documents {
        let path = folder.join(inner(document)?);
        let wrong = |error| Failure::file(&path, "read", error);
        let mut wanted = Vec::new();
        document.write(&mut wanted).map_err(wrong)?;
        entries.push(Entry::of(document.path(), &wanted));
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
            let word = if as_written(&path, document.path(), listed.as_ref())? {
                "is stale"
            } else {
                "is stale or was changed by hand"
            };
            differences.push(format!("{} {word}", shown(&path)));
        }
    }
    let list = folder.join(CONTENTS);
    let wanted = contents(&entries);
    if !list.exists() {
        differences.push(format!("{} is not there", shown(&list)));
    } else if differences.is_empty() && files::read_at_most(&list, wanted.len())? != wanted {
        differences.push(format!("{} is not the list of these files", shown(&list)));
    }
    // What an earlier book listed and this one does not.
    if let Some(listed) = listed {
        let known: BTreeSet<PathBuf> = documents.iter().filter_map(|d| inner(d).ok()).collect();
        let stale = paths(&listed).into_iter().filter(|path| !known.contains(path));
        let stale = stale.map(|path| folder.join(path)).filter(|path| path.exists());
        differences.extend(stale.map(|path| format!("{} is no part of it any more", shown(&path))));
    }
    Ok(differences)
}

/// Whether a file is still what the list says was written there.
fn as_written(path: &Path, inner: &str, listed: Option<&Listed>) -> Result<bool, Failure> {
    let entry = listed.and_then(|listed| listed.files.iter().find(|entry| entry.path == inner));
    let Some(entry) = entry else { return Ok(false) };
    let most = usize::try_from(entry.bytes).unwrap_or(usize::MAX - 1).min(usize::MAX - 1);
    Ok(Entry::of(inner, &files::read_at_most(path, most)?) == *entry)
}

/// The places that a list names, those alone that are within the folder.
fn paths(listed: &Listed) -> BTreeSet<PathBuf> {
    let inside =
        |path: &PathBuf| path.components().all(|part| matches!(part, Component::Normal(_)));
    listed.files.iter().map(|entry| PathBuf::from(&entry.path)).filter(inside).collect()
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

fn look(given: &Path, folder: &Path, holds: Holds) -> Result<Found, Failure> {
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
    let Some(listed) = listed(folder, holds)? else {
        let message = format!("{} holds files and is no book of this program", shown(given));
        return Err(Failure::other(message, another));
    };
    let mut known = paths(&listed);
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

/// What a book's list of contents says; `None` where there is no such list.
fn listed(folder: &Path, holds: Holds) -> Result<Option<Listed>, Failure> {
    let path = folder.join(CONTENTS);
    if !path.is_file() {
        return Ok(None);
    }
    let bytes = files::read_at_most(&path, MOST_CONTENTS)?;
    Ok(manifest::listed(&bytes, holds))
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
    use super::*;

    const TEXT: &str = "format = 1\n[wall]\nname = \"W\"\ncolumns = 2\nrows = 2\n[strip]\npart = \
        \"ws2812b-30\"\n[[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 2\nrows = 2\n[baffle]\n";

    type Contents<'c> = &'c dyn Fn(&[Entry]) -> Vec<u8>;

    /// The book of a wall with these settings.
    fn with_book<T>(baffle: &str, run: impl FnOnce(&glowloom_book::Book<'_>) -> T) -> T {
        let file = format!("{TEXT}{baffle}\n");
        let wall = glowloom_design::read(file.as_bytes()).unwrap();
        let plan = glowloom_plan::plan(&wall);
        let sheet = glowloom_plan::meter::sheet(&wall).unwrap();
        let steps = glowloom_plan::steps::steps(&wall, &plan, Some(&sheet));
        run(&glowloom_book::Book {
            wall: &wall,
            file: file.as_bytes(),
            plan: &plan,
            sheet: Some(&sheet),
            steps: &steps,
        })
    }

    /// Writes it, or compares.
    fn with<T>(baffle: &str, run: impl FnOnce(&[Document<'_>], Contents<'_>) -> T) -> T {
        with_book(baffle, |book| {
            let contents = |entries: &[Entry]| {
                manifest::contents(Holds::Book, &book.wall.name, book.file, entries)
            };
            run(&glowloom_book::documents(book), &contents)
        })
    }

    fn write(folder: &Path, baffle: &str) -> Result<(), Failure> {
        with(baffle, |documents, contents| write_whole(folder, documents, Holds::Book, contents))
    }

    /// Places below the folder and what is said of each.
    fn compare(folder: &Path, baffle: &str) -> Vec<String> {
        let found = with(baffle, |documents, contents| differences(folder, documents, contents));
        let start = format!("{}/", folder.display());
        found.unwrap().iter().map(|line| line.strip_prefix(&start).unwrap().to_owned()).collect()
    }

    /// All but the sheets, which have the wall file's fingerprint, so that each is stale with it.
    fn but_sheets(all: Vec<String>) -> Vec<String> {
        let sheet = |line: &String| {
            ["sheets/", "book.pdf", "index.html"].iter().any(|start| line.starts_with(start))
        };
        let (sheets, others): (Vec<_>, Vec<_>) = all.into_iter().partition(sheet);
        assert!(sheets.len() > 10, "{sheets:?}");
        others
    }

    fn names(folder: &Path) -> Vec<String> {
        let all = files_below(folder).unwrap();
        all.iter().map(|path| path.to_string_lossy().replace('\\', "/")).collect()
    }

    #[test]
    fn an_earlier_book_is_replaced_whole() {
        let place = tempfile::tempdir().unwrap();
        let book = place.path().join("book");
        write(&book, "").unwrap();
        let plain = names(&book);
        assert!(plain.contains(&"parts/tile-2x2-both-ends.stl".to_owned()), "{plain:?}");
        assert_eq!(compare(&book, ""), [""; 0]);
        let rim = "rim = \"1.2 mm\"";
        let stale = [
            "wall.toml is stale",
            "plan.json is stale",
            "steps.txt is stale",
            "lists/buying.csv is stale",
            "parts/list.txt is stale",
            "parts/list.csv is stale",
        ];
        let found = but_sheets(compare(&book, rim));
        assert_eq!(found[..stale.len()], stale);
        let gone = &found[stale.len()..];
        assert!(
            gone.len() == 2 && gone.iter().all(|line| line.ends_with(" is not there")),
            "{gone:?}"
        );
        write(&book, rim).unwrap();
        assert_eq!(compare(&book, rim), [""; 0]);
        assert_eq!(but_sheets(names(&book)).len(), but_sheets(plain.clone()).len() + 2);
        // Files of the book before that are no part of this one go.
        let found = but_sheets(compare(&book, ""));
        let over = found.iter().filter(|line| line.ends_with(" is no part of it any more"));
        assert_eq!((found.len(), over.count()), (stale.len() + 2, 2));
        write(&book, "").unwrap();
        assert_eq!(names(&book), plain);
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1, "nothing is left beside it");
    }

    #[test]
    fn what_somebody_else_put_there_stays() {
        let place = tempfile::tempdir().unwrap();
        let refuses = |folder: &Path| write(folder, "").is_err();
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
    fn what_was_changed_by_hand_is_told_from_what_is_stale() {
        let place = tempfile::tempdir().unwrap();
        let book = place.path().join("book");
        write(&book, "").unwrap();
        fs::write(book.join("lists/wires.csv"), "mine").unwrap();
        fs::remove_file(book.join("steps.txt")).unwrap();
        let wanted = ["steps.txt is not there", "lists/wires.csv is stale or was changed by hand"];
        assert_eq!(compare(&book, ""), wanted);
        write(&book, "").unwrap();
        let list = book.join(CONTENTS);
        let text = fs::read_to_string(&list).unwrap();
        fs::write(&list, text.replace("\"W\"", "\"V\"")).unwrap();
        assert_eq!(compare(&book, ""), ["contents.json is not the list of these files"]);
        fs::remove_file(&list).unwrap();
        assert_eq!(compare(&book, ""), ["contents.json is not there"]);
    }

    /// A list that names places outside its folder is not followed there.
    #[test]
    fn a_list_of_places_elsewhere_is_not_followed() {
        let place = tempfile::tempdir().unwrap();
        let (book, other) = (place.path().join("book"), place.path().join("other"));
        write(&book, "").unwrap();
        fs::write(&other, "mine").unwrap();
        let list = book.join(CONTENTS);
        let text = fs::read_to_string(&list).unwrap();
        fs::write(&list, text.replace("lists/wires.csv", "../other")).unwrap();
        assert!(write(&book, "").is_err(), "the wires are no part of what it lists");
        assert!(!compare(&book, "").iter().any(|line| line.contains("other")));
        assert_eq!(fs::read(&other).unwrap(), b"mine");
    }

    #[test]
    fn a_few_sheets_never_take_a_book_s_place() {
        let place = tempfile::tempdir().unwrap();
        let (book, few) = (place.path().join("book"), place.path().join("few"));
        write(&book, "").unwrap();
        with_book("", |whole| {
            let choice = glowloom_book::Choice { sheet: Some("mains"), panel: None };
            let chosen = glowloom_book::chosen(whole, &choice).unwrap();
            let contents = |entries: &[Entry]| {
                manifest::contents(Holds::Sheets, &whole.wall.name, whole.file, entries)
            };
            assert!(write_whole(&book, &chosen, Holds::Sheets, contents).is_err());
            write_whole(&few, &chosen, Holds::Sheets, contents).unwrap();
            write_whole(&few, &chosen, Holds::Sheets, contents).unwrap();
        });
        assert_eq!(names(&few).len(), 3, "contents, PDF and sheet");
        assert!(write(&few, "").is_err());
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_one() {
        let place = tempfile::tempdir().unwrap();
        let (real, link) = (place.path().join("real"), place.path().join("link"));
        fs::create_dir(&real).unwrap();
        std::os::unix::fs::symlink(&real, &link).unwrap();
        write(&link, "").unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert!(real.join(CONTENTS).is_file());
        // A link inside is nobody's book.
        std::os::unix::fs::symlink(&link, real.join("inner")).unwrap();
        assert!(write(&link, "").is_err());
    }
}
