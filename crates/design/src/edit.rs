//! One value of a wall file written anew, with all else of the text left as it is, comments too.

use std::fmt::Write;

/// Where a key is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Section<'a> {
    /// `[name]`
    Table(&'a str),
    /// The `[[panels]]` entry of that name.
    Panel(&'a str),
}

/// The lines of a section, from its header to before the next.
fn range(lines: &[&str], section: Section<'_>) -> Option<std::ops::Range<usize>> {
    let is_header =
        |line: &&str| line.trim_start().starts_with('[') && !line.trim_start().starts_with("[\"");
    let ends = |start: usize| {
        let next = lines[start + 1..].iter().position(is_header);
        next.map_or(lines.len(), |next| start + 1 + next)
    };
    let headed = |word: &str| {
        let word = word.to_owned();
        (0..lines.len())
            .filter(move |&at| lines[at].split('#').next().unwrap_or_default().trim() == word)
    };
    match section {
        Section::Table(name) => headed(&format!("[{name}]")).next().map(|start| start..ends(start)),
        Section::Panel(name) => {
            headed("[[panels]]").map(|start| start..ends(start)).find(|range| {
                let mut inside = lines[range.clone()].iter();
                inside.any(|line| {
                    value(line, "name").is_some_and(|found| found.trim_matches('"') == name)
                })
            })
        }
    }
}

/// What a line gives to a key, without a comment.
fn value<'a>(line: &'a str, key: &str) -> Option<&'a str> {
    let rest = line.trim_start().strip_prefix(key)?.trim_start().strip_prefix('=')?;
    let mut quoted = false;
    let end = rest.char_indices().find(|&(_, letter)| {
        quoted ^= letter == '"';
        letter == '#' && !quoted
    });
    Some(rest[..end.map_or(rest.len(), |(at, _)| at)].trim())
}

/// What a key is given in a section, as it is written; for values on one line.
#[must_use]
pub fn get(text: &str, section: Section<'_>, key: &str) -> Option<String> {
    let lines: Vec<&str> = text.lines().collect();
    let range = range(&lines, section)?;
    lines[range].iter().find_map(|line| value(line, key)).map(str::to_owned)
}

/// The text with a key given another value, as TOML writes it; a new line below the header where it had none.
/// `None` where the section is not written as a header of its own: then a person has to edit. What comes out is to be read
/// again before it is kept.
#[must_use]
pub fn set(text: &str, section: Section<'_>, key: &str, to: &str) -> Option<String> {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let range = range(&lines, section)?;
    let mut out = String::with_capacity(text.len() + 40);
    let there = range.clone().find(|&at| value(lines[at], key).is_some());
    for (at, line) in lines.iter().enumerate() {
        if Some(at) == there {
            let old = value(line, key).unwrap_or_default();
            let start = line.find('=').map_or(0, |equals| equals + 1);
            let (before, rest) = line.split_at(start);
            out.push_str(before);
            out.push_str(&rest.replacen(old, to, 1));
            continue;
        }
        out.push_str(line);
        if there.is_none() && at == range.start {
            if !line.ends_with('\n') {
                out.push('\n');
            }
            // Writing to a text does not fail.
            let _ = writeln!(out, "{key} = {to}");
        }
    }
    Some(out)
}

/// The lines in which two texts of nearly the same lines differ: `-` gone, `+` new, each with its number.
#[must_use]
pub fn difference(old: &str, new: &str) -> String {
    let (a, b): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    let (mut x, mut y, mut out) = (0, 0, String::new());
    while x < a.len() || y < b.len() {
        match (a.get(x), b.get(y)) {
            (Some(old), Some(new)) if old == new => (x, y) = (x + 1, y + 1),
            // A line put in, or one changed.
            (Some(old), Some(new)) if b.get(y + 1) == Some(old) => {
                let _ = writeln!(out, "+ {:>4}  {new}", y + 1);
                y += 1;
            }
            (old, new) => {
                if let Some(old) = old {
                    let _ = writeln!(out, "- {:>4}  {old}", x + 1);
                    x += 1;
                }
                if let Some(new) = new {
                    let _ = writeln!(out, "+ {:>4}  {new}", y + 1);
                    y += 1;
                }
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const WALL: &str = "format = 1\n[strip]\npart = \"x\" # the part = one\norder = \"grb\"  # seen\n[panel]\n\
        [[panels]]\nname = \"west\"\nat = [0, 0]\n\n[[panels]] # two\nname = \"a # b\"\nat = [2, 0]\nturn = 90\n";

    #[test]
    fn one_value_is_written_anew() {
        let strip = Section::Table("strip");
        assert_eq!(get(WALL, strip, "order").as_deref(), Some("\"grb\""));
        let new = set(WALL, strip, "order", "\"rgb\"").unwrap();
        assert_eq!(new, WALL.replace("\"grb\"", "\"rgb\""));
        assert_eq!(
            difference(WALL, &new),
            "-    4  order = \"grb\"  # seen\n+    4  order = \"rgb\"  # seen\n"
        );
        let new = set(WALL, Section::Panel("west"), "turn", "180").unwrap();
        assert_eq!(difference(WALL, &new), "+    7  turn = 180\n");
        let panel = Section::Panel("a # b");
        assert_eq!(get(WALL, panel, "at").as_deref(), Some("[2, 0]"));
        assert!(set(WALL, panel, "turn", "0").unwrap().ends_with("turn = 0\n"));
    }

    #[test]
    fn what_is_not_there_is_left_to_a_person() {
        assert_eq!(set(WALL, Section::Table("power"), "supply", "1"), None);
        assert_eq!(set(WALL, Section::Panel("east"), "turn", "1"), None);
        assert_eq!(get(WALL, Section::Panel("west"), "turn"), None);
        assert_eq!(difference(WALL, WALL), "");
    }
}
